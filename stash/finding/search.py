"""From a wish to fabrics: a coarse choice in SQL, then the exact fit of the colour words."""

from __future__ import annotations

import numpy as np
from django.db.models import Q

from stash.colour.words import LEAST_FIT, fit
from stash.finding.words import Wish
from stash.models import Fabric
from stash.querysets import FabricQuerySet

__all__ = ["apply_wish", "colour_fits", "find"]


def apply_wish(fabrics: FabricQuerySet, wish: Wish) -> FabricQuerySet:
    """Return the fabrics for which every condition of the wish holds."""
    for text in wish.texts:
        fabrics = fabrics.filter(search_text__contains=text)
    if wish.value_range is not None:
        low, high = wish.value_range
        fabrics = fabrics.filter(value__gte=low, value__lte=high)
    if wish.forms:
        fabrics = fabrics.with_piece(Q(form__in=wish.forms))
    for state in wish.states:
        fabrics = _in_state(fabrics, state)
    if wish.colours:
        fits = colour_fits(fabrics, wish.colours)
        fabrics = fabrics.filter(pk__in=[pk for pk, fitting in fits.items() if fitting])
    return fabrics


def _in_state(fabrics: FabricQuerySet, state: str) -> FabricQuerySet:
    if state == "washed":
        return fabrics.filter(prewashed=True)
    if state == "unwashed":
        return fabrics.exclude(prewashed=True)
    if state == "favourite":
        return fabrics.with_piece(Q(favourite=True))
    if state == "available":
        return fabrics.with_available_piece()
    return fabrics.filter(reference="none", value__isnull=False, value_by_hand=False)


def colour_fits(fabrics: FabricQuerySet, words: tuple[str, ...]) -> dict[int, float]:
    """Return how well the words fit each fabric's far colour, by key; misfits are left out."""
    rows = list(
        fabrics.filter(far_l__isnull=False)
        .order_by("pk")
        .values_list("pk", "far_l", "far_a", "far_b")
    )
    if not rows:
        return {}
    keys = [row[0] for row in rows]
    labs = np.array([row[1:] for row in rows], dtype=np.float64)
    fits = fit(labs, list(words))
    return {
        key: round(float(fitting), 4)
        for key, fitting in zip(keys, fits, strict=True)
        if fitting >= LEAST_FIT
    }


def find(fabrics: FabricQuerySet, wish: Wish) -> list[Fabric]:
    """Return the fabrics of a wish, dark to light; those without a value come last."""
    return list(apply_wish(fabrics, wish).by_value())
