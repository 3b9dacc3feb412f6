"""How much work may still be done: counted steps first, the clock as a fallback."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter


class Budget:
    """Counts down seconds from now; everything else in the package asks it, never a clock.

    `clock` may be changed to processor time to measure on a machine that is shared.
    """

    clock: Callable[[], float] = staticmethod(perf_counter)

    def __init__(self, seconds: float) -> None:
        self.start = self.clock()
        self.end = self.start + seconds

    def left(self) -> float:
        """Return the seconds that are left, never below zero."""
        return max(0.0, self.end - self.clock())

    def spent(self) -> float:
        """Return the seconds since the start."""
        return self.clock() - self.start

    def lasts(self) -> bool:
        """Return whether anything is left."""
        return self.left() > 0

    def part(self, share: float) -> Budget:
        """Return a budget of a share of what is left."""
        return Budget(self.left() * share)
