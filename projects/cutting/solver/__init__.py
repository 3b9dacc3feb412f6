"""How plans and proofs are found; only projects.cutting imports from here.

From the ground up, each imports only what stands before it. Here: ``work`` (how much may be done),
``highs`` (the library for linear and integer programs), ``normal_patterns`` (where cuts can be
useful), ``table`` (one rectangle filled best), ``problem`` (a question in whole steps) and
``linear_program`` (programs row by row). ``patterns``: what one strip or piece may hold, columns on
demand. ``proofs``: why a list cannot be cut. ``plans``: dives, beams, boxes and integer programs,
which ``plans.shortest`` and ``plans.search`` put to work. ``questions``: one cut list, what to buy,
and all parts at once.

Lengths in here are *solver steps*: w and x in units of ``Problem.step_x``, h and y in units of
``Problem.step_y``, which lead back to lengths. *Lines* are the sizes of the cut list, *demands*
how many of each are wanted, *bins* pieces of one usable size.
"""
