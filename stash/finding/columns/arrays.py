"""One person's fabrics and pieces as arrays: what finding computes with.

Row i of every fabric array is one fabric, row j of every piece array one piece. A stash of
100,000 fabrics is some 60 MB of arrays, and a condition over it costs milliseconds, on every
database the same. Arrays are never changed in place; a change makes new columns.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from stash.colour.words import HUE_WORDS, MODIFIER_WORDS, claim_answers, claimed_words
from stash.colour.words.hues import hue_shares
from stash.colour.words.modifiers import modifier_fits
from stash.finding.columns.nearest import ColourIndex

__all__ = [
    "PALETTE_SIZE",
    "Columns",
    "FabricColumns",
    "PatchColumns",
    "PieceColumns",
    "word_columns",
]

PALETTE_SIZE = 6
MAJORITY = 2 / 3
Array = NDArray[Any]
_BREAK = "\n"
_NAME_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")


@dataclass(frozen=True)
class _Table:
    """Arrays of equal length."""

    def __len__(self) -> int:
        return len(getattr(self, fields(self)[0].name))

    def taken(self, rows: Array) -> Self:
        """The same columns with only these rows (a mask or indices)."""
        return type(self)(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def followed_by(self, other: Self) -> Self:
        return type(self)(
            **{
                f.name: np.concatenate([getattr(self, f.name), getattr(other, f.name)])
                for f in fields(self)
            }
        )


@dataclass(frozen=True)
class FabricColumns(_Table):
    """Colours are CIELAB (D65), NaN where nothing was read; value on the 0 to 10 scale."""

    key: Array  # (n,) int64, in the order in which they came
    name: Array  # (n,) str objects
    folded: Array  # (n,) the name without capitals and accents, str objects
    text: Array  # (n,) folded words, str objects
    far: Array  # (n, 3) float64
    near: Array  # (n, 3) float64
    palette: Array  # (n, 6, 3) float32
    share: Array  # (n, 6) float32, 0 where the palette has fewer colours
    value: Array  # (n,) float64
    uncertainty: Array  # (n,) float64
    is_measured: Array  # (n,) bool: a reference or the person's eye stands behind the value
    is_bare: Array  # (n,) bool: its colours come from a photo without a reference
    direction: Array  # (n,) short str
    prewashed: Array  # (n,) int8: 1 yes, 0 no, -1 not known
    print_scale: Array  # (n,) short str
    called: Array  # (n,) what the person calls a colour that nobody read, str objects
    hue: Array  # (n, 11) float32, shares of people who would use each of HUE_WORDS
    modifier: Array  # (n, 9) float32, how far it is each of MODIFIER_WORDS


@dataclass(frozen=True)
class PieceColumns(_Table):
    """Pieces on the shelf; lengths in whole units, free of promises and keep-backs."""

    fabric: Array  # (m,) int64, key of the fabric
    key: Array  # (m,) int64
    form: Array  # (m,) short str
    width: Array  # (m,) int64
    length: Array  # (m,) int64, free length of one
    count: Array  # (m,) int64, free count
    whole_length: Array  # (m,) int64, promised and kept back included
    whole_count: Array  # (m,) int64, promised included
    place: Array  # (m,) int64, 0 for none
    favourite: Array  # (m,) bool
    shop: Array  # (m,) folded str objects
    bought: Array  # (m,) int64, days since 1970, or -1
    moved: Array  # (m,) int64, day of the last movement, or -1
    is_promised: Array  # (m,) bool, at least in part


@dataclass(frozen=True)
class PatchColumns(_Table):
    """Every palette colour of every fabric, with its words."""

    fabric: Array  # (p,) int64, key of the fabric
    lab: Array  # (p, 3) float32
    share: Array  # (p,) float32
    hue: Array  # (p, 11) float32
    modifier: Array  # (p, 9) float32


@dataclass(frozen=True)
class Columns:
    """The stash at one tick of its clock."""

    fabrics: FabricColumns
    pieces: PieceColumns
    tick: int

    def __len__(self) -> int:
        return len(self.fabrics)

    def renewed(self, changed: Columns, keys: Sequence[int]) -> Columns:
        """These columns with everything about the given fabrics replaced by what changed."""
        stale = np.asarray(sorted(keys), dtype=np.int64)
        fabrics = self.fabrics.taken(~np.isin(self.fabrics.key, stale))
        pieces = self.pieces.taken(~np.isin(self.pieces.fabric, stale))
        renewed = Columns(
            fabrics=fabrics.followed_by(changed.fabrics),
            pieces=pieces.followed_by(changed.pieces),
            tick=changed.tick,
        )
        for name in ("patches", "main_patches"):
            if name in self.__dict__:
                known: PatchColumns = self.__dict__[name]
                kept = known.taken(~np.isin(known.fabric, stale))
                renewed.__dict__[name] = kept.followed_by(getattr(changed, name))
        gone = set(keys)
        for told_in, cards in list(self._cards.items()):
            still = {key: card for key, card in list(cards.items()) if key not in gone}
            renewed._cards[told_in] = still
        return renewed

    @cached_property
    def all_free(self) -> Columns:
        """The stash as it would be without promises and keep-backs."""
        pieces = replace(
            self.pieces, length=self.pieces.whole_length, count=self.pieces.whole_count
        )
        return Columns(fabrics=self.fabrics, pieces=pieces, tick=self.tick)

    def claimed(self, words: Sequence[str], *, anywhere: bool = False) -> Array:
        """A mask of the unread fabrics whose person's own word answers these colour words."""
        found = np.zeros(len(self), dtype=bool)
        for text, rows in self._rows_by_claim.items():
            if claim_answers(text, words, anywhere=anywhere):
                found[rows] = True
        return found

    @cached_property
    def estimated(self) -> Array:
        """The rows of fabrics whose value is an estimate."""
        return np.flatnonzero(~self.fabrics.is_measured & np.isfinite(self.fabrics.far[:, 0]))

    @cached_property
    def farthest(self) -> float:
        """L* by which the most uncertain estimate may be off."""
        if not len(self.estimated):
            return 0.0
        return 10 * float(np.nan_to_num(self.fabrics.uncertainty[self.estimated]).max())

    @cached_property
    def is_claimed(self) -> Array:
        """A mask of the unread fabrics whose colour the person has said, and nothing else."""
        found = np.zeros(len(self), dtype=bool)
        for text, rows in self._rows_by_claim.items():
            found[rows] = claimed_words(text) is not None
        return found

    @cached_property
    def _rows_by_claim(self) -> dict[str, Array]:
        rows: dict[str, list[int]] = {}
        for row in np.flatnonzero(self.fabrics.called.astype(bool)).tolist():
            rows.setdefault(self.fabrics.called[row], []).append(row)
        return {text: np.array(at, dtype=np.int64) for text, at in rows.items()}

    @cached_property
    def patches(self) -> PatchColumns:
        """Every palette colour of every fabric."""
        return self._patches_where(self.fabrics.share > 0)

    @cached_property
    def main_patches(self) -> PatchColumns:
        """The palette colours that make up at least two thirds of their fabric."""
        return self._patches_where(self.fabrics.share >= MAJORITY)

    def _patches_where(self, mask: Array) -> PatchColumns:
        rows, places = np.nonzero(mask)
        labs = self.fabrics.palette[rows, places]
        hue, modifier = word_columns(labs.astype(np.float64))
        return PatchColumns(
            fabric=self.fabrics.key[rows],
            lab=labs,
            share=self.fabrics.share[rows, places],
            hue=hue,
            modifier=modifier,
        )

    @cached_property
    def patch_rows(self) -> Array:
        """For each palette colour the row of its fabric."""
        return self._rows_of(self.patches.fabric)

    @cached_property
    def main_patch_rows(self) -> Array:
        """For each main palette colour the row of its fabric."""
        return self._rows_of(self.main_patches.fabric)

    @cached_property
    def order_of_keys(self) -> Array:
        return np.argsort(self.fabrics.key, kind="stable")

    @cached_property
    def piece_rows(self) -> Array:
        """For each piece the row of its fabric."""
        return self._rows_of(self.pieces.fabric)

    def _rows_of(self, keys: Array) -> Array:
        ordered = self.fabrics.key[self.order_of_keys]
        return self.order_of_keys[np.searchsorted(ordered, keys)]

    @cached_property
    def _by_fabric(self) -> tuple[Array, Array]:
        """The pieces in the order of their fabrics' rows, largest first; where each row begins."""
        pieces = self.pieces
        order = np.lexsort((pieces.key, -pieces.width, -pieces.whole_length, self.piece_rows))
        starts = np.searchsorted(self.piece_rows[order], np.arange(len(self) + 1))
        return order, starts

    def pieces_of(self, row: int) -> Array:
        """The places of a fabric's pieces in the columns, the longest first."""
        order, starts = self._by_fabric
        return order[starts[row] : starts[row + 1]]

    def name_rank(self, rows: Array) -> Array:
        """The place of each of these rows among them in the order of folded name, then key."""
        folded = self.fabrics.folded[rows].tolist()
        keys = self.fabrics.key[rows].tolist()
        order = sorted(range(len(folded)), key=lambda i: (folded[i], keys[i]))
        rank = np.empty(len(order), dtype=np.int64)
        rank[order] = np.arange(len(order))
        return rank

    @cached_property
    def all_text(self) -> tuple[str, Array]:
        """Every fabric's words in one string, and where each fabric's words begin."""
        parts = [str(text) for text in self.fabrics.text]
        starts = np.cumsum([0, *(len(part) + 1 for part in parts)])[:-1]
        return _BREAK.join(parts), starts

    @cached_property
    def free_area(self) -> Array:
        """(n,) free cloth of each fabric in square units, as float: for ordering only."""
        area = self.pieces.width.astype(float) * self.pieces.length * self.pieces.count
        return np.bincount(self.piece_rows, weights=area, minlength=len(self))

    @cached_property
    def answers(self) -> dict[Any, Any]:
        """What was computed on these columns and depends on nothing else, by what was asked."""
        return {}

    def kept_cards(self, told_in: Hashable) -> dict[int, Any]:
        """The cards made of these fabrics so far, by key; in other words they are made anew."""
        kept: dict[int, Any] | None = self._cards.get(told_in)
        if kept is None:
            self._cards.clear()
            kept = self._cards[told_in] = {}
        return kept

    @cached_property
    def _cards(self) -> dict[Hashable, dict[int, Any]]:
        return {}

    @cached_property
    def far_index(self) -> ColourIndex:
        return ColourIndex(self.fabrics.far, self.fabrics.key)

    @cached_property
    def near_index(self) -> ColourIndex:
        return ColourIndex(self.fabrics.near, self.fabrics.key)

    @cached_property
    def key_of_name(self) -> dict[str, int]:
        """The oldest fabric of each folded name."""
        found: dict[str, int] = {}
        for row in self.order_of_keys:
            found.setdefault(self.fabrics.folded[row], int(self.fabrics.key[row]))
        return found

    @cached_property
    def shops(self) -> frozenset[str]:
        return frozenset(shop for shop in set(self.pieces.shop.tolist()) if shop)

    def rows_with_piece(self, pieces: Array) -> Array:
        """A mask of the fabrics that own at least one of the masked pieces."""
        found = np.zeros(len(self), dtype=bool)
        found[self.piece_rows[pieces]] = True
        return found

    def rows_with_text(self, text: str) -> Array:
        """A mask of the fabrics whose words contain the (folded) text."""
        found = np.zeros(len(self), dtype=bool)
        joined, starts = self.all_text
        places = []
        at = joined.find(text)
        while at >= 0:
            places.append(at)
            at = joined.find(text, at + len(text))
        found[np.searchsorted(starts, places, side="right") - 1] = True
        return found

    def is_in_text(self, word: str) -> bool:
        """Whether the (folded) word stands in any fabric's words or any shop's name."""
        return word in self.all_text[0] or any(word in shop for shop in self.shops)

    def rows_called(self, words: Sequence[str]) -> Array:
        """A mask of the fabrics whose name holds all of these whole (folded) words."""
        found = np.ones(len(self), dtype=bool)
        joined, starts = self._all_names
        for word in sorted(words, key=len, reverse=True):
            places = [match.start() for match in re.finditer(re.escape(f" {word} "), joined)]
            with_word = np.zeros(len(self), dtype=bool)
            with_word[np.searchsorted(starts, places, side="right") - 1] = True
            found &= with_word
            if not found.any():
                break
        return found

    @cached_property
    def _all_names(self) -> tuple[str, Array]:
        """Every fabric's name as words in one string, and where each name begins."""
        parts = [f" {' '.join(_NAME_WORD.findall(name))} " for name in self.fabrics.folded]
        starts = np.cumsum([0, *(len(part) + 1 for part in parts)])[:-1]
        return _BREAK.join(parts), starts

    def row_of(self, key: int) -> int | None:
        """The row of a fabric by its key, if it is in the stash."""
        ordered = self.fabrics.key[self.order_of_keys]
        at = int(np.searchsorted(ordered, key))
        if at < len(ordered) and ordered[at] == key:
            return int(self.order_of_keys[at])
        return None


def word_columns(labs: Array) -> tuple[Array, Array]:
    """Hue shares and modifier fits of each colour; zeros where no colour was read."""
    shares = np.zeros((len(labs), len(HUE_WORDS)), dtype=np.float32)
    fits = np.zeros((len(labs), len(MODIFIER_WORDS)), dtype=np.float32)
    known = np.flatnonzero(np.isfinite(labs).all(axis=1))
    # Blocks keep what is computed on the way within some megabytes.
    for start in range(0, len(known), 8192):
        rows = known[start : start + 8192]
        found = hue_shares(labs[rows])
        shares[rows], fits[rows] = found, modifier_fits(labs[rows], found)
    return shares, fits
