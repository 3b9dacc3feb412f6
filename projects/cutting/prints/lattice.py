"""The lattice that blocks of whole repeats lie on, in each direction of a cloth."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Literal


@dataclass(frozen=True, kw_only=True)
class Axis:
    """One direction of one piece: its size, the print's repeat there (0: none), a motif's place.

    ``is_free``: any place will do, because this cloth has no repeat there and others have.
    """

    size: int
    repeat: Fraction
    motif: Fraction | None = None
    is_free: bool = False

    def cells(self, lattice: Lattice, way: Literal["worst", "best"]) -> tuple[int, Fraction]:
        """How many repeats blocks may take, and where the first of them begins."""
        beyond = lattice.beyond(self.repeat)
        room = self.size + 2 * beyond
        if self.is_free:
            return floor(room / self.repeat), -beyond
        if self.motif is None:
            whole = floor(room / self.repeat)
            return (whole, -beyond) if way == "best" else (whole - 1, self.repeat - beyond)
        line = self.motif + (self.repeat / 2 if lattice.is_odd else 0)
        first = ceil((-beyond - line) / self.repeat)
        last = floor((self.size + beyond - line) / self.repeat)
        return last - first, line + first * self.repeat

    def chances(self, lattice: Lattice) -> list[tuple[Literal["worst", "best"], Fraction]]:
        """Which numbers of repeats the phase may leave, each with its share of the phases."""
        if self.motif is not None or self.is_free or not self.repeat:
            return [("worst", Fraction(1))]
        share = (self.size + 2 * lattice.beyond(self.repeat)) / self.repeat % 1
        ways: list[tuple[Literal["worst", "best"], Fraction]] = [
            ("worst", 1 - share),
            ("best", share),
        ]
        return [way for way in ways if way[1]]


@dataclass(frozen=True, kw_only=True)
class Lattice:
    """How many repeats each side takes in one direction: all odd numbers, or all even ones.

    ``makes_plans``: blocks are at least as large as needed, so that what is found is a plan; else
    they are at most as large, so that what finds no place is proven.
    """

    blocks: Mapping[int, int]
    is_odd: bool
    makes_plans: bool

    def beyond(self, repeat: Fraction) -> Fraction:
        """How far the blocks may reach beyond the cloth."""
        pick = min if self.makes_plans else max
        return pick((count * repeat - side) / 2 for side, count in self.blocks.items())


def lattices_for(
    sides: Sequence[int], repeats: Sequence[Fraction], *, makes_plans: bool
) -> list[Lattice]:
    """Return the ways to give each side a number of repeats; one that is exact where there is one.

    Parameters
    ----------
    sides : sides of the cuts in this direction, in length units
    repeats : of the prints in this direction, in length units
    makes_plans : whether blocks are at least as large as needed, else at most

    Returns
    -------
    A lattice of odd counts of repeats, of even ones, or both; without those that leave a side none.

    Source
    ------
    Geometry; our own derivation.
    """
    counts = {side: [ceil(side / repeat) for repeat in repeats] for side in sides}
    parities = {count % 2 for several in counts.values() for count in several}
    found = []
    for is_odd in (True, False) if len(parities) > 1 else (bool(parities.pop()),):
        step = 1 if makes_plans else -1
        blocks = {
            side: (max if makes_plans else min)(
                count if count % 2 == is_odd else count + step for count in several
            )
            for side, several in counts.items()
        }
        if min(blocks.values()) > 0:
            found.append(Lattice(blocks=blocks, is_odd=is_odd, makes_plans=makes_plans))
    return found


@dataclass(frozen=True, kw_only=True)
class Way:
    """One way to lay blocks: a lattice for each direction, or none where no print repeats."""

    across: Lattice | None
    along: Lattice | None

    @property
    def both(self) -> tuple[Lattice | None, Lattice | None]:
        """The lattices across and along."""
        return self.across, self.along

    @property
    def makes_plans(self) -> bool:
        """Whether what is found this way is a plan: no block is smaller than needed."""
        return all(lattice is None or lattice.makes_plans for lattice in self.both)
