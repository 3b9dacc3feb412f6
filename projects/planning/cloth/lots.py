"""Whether the cloth of a part comes from purchases or fabrics that may not match.

Dye lots differ. Where each purchase has a measured photo its colours are compared, by CIEDE2000
against the certainty of both readings, and told in the words of the textile grey scale. Where
they have none, the mixing itself is told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot
from typing import Any

from projects.models import Part, Promise
from stash.colour.cloth.palette import PaletteColour
from stash.colour.similar import PALETTE_ALIKE, palette_difference
from stash.colour.spaces.cielab import Lab
from stash.colour.spaces.difference import delta_e_2000, grade_words, grey_scale_grade
from stash.models import Draft, Fabric, Piece

__all__ = ["lot_warnings"]

_ONE_LOT = ("5", "4-5")
# Fabrics further apart than this are told apart on purpose.
_ALMOST = ("4", "3-4", "3")
_MOST_FABRICS = 60


@dataclass(frozen=True, kw_only=True)
class _Read:
    """A measured colour: CIELAB and the half width of its 90 % interval in L*."""

    far: Lab
    half: float


_Purchase = tuple[str, ...]


def lot_warnings(parts: Iterable[Part]) -> list[tuple[Part, tuple[str, ...]]]:
    """Return the parts that have any, each with its sentences; four queries in all."""
    asked = [part for part in parts if not part.not_needed]
    keys = [part.pk for part in asked]
    chosen = _chosen_fabrics(keys)
    pieces = _pieces_of(keys, chosen)
    readings = _readings({piece.fabric_id for held, _ in pieces.values() for piece in held})
    found = []
    for part in asked:
        key = part.pk
        held, is_promised = pieces.get(key, ((), False))
        sentences = [
            *_of_purchases(held, readings, is_promised=is_promised),
            *_of_fabrics(chosen.get(key, ())),
        ]
        if sentences:
            found.append((part, tuple(sentences)))
    return found


def _chosen_fabrics(parts: Sequence[int]) -> dict[int, list[Fabric]]:
    links = Part.fabrics.through.objects.filter(part__in=parts, fabric__removed_at=None)
    chosen: dict[int, list[Fabric]] = defaultdict(list)
    for link in links.select_related("fabric").order_by("fabric__name", "fabric"):
        chosen[link.part_id].append(link.fabric)
    return chosen


def _pieces_of(
    parts: Sequence[int], chosen: Mapping[int, Sequence[Fabric]]
) -> dict[int, tuple[Sequence[Piece], bool]]:
    """Each part's promised pieces; without any, what lies on the shelf of its fabrics."""
    promised: dict[int, list[Piece]] = defaultdict(list)
    held = Promise.objects.filter(part__in=parts).select_related("piece__fabric")
    for promise in held.order_by("pk"):
        promised[promise.part_id].append(promise.piece)
    open_fabrics = {fabric.pk for key in chosen if key not in promised for fabric in chosen[key]}
    on_shelf: dict[int, list[Piece]] = defaultdict(list)
    shelf = Piece.objects.on_shelf().filter(fabric__in=open_fabrics).select_related("fabric")
    for piece in shelf.order_by("pk"):
        on_shelf[piece.fabric_id].append(piece)
    found: dict[int, tuple[Sequence[Piece], bool]] = {
        key: (pieces, True) for key, pieces in promised.items()
    }
    for key in parts:
        if key not in found:
            found[key] = ([p for fabric in chosen.get(key, ()) for p in on_shelf[fabric.pk]], False)
    return found


def _purchase(piece: Piece) -> _Purchase:
    """What tells one purchase from another: the lot if it is known, else where and when."""
    if piece.lot:
        return ("lot", piece.lot)
    return ("bought", piece.bought_where, str(piece.bought_on or ""))


def _readings(fabrics: set[int]) -> dict[tuple[int, _Purchase], _Read]:
    """The best measured photo of each purchase: the card that brought one of its pieces."""
    drafts = Draft.objects.filter(piece__fabric__in=fabrics).select_related("piece", "photo")
    found: dict[tuple[int, _Purchase], _Read] = {}
    for draft in drafts.order_by("pk"):
        read = _measured(draft.photo.reading)
        if read is None or draft.piece is None:
            continue
        key = (draft.piece.fabric_id, _purchase(draft.piece))
        if key not in found or read.half < found[key].half:
            found[key] = read
    return found


def _measured(reading: dict[str, Any] | None) -> _Read | None:
    if not reading or reading["reference"] == "none":
        return None
    lightness, a, b = reading["far"]
    return _Read(far=(lightness, a, b), half=10 * reading["uncertainty"])


def _of_purchases(
    pieces: Sequence[Piece],
    readings: Mapping[tuple[int, _Purchase], _Read],
    *,
    is_promised: bool,
) -> Iterable[str]:
    by_fabric: dict[int, dict[_Purchase, Piece]] = defaultdict(dict)
    for piece in pieces:
        by_fabric[piece.fabric_id].setdefault(_purchase(piece), piece)
    for fabric, purchases in by_fabric.items():
        if len(purchases) < 2:
            continue
        name = next(iter(purchases.values())).fabric.name
        read = [readings.get((fabric, purchase)) for purchase in purchases]
        apart = _furthest([reading for reading in read if reading is not None])
        if apart is not None:
            grade, difference = apart
            yield (
                f"{name} comes from {len(purchases)} purchases whose photos differ by"
                f" {difference:.1f} (CIEDE2000), more than their uncertainty:"
                f" {_said(grade)}. Lay them side by side before cutting."
            )
        elif is_promised and None in read:
            yield (
                f"{name} comes from {len(purchases)} purchases or lots that could not be compared,"
                " because not each has a measured photo. Lay them side by side before cutting."
            )


def _furthest(reads: Sequence[_Read]) -> tuple[str, float] | None:
    """Grade and difference of the two that differ most, if more than can be uncertain."""
    pairs = [
        (float(delta_e_2000(first.far, other.far)), first, other)
        for first, other in combinations(reads, 2)
        if _differ(first, other)
    ]
    if not pairs:
        return None
    difference, first, other = max(pairs, key=lambda pair: pair[0])
    return grey_scale_grade(first.far, other.far), difference


def _differ(first: _Read, other: _Read) -> bool:
    """A step of L* is never less than its CIEDE2000, so this errs on the quiet side."""
    return float(delta_e_2000(first.far, other.far)) > hypot(first.half, other.half)


def _of_fabrics(fabrics: Sequence[Fabric]) -> Iterable[str]:
    """The two chosen fabrics that come nearest to one lot without passing as one."""
    read = [(fabric, _of_fabric(fabric)) for fabric in fabrics[:_MOST_FABRICS]]
    pairs = []
    for (fabric, first), (other_fabric, other) in combinations(read, 2):
        if first is None or other is None or not _differ(first, other):
            continue
        grade = grey_scale_grade(first.far, other.far)
        if grade in _ALMOST and _same_palette(fabric, other_fabric):
            difference = float(delta_e_2000(first.far, other.far))
            pairs.append((difference, fabric.name, other_fabric.name, grade))
    if pairs:
        difference, name, other_name, grade = min(pairs)
        yield (
            f"{name} and {other_name} look almost alike and differ by {difference:.1f}"
            f" (CIEDE2000), more than their uncertainty: {_said(grade)}. Side by side that shows;"
            " mix them on purpose or keep them apart."
        )


def _of_fabric(fabric: Fabric) -> _Read | None:
    if fabric.far_lab is None or fabric.reference == "none" or fabric.value_uncertainty is None:
        return None
    return _Read(far=fabric.far_lab, half=10 * fabric.value_uncertainty)


def _same_palette(first: Fabric, other: Fabric) -> bool:
    return palette_difference(_palette(first), _palette(other)) <= PALETTE_ALIKE


def _palette(fabric: Fabric) -> list[PaletteColour]:
    return [
        PaletteColour(lab=tuple(colour["lab"]), share=colour["share"]) for colour in fabric.palette
    ]


def _said(grade: str) -> str:
    if grade in _ONE_LOT:
        return f"grey scale {grade}, which still {grade_words(grade)}"
    words = f"grey scale {grade}, {grade_words(grade)}"
    return f"{words} but not one lot" if grade in _ALMOST else words
