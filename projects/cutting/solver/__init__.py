"""How plans and proofs are found; only projects.cutting imports from here.

From the ground up: ``work`` (how long), ``normal_patterns`` (where cuts can be useful), ``table``
(one rectangle filled best), ``master`` and ``linear_program`` (relaxations, integer programs);
``problem`` (a question in whole steps), ``packing`` and ``strips`` (patterns, columns on demand),
``placing`` (patterns at their places). Proofs: ``row_bounds``, ``bounds``, ``exact``, ``reasons``,
``groups``. Plans: ``dive``, ``beam``, ``near_optimal``, ``strip_program``, ``compose`` and
``rebuild``, which ``shortest`` and ``search`` put to work. A whole question: ``inquiry``,
``buying``, ``better``, ``answering``; all parts at once: ``assignment``.

Lengths in here are *solver steps*: w and x in units of ``Problem.step_x``, h and y in units of
``Problem.step_y``, which lead back to lengths. *Lines* are the sizes of the cut list, *demands*
how many of each are wanted, *bins* pieces of one usable size.
"""
