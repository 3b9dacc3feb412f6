"""What is asked of what a person wrote down of a fabric."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from stash.colour.words import singulars
from stash.finding.columns.arrays import Columns
from stash.finding.conditions.base import Condition, Mask

__all__ = ["DirectionIs", "ForProject", "Named", "ScaleIs", "Washed", "Word"]


@dataclass(frozen=True, kw_only=True)
class ForProject(Condition):
    """Chosen for or promised to a project: these fabrics."""

    keys: frozenset[int]

    def keeps(self, columns: Columns) -> Mask:
        return np.isin(columns.fabrics.key, sorted(self.keys))


@dataclass(frozen=True, kw_only=True)
class Washed(Condition):
    was_washed: int

    def keeps(self, columns: Columns) -> Mask:
        return np.asarray(columns.fabrics.prewashed == self.was_washed)


@dataclass(frozen=True, kw_only=True)
class DirectionIs(Condition):
    direction: str

    def keeps(self, columns: Columns) -> Mask:
        return np.asarray(columns.fabrics.direction == self.direction, dtype=bool)


@dataclass(frozen=True, kw_only=True)
class ScaleIs(Condition):
    scale: str

    def keeps(self, columns: Columns) -> Mask:
        return np.asarray(columns.fabrics.print_scale == self.scale, dtype=bool)


@dataclass(frozen=True, kw_only=True)
class Word(Condition):
    """The fabric's own words contain this text, or a piece was bought in such a shop."""

    text: str
    near: str | None = field(default=None, compare=False)

    def keeps(self, columns: Columns) -> Mask:
        forms = set(singulars(self.text))
        kept = np.zeros(len(columns), dtype=bool)
        for form in forms:
            # What holds “dots” holds “dot”, too.
            if not any(other != form and other in form for other in forms):
                kept |= columns.rows_with_text(form)
        shops = {shop for shop in columns.shops if self.text in shop}
        if shops:
            in_shop = np.fromiter((shop in shops for shop in columns.pieces.shop), dtype=bool)
            kept = kept | columns.rows_with_piece(in_shop)
        return kept


@dataclass(frozen=True, kw_only=True)
class Named(Condition):
    """The fabric's name holds all of these words."""

    words: tuple[str, ...]

    def keeps(self, columns: Columns) -> Mask:
        return columns.rows_called(self.words)
