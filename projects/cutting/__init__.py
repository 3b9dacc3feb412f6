"""Does the cloth on hand cover a cut list, and how is it cut?

Read the face alone, and the whole behaviour is known: ``shapes`` and ``parts`` are the values that
go in and come out, ``answers.cut_list`` answers for one cut list, ``answers.joint`` for all parts
of a project, ``answers.stages`` for what is half cut, and ``prints.repeats`` for prints with
centred motifs. ``allowances`` says what may be cut of a piece, ``aims`` what is preferred,
``layout`` turns placed rectangles into strips and remnants, ``mend`` changes a cut list,
``document`` reads a question from JSON, and ``verify`` judges every plan without knowing how it was
found.

``solver`` finds plans and proofs. Nobody outside this package imports it.

Every length is a whole number of 3.125 micrometres (``stash.lengths``).
"""
