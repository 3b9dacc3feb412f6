"""What a person does while sewing: counting, measuring, and letting the lists follow the top."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from projects.models import (
    BlocksTold,
    Cut,
    MeasuredBlock,
    MeasuredTop,
    Part,
    Project,
    SewnStep,
)
from projects.planning.cut_lists.filling import fill
from projects.sewing.order import order_of
from projects.sewing.tops import true_size_of
from projects.sewing.true_size import TrueSize
from stash.acts import act_of, key_of_act
from stash.journal.changes import change, keep_differences, made, removed, told_by
from stash.lengths import Unit

__all__ = [
    "SewingError",
    "count_made",
    "follow_top",
    "forget_block",
    "measure_block",
    "measure_top",
    "tell_blocks",
]


class SewingError(ValueError):
    """What cannot be counted or changed now; the message says why in one sentence."""


@act_of("project.owner_id")
def count_made(*, project: Project, step: str, count: int, units: Unit) -> SewnStep:
    """Count so many more of a step as made; ``count`` below 0 takes so many back.

    Raises
    ------
    SewingError
        The project has no such step, or there are not so many left.
    """
    known = order_of(project, units).step(step)
    if known is None or not known.is_counted:
        raise SewingError("This step is not in the sewing order any more; look at it again.")
    if count > known.left:
        raise SewingError(f"Only {known.counted} are left to make; nothing was counted.")
    if count < 0 and -count > known.made:
        raise SewingError(f"Only {known.made} are made; nothing was taken back.")
    row = SewnStep.objects.filter(project=project, step=step).first()
    note = f"{known.name}: {known.made + count} of {known.total}"
    if row is None:
        row = SewnStep.objects.create(project=project, step=step, made=count)
        made([row], act=key_of_act(), note=note)
    else:
        # From what the page counts: a drawing may ask for fewer than were counted once.
        change(row, act=key_of_act(), note=note, made=known.made + count)
    return row


@act_of("project.owner_id")
def tell_blocks(*, project: Project, across: int, down: int, width: int, length: int) -> None:
    """Tell how many blocks there are and how large, where nothing is drawn."""
    told: dict[str, Any] = {"across": across, "down": down, "width": width, "length": length}
    row = BlocksTold.objects.filter(project=project).first()
    if row is None:
        made([BlocksTold.objects.create(project=project, **told)], act=key_of_act())
    else:
        change(row, act=key_of_act(), **told)


@act_of("project.owner_id")
def measure_block(*, project: Project, width: int, length: int) -> MeasuredBlock:
    """Write down what a sewn block measures between raw edges."""
    row = MeasuredBlock.objects.create(project=project, width=width, length=length)
    made([row], act=key_of_act(), note="a measured block")
    return row


@act_of("block.project.owner_id")
def forget_block(*, block: MeasuredBlock) -> None:
    """Take a measured block off the list; it can be put back by undoing this."""
    removed([block], act=key_of_act(), note="a measured block")


@act_of("project.owner_id")
def measure_top(*, project: Project, rounds: int, **sides: int | None) -> MeasuredTop:
    """Write down what the top measures, with so many borders on; lists stay as they are."""
    row = MeasuredTop.objects.create(project=project, rounds=rounds, **sides)  # type: ignore[misc]
    made([row], act=key_of_act(), note="a measured top")
    return row


@act_of("project.owner_id")
def follow_top(*, project: Project, mark: str, chosen: Collection[int], units: Unit) -> list[Part]:
    """Let size and cut lists follow the measured top; ``chosen`` are the keys of the parts.

    ``mark`` is that of what was shown. Returns the parts whose lists were changed.

    Raises
    ------
    SewingError
        Nothing is measured or known, or things are not as they were shown any more.
    NeedsError
        A part cannot be worked out.
    """
    project = Project.objects.select_for_update().get(pk=project.pk)
    answer = true_size_of(project, units)
    if answer is None or answer.finished is None:
        raise SewingError("Measure the top first." if answer is None else answer.problem)
    if answer.mark != mark:
        raise SewingError("Something changed since this was shown; look at it again.")
    return _follow(project, answer, chosen, units)


def _follow(project: Project, answer: TrueSize, chosen: Collection[int], units: Unit) -> list[Part]:
    act = key_of_act()
    assert answer.finished is not None
    size = answer.finished
    note = "after the measured top"
    change(project, act=act, note=note, finished_width=size.width, finished_length=size.length)
    following = [
        follower
        for follower in answer.followers
        if follower.is_changed and follower.part.pk in chosen
    ]
    keys = [follower.part.pk for follower in following]
    parts, cuts = Part.objects.filter(pk__in=keys), Cut.objects.filter(part__in=keys)
    parts_before, cuts_before = told_by(parts.all()), told_by(cuts.all())
    for follower in following:
        needs: dict[str, Any] = dict(follower.needs or {})
        part = Part.objects.select_related("project").get(pk=follower.part.pk)
        fill(part=part, units=units, **needs)
    kept: dict[str, Any] = {"owner": project.owner_id, "act": act, "note": note}
    keep_differences(Part, parts_before, parts.all(), **kept)
    keep_differences(Cut, cuts_before, cuts.all(), **kept)
    return [follower.part for follower in following]
