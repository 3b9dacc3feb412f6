"""Pairs of cloths that touch on the tables of an audition, and what separates them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from projects.audition.tables import ShownTable
from projects.planning.cloth.pictures import flat_cloth_of
from projects.quilt_design.side_by_side.harmony import harmony_words
from projects.quilt_design.side_by_side.separation import Pair, compare
from projects.quilt_design.side_by_side.table import (
    neighbours,
)
from stash.colour.words import stated
from stash.models import Fabric

__all__ = ["ShownPair", "pairs_of"]


@dataclass(frozen=True, kw_only=True)
class ShownPair:
    first: Fabric
    other: Fabric
    pair: Pair
    meet: bool

    @property
    def is_judged(self) -> bool:
        """Whether both colours were read; of a stand-in nothing can be told."""
        return not self._unread

    @property
    def sentence(self) -> str:
        if self._unread:
            return f"Not judged: no colour was read of {' and '.join(self._unread)}."
        return self.pair.told(self._estimates)

    @property
    def hint(self) -> str:
        return harmony_words(self.pair.harmony)

    @property
    def numbers(self) -> str:
        """Steps of value and the difference in colour, as far as they are known."""
        steps = f"{abs(self.pair.steps):.1f} ± {self.pair.uncertainty:.1f}"
        apart = f"{self.pair.difference:.1f}"
        has_bare = self.first.has_estimated_colour or self.other.has_estimated_colour
        return (
            f"Value {stated(steps, is_estimate=bool(self._estimates))} · CIEDE2000"
            f" {stated(apart, is_estimate=has_bare)}"
        )

    @property
    def _unread(self) -> list[str]:
        return [fabric.name for fabric in (self.first, self.other) if fabric.far_lab is None]

    @property
    def _estimates(self) -> list[str]:
        return [fabric.name for fabric in (self.first, self.other) if fabric.is_estimate]


def pairs_of(tables: Iterable[ShownTable]) -> list[ShownPair]:
    """Return each two of the fabrics on the tables, least apart in value first."""
    tables = list(tables)
    fabrics = {cloth.fabric_id: cloth.fabric for table in tables for cloth in table.laid}
    met = {frozenset(map(int, pair)) for table in tables for pair in neighbours(table.table)}
    patch_mm = min((table.patch_mm for table in tables), default=1.0)
    cloths = {key: flat_cloth_of(fabric) for key, fabric in fabrics.items()}
    keys = list(fabrics)
    found = [
        ShownPair(
            first=fabrics[a],
            other=fabrics[b],
            pair=compare(cloths[a], cloths[b], patch_mm=patch_mm),
            meet=frozenset((a, b)) in met,
        )
        for at, a in enumerate(keys)
        for b in keys[at + 1 :]
    ]
    return sorted(
        found,
        key=lambda shown: (
            not shown.is_judged,
            round(abs(shown.pair.steps), 3),
            shown.first.pk,
        ),
    )
