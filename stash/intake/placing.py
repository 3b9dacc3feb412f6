"""Placing a value by eye: which measured neighbours to lay the cloth between, and what follows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.auth.models import User

from stash.acts import act_of
from stash.colour.appearance import Appearance
from stash.colour.spaces.value import place_by_eye
from stash.models import Draft, Fabric, Place

__all__ = ["Placing", "Slot", "clear_draft", "measured_fabrics", "place", "place_draft"]

# The eye stops here: half of one step of value. Also the least that a placing claims.
_HALF_STEP = 0.5
_LEAST_GAIN = 0.1
_ANYTHING = (5.0, 5.0)
_SHOWN = 3
_MAX_CANDIDATES = 5000


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A place among the neighbours: the keys to ask with next, and the words of its button."""

    lighter_than: int | None
    darker_than: int | None
    words: str
    neighbour: Fabric | None = None  # the next lighter one, shown after the slot

    @property
    def lies_in(self) -> Place | None:
        """Where the neighbour's first piece lies."""
        pieces = self.neighbour.pieces.all() if self.neighbour is not None else ()
        first = next(iter(pieces), None)
        return first.place if first is not None and first.count else None


@dataclass(frozen=True, kw_only=True)
class Placing:
    """What is known so far, and the slots to choose from, dark to light; none when it is done."""

    placed: float
    uncertainty: float
    slots: tuple[Slot, ...]
    is_started: bool

    @property
    def low(self) -> float:
        return self.placed - self.uncertainty

    @property
    def high(self) -> float:
        return self.placed + self.uncertainty

    @property
    def is_narrow(self) -> bool:
        """Whether one step of value is left, which is as fine as the eye places."""
        return self.uncertainty <= _HALF_STEP


def measured_fabrics(owner: User) -> Iterable[Fabric]:
    """Fabrics that the cloth can be laid beside: on the shelf, with a value from a reference."""
    fabrics = Fabric.objects.owned_by(owner).in_stash().exclude(reference="none")
    return fabrics.filter(value__isnull=False, value_uncertainty__isnull=False, value_by_hand=False)


def place(
    *,
    owner: User,
    appearance: Appearance | None,
    lighter_than: Fabric | None = None,
    darker_than: Fabric | None = None,
    leave_out: int | None = None,
) -> Placing:
    """Return where a cloth falls, from its photo's estimate and what the eye said so far.

    Raises ValueError (one sentence) when the two neighbours lie the wrong way round.
    """
    estimate = (appearance.value, appearance.uncertainty) if appearance else _ANYTHING
    placed, uncertainty = place_by_eye(
        estimate=estimate, lighter_than=_interval(lighter_than), darker_than=_interval(darker_than)
    )
    is_started = lighter_than is not None or darker_than is not None
    found = Placing(
        placed=placed, uncertainty=max(uncertainty, _HALF_STEP), slots=(), is_started=is_started
    )
    if uncertainty <= _HALF_STEP:
        return found
    neighbours = _neighbours(owner, placed - uncertainty, placed + uncertainty, leave_out)
    slots = _slots(neighbours, lighter_than, darker_than)
    return Placing(placed=placed, uncertainty=uncertainty, slots=slots, is_started=is_started)


@act_of("draft.owner_id")
def place_draft(*, draft: Draft, placing: Placing) -> None:
    """Keep the value on the card until it goes to the shelf."""
    draft.value_by_eye, draft.value_by_eye_uncertainty = placing.placed, placing.uncertainty
    draft.save(update_fields=["value_by_eye", "value_by_eye_uncertainty"])


@act_of("draft.owner_id")
def clear_draft(*, draft: Draft) -> None:
    draft.value_by_eye = draft.value_by_eye_uncertainty = None
    draft.save(update_fields=["value_by_eye", "value_by_eye_uncertainty"])


def _interval(fabric: Fabric | None) -> tuple[float, float] | None:
    if fabric is None or fabric.value is None:
        return None
    return fabric.value, fabric.value_uncertainty or 0.0


def _neighbours(owner: User, low: float, high: float, leave_out: int | None) -> list[Fabric]:
    """Up to three that divide the room evenly, dark to light; plain and certain ones first.

    Each narrows the room whichever side the cloth falls on. Ties by the fabric's key.
    """
    fabrics = measured_fabrics(owner).filter(  # type: ignore[attr-defined]
        value__gt=low, value__lt=high, pieces__count__gt=0
    )
    rows = fabrics.exclude(pk=leave_out).order_by("value_uncertainty", "pk").distinct()
    useful = [
        (key, value, half, contrast or 0.0)
        for key, value, half, contrast in rows.values_list(
            "pk", "value", "value_uncertainty", "contrast"
        )[:_MAX_CANDIDATES]
        if value - half > low + _LEAST_GAIN and value + half < high - _LEAST_GAIN
    ]
    chosen: dict[int, float] = {}
    for number in range(1, _SHOWN + 1):
        target = low + (high - low) * number / (_SHOWN + 1)
        free = [candidate for candidate in useful if _stands_apart(candidate[1], chosen.values())]
        if free:
            best = min(
                free,
                key=lambda candidate: (
                    abs(candidate[1] - target) + candidate[2] + candidate[3] / 100,
                    candidate[0],
                ),
            )
            chosen[best[0]] = best[1]
    shown = Fabric.objects.select_related("main_photo").prefetch_related("pieces__place")
    found = shown.in_bulk(list(chosen))
    return [found[key] for key in sorted(chosen, key=lambda key: (chosen[key], key))]


def _stands_apart(value: float, others: Iterable[float]) -> bool:
    """Two neighbours closer than the eye places would ask the same thing twice."""
    return all(abs(value - other) >= _HALF_STEP for other in others)


def _slots(
    neighbours: list[Fabric], lighter_than: Fabric | None, darker_than: Fabric | None
) -> tuple[Slot, ...]:
    if not neighbours:
        return ()
    floor = lighter_than.pk if lighter_than else None
    ceiling = darker_than.pk if darker_than else None
    keys = [floor, *(fabric.pk for fabric in neighbours), ceiling]
    many = {1: "it", 2: "both", 3: "all three"}[len(neighbours)]
    words = [f"Darker than {many}", *["Between these"] * (len(neighbours) - 1)]
    words.append(f"Lighter than {many}")
    return tuple(
        Slot(lighter_than=dark, darker_than=light, words=wording, neighbour=neighbour)
        for dark, light, wording, neighbour in zip(
            keys[:-1], keys[1:], words, [*neighbours, None], strict=True
        )
    )
