"""Fabrics that might serve a part, by its want or by words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from django.db.models import Prefetch

from projects.models import DirectionRule, Part
from projects.services.wants import colour_words_in
from stash.colour.words import LEAST_FIT, colour_word, fit
from stash.models import Fabric, Piece
from stash.models.fabric import Direction
from stash.querysets import FabricQuerySet
from stash.text import fold

__all__ = ["Candidate", "candidates"]

_MOST_SHOWN = 24


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """A fabric with remarks: where it departs from the want."""

    fabric: Fabric
    is_chosen: bool
    remarks: tuple[str, ...]


def candidates(part: Part, *, words: str | None) -> tuple[list[Candidate], int]:
    """Return up to 24 fabrics with something available, and how many there are in all.

    Without ``words`` the part's want decides: its colour words, and its values as limits. With
    words, these alone do. Fabrics are ordered by value, dark to light.
    """
    pieces = Prefetch("pieces", Piece.objects.on_shelf(), to_attr="shelf_pieces")
    fabrics = Fabric.objects.owned_by(part.project.owner).in_stash().with_available_piece()
    if words is None:
        fabrics = _within_value(fabrics, part)
    found = _by_words(fabrics, part.want_words if words is None else words)
    chosen = {fabric.pk for fabric in part.fabrics.all()}
    shown = found.by_value().prefetch_related(pieces)[:_MOST_SHOWN]
    return [
        Candidate(fabric=fabric, is_chosen=fabric.pk in chosen, remarks=remarks_on(part, fabric))
        for fabric in shown
    ], found.count()


def _within_value(fabrics: FabricQuerySet, part: Part) -> FabricQuerySet:
    if part.value_low is not None:
        fabrics = fabrics.filter(value__gte=part.value_low)
    if part.value_high is not None:
        fabrics = fabrics.filter(value__lte=part.value_high)
    return fabrics


def _by_words(fabrics: FabricQuerySet, text: str) -> FabricQuerySet:
    """Colour words by how well they fit the far colour, all others by the fabric's own words."""
    colours = colour_words_in(text)
    spelt = {word for colour in colours for word in colour.split()}
    for word in fold(text).split():
        if word not in spelt and colour_word(word) is None and not word.startswith("#"):
            fabrics = fabrics.filter(search_text__contains=word)
    if not colours:
        return fabrics
    rows = list(fabrics.filter(far_l__isnull=False).values_list("pk", "far_l", "far_a", "far_b"))
    if not rows:
        return fabrics.none()
    fits = fit(np.array([row[1:] for row in rows], dtype=np.float64), colours)
    keys = [row[0] for row, fitting in zip(rows, fits, strict=True) if fitting >= LEAST_FIT]
    return fabrics.filter(pk__in=keys)


def remarks_on(part: Part, fabric: Fabric) -> tuple[str, ...]:
    """What to know before choosing this fabric for the part."""
    remarks = []
    if fabric.value is not None:
        if part.value_low is not None and fabric.value < part.value_low:
            remarks.append("darker than wanted")
        if part.value_high is not None and fabric.value > part.value_high:
            remarks.append("lighter than wanted")
    if fabric.direction != Direction.NONE and part.direction_rule != DirectionRule.MAY_TURN:
        remarks.append(f"{fabric.get_direction_display()}: its cuts are not turned")
    if fabric.bleed == "bleeds":
        remarks.append("bleeds: wash it before it meets light cloth")
    return tuple(remarks)
