"""What of the stash is still to be washed, parted into what may share a tub.

Fibres apart; bleeders each alone; what was not tested and is of a colour that often runs apart
until it is; then by value. Cloth whose lightness is an estimate is put with none of these: eyes
must sort it. Common practice, no source; which colours run most often: reference handbooks, and
common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from django.contrib.auth.models import User
from django.db.models import Prefetch

from stash.amounts import amount_left
from stash.colour.words import describe
from stash.lengths import Unit
from stash.models import Fabric, Piece
from stash.models.fabric import Bleed, Weave
from stash.models.piece import PACK_FORMS
from stash.washing.care import FIBRE_REASONS, fibre_kinds, is_bleeder

__all__ = ["Sort", "ToWash", "WashGroup", "groups_of", "sort_of", "to_wash"]

Sort = Literal["light", "medium", "dark", "by eye", "test first", "alone"]

_MEDIUM_FROM, _LIGHT_FROM = 10 / 3, 20 / 3
#: Reds, purples and navies are the usual offenders, and cloth that was dyed by hand.
_RUNNING_HUES, _RUNNING_DARK = ("red", "purple"), ("blue",)
_BY_HAND = ("hand-dyed", "hand dyed", "indigo")

_SORTS: dict[Sort, tuple[str, str]] = {
    "light": ("light cloth", "Together, with nothing else."),
    "medium": ("medium cloth", "Together; no whites among them."),
    "dark": ("dark cloth", "Together; no light cloth among them."),
    "by eye": (
        "sort by eye",
        "Their lightness is an estimate or not known: put each with the light, the medium or the"
        " dark ones as your eyes tell.",
    ),
    "test first": (
        "test first",
        "Not tested, and of a kind that often bleeds. Until tested, each alone.",
    ),
    "alone": (
        "each alone",
        "These bleed. One at a time, until the water stays clear; then test again.",
    ),
}


@dataclass(frozen=True, kw_only=True)
class ToWash:
    """A fabric of which something on the shelf is not washed, or not known to be."""

    fabric: Fabric
    sort: Sort
    fibres: frozenset[str]
    is_known: bool
    amount: str


@dataclass(frozen=True, kw_only=True)
class WashGroup:
    """What may go together, and how."""

    title: str
    how: str
    cloths: tuple[ToWash, ...]

    @property
    def keys(self) -> str:
        """The keys of its fabrics, as an address carries them."""
        return ",".join(str(cloth.fabric.pk) for cloth in self.cloths)


def to_wash(owner: User, units: Unit) -> list[ToWash]:
    """The fabrics with a piece that is not washed, by name; precuts are not washed at all."""
    pieces = Piece.objects.on_shelf().exclude(form__in=PACK_FORMS).order_by("pk")
    fabrics = (
        Fabric.objects.owned_by(owner)
        .select_related("main_photo")
        .in_stash()
        .prefetch_related("tags", Prefetch("pieces", pieces, to_attr="shelf_pieces"))
        .order_by("name", "pk")
    )
    found = []
    for fabric in fabrics:
        waiting = []
        for piece in fabric.shelf_pieces:
            piece.fabric = fabric
            if not piece.is_washed:
                waiting.append(piece)
        if waiting:
            found.append(
                ToWash(
                    fabric=fabric,
                    sort=sort_of(fabric, [tag.name for tag in fabric.tags.all()]),
                    fibres=fibre_kinds(fabric.fibre),
                    is_known=not any(piece.is_unknown_if_washed for piece in waiting),
                    amount=amount_left(waiting, units),
                )
            )
    return found


def sort_of(fabric: Fabric, tags: Iterable[str] = ()) -> Sort:
    """With what a fabric may be washed, as far as colour and dye go."""
    if is_bleeder(fabric):
        return "alone"
    if fabric.bleed == Bleed.UNTESTED and _often_bleeds(fabric, tags):
        return "test first"
    if fabric.value is None or fabric.is_estimate:
        return "by eye"
    if fabric.value >= _LIGHT_FROM:
        return "light"
    return "medium" if fabric.value >= _MEDIUM_FROM else "dark"


def groups_of(cloths: Sequence[ToWash]) -> list[WashGroup]:
    """The groups in the order in which they are best washed: light cloth of plain fibres first."""
    order = {sort: place for place, sort in enumerate(_SORTS)}
    by_group: dict[tuple[str, Sort], list[ToWash]] = {}
    for cloth in cloths:
        by_group.setdefault((_fibre_name(cloth.fibres), cloth.sort), []).append(cloth)
    names = sorted({fibre for fibre, _ in by_group}, key=lambda name: (name != "plant fibre", name))
    return [
        WashGroup(
            title=f"{fibre.capitalize()}, {_SORTS[sort][0]}",
            how=_how(sort, cloths_in),
            cloths=tuple(cloths_in),
        )
        for fibre in names
        for sort in sorted(order, key=order.__getitem__)
        if (cloths_in := by_group.get((fibre, sort)))
    ]


def _often_bleeds(fabric: Fabric, tags: Iterable[str]) -> bool:
    told = " ".join([fabric.name, fabric.print_words, fabric.notes, *tags]).lower()
    if fabric.weave == Weave.BATIK or any(word in told for word in _BY_HAND):
        return True
    if fabric.far_lab is None:
        return False
    words = describe(fabric.far_lab)
    hue = words.hues[0][0] if words.hues else ""
    return hue in _RUNNING_HUES or (hue in _RUNNING_DARK and fabric.far_lab[0] < 10 * _MEDIUM_FROM)


def _fibre_name(kinds: frozenset[str]) -> str:
    if not kinds:
        return "fibre not known"
    return next(iter(kinds)) if len(kinds) == 1 else "mixed fibres"


def _how(sort: Sort, cloths: Sequence[ToWash]) -> str:
    kinds = sorted(set().union(*(cloth.fibres for cloth in cloths)))
    reasons = [FIBRE_REASONS[kind] for kind in kinds if FIBRE_REASONS[kind]]
    told = "; ".join(reasons)
    return f"{_SORTS[sort][1]} {told[0].upper()}{told[1:]}." if told else _SORTS[sort][1]
