"""One step of the sewing order, and how far it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import blake2s

from projects.sewing.heaps import Heap

__all__ = ["CUTTING", "MEASURING", "Step", "key_of", "with_counts"]

CUTTING = "cut"
#: Measuring the top, with so many of its borders on.
MEASURING = "measure"


@dataclass(frozen=True, kw_only=True)
class Step:
    """So many of one thing to make. ``noun`` is one of them, ``nouns`` several.

    ``how`` are sentences, ``heaps`` what it is sewn from, ``picture`` shows one of them as SVG.
    """

    key: str
    name: str
    noun: str
    nouns: str
    total: int
    made: int = 0
    how: tuple[str, ...] = ()
    heaps: tuple[Heap, ...] = ()
    picture: str = ""

    @property
    def is_done(self) -> bool:
        return self.made >= self.total

    @property
    def is_begun(self) -> bool:
        return 0 < self.made < self.total

    @property
    def left(self) -> int:
        return max(0, self.total - self.made)

    @property
    def is_single(self) -> bool:
        """Whether it is done at once, and so is not counted."""
        return self.total == 1

    @property
    def is_cutting(self) -> bool:
        return self.key == CUTTING

    @property
    def is_measuring(self) -> bool:
        return self.key.startswith(MEASURING)

    @property
    def is_counted(self) -> bool:
        """Whether a press counts it: cutting is booked elsewhere, and measuring is written down."""
        return not self.is_cutting and not self.is_measuring

    @property
    def is_of_blocks(self) -> bool:
        return self.key.startswith("block")

    @property
    def presses(self) -> tuple[int, ...]:
        """What may be counted at once beside a single one: handfuls, and all that is left."""
        return tuple(count for count in sorted({4, 10, self.left}) if 1 < count <= self.left)

    @property
    def counted(self) -> str:
        """What is left in words: 41 blocks."""
        return f"{self.left} {self.noun if self.left == 1 else self.nouns}"


def key_of(kind: str, *told: object) -> str:
    """A short key for what these values tell; other values have another one."""
    if not told:
        return kind
    text = "|".join(str(value) for value in told)
    return f"{kind}-{blake2s(text.encode(), digest_size=8).hexdigest()}"


def with_counts(steps: list[Step], made: Mapping[str, int]) -> list[Step]:
    """The steps with what was counted of each, never more than there is to make."""
    return [
        replace(step, made=min(made[step.key], step.total)) if step.key in made else step
        for step in steps
    ]
