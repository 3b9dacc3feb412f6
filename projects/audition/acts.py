"""Auditions: laying fabrics on a table and moving them, one act of a person each."""

from __future__ import annotations

import random
from collections.abc import Iterable

from django.contrib.auth.models import User
from django.db.models import Max
from django.utils import timezone

from projects.models import Audition, LaidFabric, Project
from projects.models.audition import MOST_LAID
from stash.acts import act_of
from stash.lengths import METRE
from stash.models import Fabric

__all__ = [
    "AuditionError",
    "fold",
    "keep_arrangement",
    "lay",
    "lay_back",
    "lay_beside",
    "pin",
    "put_away",
    "set_table",
    "shuffle",
    "slide",
    "start",
    "swap",
    "take_back",
    "take_off",
    "turn_print",
]

_FARTHEST = METRE  # a print is never slid farther than this; it repeats long before
_FIRST, _SECOND = 1, 2
_HOW_IT_LAY = (
    "arrangement",
    "position",
    "pinned",
    "folded",
    "turn",
    "shift_right",
    "shift_down",
)


class AuditionError(ValueError):
    """What cannot be done on the table; the message is one plain sentence."""


@act_of("owner")
def start(
    *,
    owner: User,
    name: str,
    fabrics: Iterable[Fabric] = (),
    project: Project | None = None,
) -> Audition:
    audition = Audition.objects.create(owner=owner, name=name, project=project)
    lay(audition=audition, fabrics=fabrics)
    return audition


@act_of("audition.owner_id")
def lay(*, audition: Audition, fabrics: Iterable[Fabric]) -> int:
    """Lay fabrics at the end of each arrangement; those that lie there stay. Returns how many.

    Raises
    ------
    AuditionError
        The table would hold more than twelve; then nothing is laid.
    """
    _lock(audition)
    wanted = list(dict.fromkeys(fabrics))
    arrangements = sorted({_FIRST, *audition.laid.values_list("arrangement", flat=True)})
    added = 0
    for arrangement in arrangements:
        lying = audition.laid.filter(arrangement=arrangement)
        there = set(lying.values_list("fabric", flat=True))
        new = [fabric for fabric in wanted if fabric.pk not in there]
        if len(there) + len(new) > MOST_LAID:
            raise AuditionError(
                f"The table holds {MOST_LAID} fabrics; {len(there)} lie on it, so {len(new)} more "
                "do not fit. Take some off first."
            )
        last = lying.aggregate(last=Max("position"))["last"] or 0
        LaidFabric.objects.bulk_create(
            LaidFabric(
                audition=audition, arrangement=arrangement, position=last + at, fabric=fabric
            )
            for at, fabric in enumerate(new, 1)
        )
        added = max(added, len(new))
    return added


@act_of("laid.audition.owner_id")
def take_off(*, laid: LaidFabric) -> dict[str, int]:
    """Take a fabric out of its arrangement; the other arrangement keeps it.

    Returns how it lay, for ``lay_back``.
    """
    _lock(laid.audition)
    lay_there = {name: int(getattr(_number(laid), name)) for name in _HOW_IT_LAY}
    laid.delete()
    return lay_there


@act_of("audition.owner_id")
def lay_back(*, audition: Audition, fabric: Fabric, lay_there: dict[str, int]) -> None:
    """Lay a fabric where it lay before it was taken off; one that lies there again stays.

    Raises
    ------
    AuditionError
        The table is full.
    """
    _lock(audition)
    lying = list(audition.laid.filter(arrangement=lay_there["arrangement"]))
    if any(laid.fabric_id == fabric.pk for laid in lying):
        return
    if len(lying) >= MOST_LAID:
        raise AuditionError(f"The table holds {MOST_LAID} fabrics; take another one off first.")
    for at, laid in enumerate(lying, 1):
        laid.position = at + (at >= lay_there["position"])
    LaidFabric.objects.bulk_update(lying, ["position"])
    LaidFabric.objects.create(audition=audition, fabric=fabric, **lay_there)


@act_of("laid.audition.owner_id")
def slide(*, laid: LaidFabric, right: int, down: int) -> None:
    """Move the print under the patch; negative lengths go left and up."""
    _lock(laid.audition)
    laid.refresh_from_db()
    laid.shift_right = _within(laid.shift_right + right)
    laid.shift_down = _within(laid.shift_down + down)
    laid.save(update_fields=["shift_right", "shift_down"])


@act_of("laid.audition.owner_id")
def turn_print(*, laid: LaidFabric) -> None:
    """Turn the print a quarter clockwise under its patch."""
    _lock(laid.audition)
    laid.refresh_from_db()
    laid.turn = (laid.turn + 90) % 360
    laid.save(update_fields=["turn"])


@act_of("laid.audition.owner_id")
def pin(*, laid: LaidFabric, pinned: bool) -> None:
    """A pinned fabric keeps its place when the others are shuffled."""
    _lock(laid.audition)
    laid.pinned = pinned
    laid.save(update_fields=["pinned"])


@act_of("laid.audition.owner_id")
def fold(*, laid: LaidFabric, folded: bool) -> None:
    """A folded fabric shows only a narrow part of itself beside its neighbour."""
    _lock(laid.audition)
    laid.folded = folded
    laid.save(update_fields=["folded"])


@act_of("laid.audition.owner_id")
def swap(*, laid: LaidFabric, other: LaidFabric) -> None:
    """Let two fabrics of one arrangement change places.

    Raises
    ------
    AuditionError
        They lie in different arrangements.
    """
    _lock(laid.audition)
    first, two = _number(laid), _number(other)
    if (first.audition_id, first.arrangement) != (two.audition_id, two.arrangement):
        raise AuditionError("Only fabrics of the same arrangement can change places.")
    first.position, two.position = two.position, first.position
    LaidFabric.objects.bulk_update([first, two], ["position"])


@act_of("audition.owner_id")
def shuffle(*, audition: Audition, arrangement: int, seed: int | None = None) -> None:
    """Lay what is not pinned in another order, if there is one; same seed, same order.

    Raises
    ------
    AuditionError
        Fewer than two fabrics are free to move.
    """
    _lock(audition)
    lying = list(audition.laid.filter(arrangement=arrangement))
    free = [at for at, laid in enumerate(lying) if not laid.pinned]
    if len(free) < 2:
        raise AuditionError(
            "Fewer than two fabrics are free to move; unpin one, or lay another fabric."
        )
    dice = random.Random(seed)
    order = free[:]
    while order == free:
        dice.shuffle(order)
    moved = dict(zip(free, order, strict=True))
    for at, laid in enumerate(lying):
        laid.position = 1 + moved.get(at, at)
    LaidFabric.objects.bulk_update(lying, ["position"])


@act_of("audition.owner_id")
def lay_beside(*, audition: Audition) -> None:
    """Show the second arrangement: as it was put away, or a copy of the first."""
    _lock(audition)
    if not audition.laid.filter(arrangement=_SECOND).exists():
        copies = list(audition.laid.filter(arrangement=_FIRST))
        for copy in copies:
            copy.pk, copy.arrangement = None, _SECOND
            copy._state.adding = True
        LaidFabric.objects.bulk_create(copies)
    audition.side_by_side = True
    audition.save(update_fields=["side_by_side", "updated_at"])


@act_of("audition.owner_id")
def keep_arrangement(*, audition: Audition, arrangement: int) -> None:
    """Make this arrangement the first and put the other one away."""
    _lock(audition)
    if arrangement == _SECOND:
        lying = list(audition.laid.all())
        audition.laid.all().delete()
        for laid in lying:
            laid.pk, laid.arrangement = None, _FIRST + _SECOND - laid.arrangement
            laid._state.adding = True
        LaidFabric.objects.bulk_create(lying)
    audition.side_by_side = False
    audition.save(update_fields=["side_by_side", "updated_at"])


@act_of("audition.owner_id")
def set_table(*, audition: Audition) -> None:
    """Save the name, the project, and how the fabrics lie."""
    audition.save()


@act_of("audition.owner_id")
def put_away(*, audition: Audition) -> None:
    """Take the audition from the list; it can be taken back."""
    audition.removed_at = timezone.now()
    audition.save(update_fields=["removed_at"])


@act_of("audition.owner_id")
def take_back(*, audition: Audition) -> None:
    audition.removed_at = None
    audition.save(update_fields=["removed_at", "updated_at"])


def _lock(audition: Audition) -> None:
    """One act at a time on a table; the list of auditions shows the last one first."""
    Audition.objects.select_for_update().get(pk=audition.pk)
    Audition.objects.filter(pk=audition.pk).update(updated_at=timezone.now())


def _number(laid: LaidFabric) -> LaidFabric:
    """The row with places counted from 1, so that two rows never share a position."""
    lying = list(LaidFabric.objects.filter(audition=laid.audition, arrangement=laid.arrangement))
    for position, cloth in enumerate(lying, 1):
        cloth.position = position
    LaidFabric.objects.bulk_update(lying, ["position"])
    return next(cloth for cloth in lying if cloth.pk == laid.pk)


def _within(shift: int) -> int:
    return max(-_FARTHEST, min(_FARTHEST, shift))
