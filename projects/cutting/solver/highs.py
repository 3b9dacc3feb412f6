"""HiGHS as this package uses it: one thread, a fixed seed, and an end that is counted in work.

An integer program is ended at one of its own looks at whether to go on (`cbMipInterrupt`), whose
number does not depend on the machine. Its time limit is only the outer stop.
"""

from __future__ import annotations

import highspy

from projects.cutting.solver.work import COSTS, Budget


class _Quiet(highspy.Highs):
    """A solver that prints nothing: its banner comes with the callbacks, before any option."""

    def enableCallbacks(self) -> None:  # noqa: N802 (the library's name)
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def quiet_solver() -> highspy.Highs:
    """Return a solver with one thread and a fixed seed that prints nothing."""
    model = _Quiet()  # type: ignore[no-untyped-call]
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 0)
    return model


def solve_program(model: highspy.Highs, budget: Budget) -> None:
    """Solve a linear program to its end, and count it."""
    model.run()
    steps = max(0, int(model.getInfo().simplex_iteration_count))
    size = int(model.getNumCol()) + int(model.getNumRow())
    budget.spend("program")
    budget.spend("program column", size)
    budget.spend("pivot", steps)
    budget.spend("pivot cell", steps * size)


def solve_whole(
    model: highspy.Highs, budget: Budget, *, nodes: int | None = None, least: float = 0
) -> highspy.HighsModelStatus:
    """Solve an integer program within the budget, and count it; return how it ended.

    least: work that is done in any case; nodes: where the search tree is cut off at the latest.
    """
    entries = int(model.getNumNz())
    each = COSTS["look"] + COSTS["look entry"] * entries
    most = max(least, budget.left()) - COSTS["whole program"] - COSTS["whole entry"] * entries
    looks = 0

    def look(event: highspy.HighsCallbackEvent) -> None:
        nonlocal looks
        looks += 1
        if looks * each > most:
            event.interrupt()

    model.cbMipInterrupt.subscribe(look)
    model.setOptionValue("time_limit", budget.seconds_left())
    if nodes is not None:
        model.setOptionValue("mip_max_nodes", nodes)
    try:
        model.run()
    finally:
        model.cbMipInterrupt.unsubscribe(look)
    budget.spend("whole program")
    budget.spend("whole entry", entries)
    budget.spend("look", looks)
    budget.spend("look entry", looks * entries)
    status = model.getModelStatus()
    if status == highspy.HighsModelStatus.kTimeLimit:
        budget.stop()
    return status
