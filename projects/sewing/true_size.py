"""What follows from a measured top: borders, binding, backing and batting by their true size.

Nothing here is saved: it is worked out each time that a page is shown, and once more in the act
that follows it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from hashlib import blake2s
from typing import Any

from projects.models import FINISHING, Cut, CutKind, MeasuredTop, Part, Project, Role
from projects.needs.finishing.borders import Borders, borders
from projects.needs.measured import inside_border, spread_of, true_side
from projects.needs.quilt import QuiltSize
from projects.needs.sewing_rules import NeededCut, NeedsError
from projects.needs.usual import usual
from projects.planning.cut_lists.filling import usable_width, work_out
from projects.planning.cut_lists.lines import sewing_of
from projects.planning.cuts import cut_label
from projects.sewing.rounds import Round
from stash.lengths import Unit, format_length, inches_or_cm

__all__ = ["BorderAtTop", "Follower", "TrueSize", "true_size"]


@dataclass(frozen=True, kw_only=True)
class BorderAtTop:
    """A border that is still to be sewn on: what it goes round, and what its strips are cut to."""

    round: Round
    inside: QuiltSize
    need: Borders


@dataclass(frozen=True, kw_only=True)
class Follower:
    """A part whose list hangs on the size of the top.

    ``needs`` is what it would be worked out with, nothing where it stays as it is; ``why`` says
    why it stays, or what to know before it is changed.
    """

    part: Part
    before: tuple[str, ...]
    after: tuple[str, ...]
    needs: Mapping[str, Any] | None = None
    is_by_hand: bool = False
    is_same: bool = False
    is_cut: bool = False
    is_too_small: bool = False
    why: str = ""

    @property
    def is_changed(self) -> bool:
        """Whether a press would change its list."""
        return self.needs is not None

    @property
    def is_ticked(self) -> bool:
        """Whether it follows unless somebody takes the tick away."""
        return self.is_changed and not self.is_by_hand


@dataclass(frozen=True, kw_only=True)
class TrueSize:
    """What one measured top means.

    ``width`` and ``length`` are the true sides between raw edges; ``finished`` is the quilt with
    its borders, None while ``problem`` says what is not known for that.
    """

    top: MeasuredTop
    width: int
    length: int
    spread: int
    rounds: tuple[BorderAtTop, ...]
    followers: tuple[Follower, ...]
    finished: QuiltSize | None
    planned: QuiltSize | None
    problem: str = ""

    @property
    def is_followed(self) -> bool:
        """Whether nothing is left to change: size and lists are those of the true top."""
        return (
            self.finished is not None
            and self.finished == self.planned
            and not any(follower.is_ticked for follower in self.followers)
        )

    @property
    def mark(self) -> str:
        """Tells this answer from another: what a page showed is what its press does."""
        told: list[object] = [self.top.pk, self.finished, self.planned]
        told += [(item.part.pk, item.before, item.after, item.needs) for item in self.followers]
        return blake2s(repr(told).encode(), digest_size=12).hexdigest()


def true_size(
    top: MeasuredTop, parts: Sequence[Part], rounds: Sequence[Round], project: Project, units: Unit
) -> TrueSize:
    """Work everything out that lies outside a measured top.

    Raises
    ------
    NeedsError
        The top disappears in its seams.
    """
    sewing = sewing_of(project, units)
    width, length = true_side(top.widths), true_side(top.lengths)
    size = inside_border(width, length, sewing=sewing)
    planned = None
    if project.finished_width is not None and project.finished_length is not None:
        planned = QuiltSize(project.finished_width, project.finished_length)
    answer = TrueSize(
        top=top,
        width=width,
        length=length,
        spread=max(spread_of(top.widths), spread_of(top.lengths)),
        rounds=(),
        followers=(),
        finished=None,
        planned=planned,
    )
    laid: list[BorderAtTop] = []
    followers: list[Follower] = []
    for border in rounds:
        if border.number <= top.rounds:
            continue
        if border.width is None or border.part is None:
            lacking = f"Nothing tells how wide {border.name.lower()} is; work out its list first."
            return replace(answer, rounds=tuple(laid), problem=lacking)
        try:
            at_top = _at_top(border, size, project, units)
        except NeedsError as error:
            return replace(answer, rounds=tuple(laid), problem=str(error))
        laid.append(at_top)
        followers.append(_border_follower(border, size, units))
        size = QuiltSize(at_top.need.width, at_top.need.length)
    true_project = copy(project)
    true_project.finished_width, true_project.finished_length = size.width, size.length
    followers += [
        _finishing_follower(part, true_project, units)
        for part in parts
        if part.role in FINISHING and not part.not_needed
    ]
    return replace(answer, rounds=tuple(laid), followers=tuple(followers), finished=size)


def _at_top(border: Round, size: QuiltSize, project: Project, units: Unit) -> BorderAtTop:
    assert border.width is not None
    assert border.part is not None
    need = borders(
        size.width,
        size.length,
        border.width,
        style=border.needs["style"],
        grain=border.needs["grain"],
        join=border.needs.get("join") or "straight",
        least=border.needs.get("least"),
        from_corner=border.needs.get("from_corner"),
        usable_width=usable_width(border.part),
        sewing=sewing_of(project, units),
    )
    return BorderAtTop(round=border, inside=size, need=need)


def _border_follower(border: Round, size: QuiltSize, units: Unit) -> Follower:
    part = border.part
    assert part is not None
    needs = {**border.needs, "top": (size.width, size.length)}
    if part.role != Role.BORDER or not border.is_alone:
        return Follower(
            part=part,
            before=_before(part, units),
            after=(),
            why=(
                f"{border.name} shares the list of {part.name} with other patches, so it is not "
                "changed here; change its lines by hand to the lengths above."
            ),
        )
    return _follower(part, needs, units, is_by_hand=border.is_assumed)


def _finishing_follower(part: Part, project: Project, units: Unit) -> Follower:
    """Binding, backing or batting by what it was worked out with, else by what is usual."""
    true_part = copy(part)
    true_part.project = project
    needs, is_by_hand = dict(part.filled_with), False
    if not needs:
        needs, is_by_hand = _usual(part, units), bool(part.cuts.all())
    return _follower(true_part, needs, units, is_by_hand=is_by_hand)


def _usual(part: Part, units: Unit) -> dict[str, Any]:
    habit = usual(inches_or_cm(units))
    if part.role == Role.BINDING:
        strip = habit.strip
        return {"strip": strip, "join": "diagonal", "bias": False, "extra": habit.extra}
    return {"overage": habit.overage}


def _follower(part: Part, needs: dict[str, Any], units: Unit, *, is_by_hand: bool) -> Follower:
    cuts = list(part.cuts.all())
    before = _before(part, units)
    try:
        filling = work_out(part=part, units=units, **needs)
    except NeedsError as error:
        return Follower(part=part, before=before, after=(), why=str(error))
    after = tuple(_told(cut, cut.count, cut.label, units) for cut in filling.cuts)
    if _is_the_list(cuts, filling.cuts):
        return Follower(part=part, before=before, after=after, is_same=True)
    done = [cut for cut in cuts if cut.done]
    if done and (not all(cut.is_run for cut in done) or not any(cut.left for cut in cuts)):
        is_enough = _holds(done, filling.cuts)
        return Follower(
            part=part,
            before=before,
            after=after,
            is_cut=True,
            is_too_small=not is_enough,
            why=_cut_already(done, filling.cuts, is_enough, units),
        )
    why = ""
    if is_by_hand:
        why = "Its list was written by hand or pasted; ticked, it is worked out anew."
    elif not cuts:
        why = "It has no list yet; ticked, it is worked out with what is usual."
    return Follower(
        part=part, before=before, after=after, needs=needs, is_by_hand=is_by_hand, why=why
    )


def _before(part: Part, units: Unit) -> tuple[str, ...]:
    return tuple(_told(cut, cut.count, cut_label(cut, units), units) for cut in part.cuts.all())


def _told(cut: Cut | NeededCut, count: int, label: str, units: Unit) -> str:
    """A line in words; of a run what its strips come to, however many they are."""
    if cut.run is None:
        return f"{count} × {label}"
    height = format_length(cut.length, units=units, rounding="up")
    return f"{height} strips, joined to {format_length(_total(cut), units=units, rounding='up')}"


def _total(cut: Cut | NeededCut) -> int:
    """How long the joined strips of a run are."""
    if isinstance(cut, Cut):
        return cut.run or 0
    return cut.run.total if cut.run is not None else 0


def _line(cut: Cut | NeededCut) -> tuple[Any, ...]:
    run = None if cut.run is None else _total(cut)
    if cut.kind == CutKind.STRIP_ACROSS:
        # As wide as the cloth, whatever was counted on; a run is what it comes to when joined.
        return ("across", cut.length, run, None if run else cut.count)
    return ("patch", cut.width, cut.length, cut.count)


def _is_the_list(cuts: Sequence[Cut], needed: Sequence[NeededCut]) -> bool:
    return sorted(map(repr, map(_line, cuts))) == sorted(map(repr, map(_line, needed)))


def _sizes(cut: Cut | NeededCut, count: int) -> list[tuple[int, int]]:
    if cut.run is not None:
        return [(cut.length, _total(cut))]
    low, high = sorted((cut.width or 0, cut.length))
    return [(low, high)] * count


def _holds(done: Sequence[Cut], needed: Sequence[NeededCut]) -> bool:
    """Whether each needed cut can be trimmed from one of those that are cut, one from one."""
    there = sorted(size for cut in done for size in _sizes(cut, cut.done))
    wanted = sorted(size for cut in needed for size in _sizes(cut, cut.count))
    if len(there) < len(wanted):
        return False
    largest = there[len(there) - len(wanted) :]
    return all(
        has[0] >= wants[0] and has[1] >= wants[1]
        for has, wants in zip(largest, wanted, strict=True)
    )


def _cut_already(
    done: Sequence[Cut], needed: Sequence[NeededCut], is_enough: bool, units: Unit
) -> str:
    there = ", ".join(_told(cut, cut.done, cut_label(cut, units), units) for cut in done)
    wanted = ", ".join(_told(cut, cut.count, cut.label, units) for cut in needed)
    sentence = f"Cut already: {there}; the true size asks for {wanted}."
    if is_enough:
        return f"{sentence} What is cut is large enough: trim it to size."
    return f"{sentence} What is cut does not hold that: change its lines by hand."
