"""How much work may still be done: counted steps first, the clock as a fallback."""

from __future__ import annotations

from time import perf_counter


class Budget:
    """Counts down seconds from now; everything else in the package asks it, never a clock."""

    def __init__(self, seconds: float) -> None:
        self.start = perf_counter()
        self.end = self.start + seconds

    def left(self) -> float:
        return max(0.0, self.end - perf_counter())

    def spent(self) -> float:
        return perf_counter() - self.start

    def lasts(self) -> bool:
        return self.left() > 0

    def part(self, share: float) -> Budget:
        """Return a budget of a share of what is left."""
        return Budget(self.left() * share)
