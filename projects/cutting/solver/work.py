"""How much work may still be done: counted in steps, so that no other program changes an answer.

Every search here counts what it does (``COSTS``) and ends when its share is used up. The same
question therefore ends at the same step on a busy machine and on a quiet one. The clock is only
the outer stop: it is set to many times what the work takes, and whoever was ended by it says so
(``was_stopped``).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from time import perf_counter

from projects.cutting.shapes import SECOND_OF_WORK

# What one step of each kind takes, in work (about a microsecond of a quiet core); measured with
# `python -m tests.benchmarks.cutting.calibrate`, which prints these lines.
COSTS = {
    "table row": 9.0,
    "table cell": 0.00055,
    "trace": 1.2,
    "program": 20.0,
    "program column": 0.5,
    "pivot": 3.0,
    "pivot cell": 0.0025,
    "whole program": 3900.0,
    "whole entry": 4.0,
    "look": 100.0,
    "look entry": 2.7,
    "beam step": 130.0,
    "beam place": 0.05,
    "beam plan": 0.6,
    "box chunk": 100.0,
    "box pair": 0.0035,
    "box": 0.08,
    "box sorted": 0.08,
    "strip": 1.2,
    "strip cell": 0.25,
    "row": 9.0,
    "row cell": 0.0095,
    "corner": 2.5,
    "rectangle": 0.3,
}
# The clock stops a search after this many times what its work takes on a quiet core.
TIMES = 30
LEAST_STOP = 30.0


class _Meter:
    """What was spent by all budgets of one question, and when the clock ends it."""

    def __init__(self, stop: float) -> None:
        self.spent = 0.0
        self.steps: dict[str, float] = defaultdict(float)
        self.stop = stop
        self.was_stopped = False


class Budget:
    """An amount of work from now on; everything in the package that searches has one.

    `clock` is the outer stop's; nothing else reads it.
    """

    clock: Callable[[], float] = staticmethod(perf_counter)

    def __init__(
        self, work: float, *, stop_after: float | None = None, meter: _Meter | None = None
    ) -> None:
        """Work as in ``Limits.work``; stop_after in seconds (None: ``TIMES`` what it takes)."""
        if stop_after is None:
            stop_after = LEAST_STOP + TIMES * work / SECOND_OF_WORK
        self._meter = meter or _Meter(self.clock() + stop_after)
        self._start = self._meter.spent
        self._end = self._start + work

    def spend(self, step: str, times: float = 1) -> None:
        """Count steps of a kind of ``COSTS``."""
        self._meter.steps[step] += times
        self._meter.spent += COSTS[step] * times

    def left(self) -> float:
        """Return the work that is left, never below zero."""
        left = self._end - self._meter.spent
        if left <= 0:
            return 0.0
        if self.clock() >= self._meter.stop:
            self._meter.was_stopped = True
        return 0.0 if self._meter.was_stopped else left

    def spent(self) -> float:
        """Return the work since the start."""
        return self._meter.spent - self._start

    def lasts(self) -> bool:
        """Return whether anything is left."""
        return self.left() > 0

    def part(self, share: float) -> Budget:
        """Return a budget of a share of what is left; what it spends is spent here too."""
        return self.of(self.left() * share)

    def of(self, work: float) -> Budget:
        """Return a budget of so much work, whatever is left; spent here too."""
        return Budget(work, meter=self._meter)

    # -- the outer stop ----------------------------------------------------------------------

    @property
    def was_stopped(self) -> bool:
        """Whether the clock ended any work of this question."""
        return self._meter.was_stopped

    def seconds_left(self) -> float:
        """Return how long a library may go on by itself before the clock ends it."""
        return max(0.01, self._meter.stop - self.clock())

    def stop(self) -> None:
        """Remember that a library was ended by the clock."""
        self._meter.was_stopped = True
