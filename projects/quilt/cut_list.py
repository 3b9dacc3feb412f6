"""The cut list that follows from a drawing: showing, writing, and taking it back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms.models import model_to_dict

from projects.models import FINISHING, Cut, CutKind, Part, Project, QuiltDrawing, Role
from projects.needs.sewing_rules import NeededCut
from projects.needs.usual import Usual, usual
from projects.planning.cut_lists.filling import fill
from projects.planning.cut_lists.lines import add_needed, as_text, sewing_of
from projects.quilt.agreement import differences, needed_by_part, size_text
from projects.quilt.drawing import DrawingError, Drawn, drawn_of
from stash.acts import act_of
from stash.lengths import Unit, format_length, inches_or_cm

__all__ = [
    "Following",
    "Replacing",
    "following_parts",
    "refusal",
    "replaced_lists",
    "replacements",
    "take_back",
    "write_cut_list",
]

_KEPT = (
    "text", "kind", "count", "done", "width", "length", "turn", "label", "technique", "unit",
    "unit_role", "finished_width", "finished_length",
)  # fmt: skip
_GIVEN_BACK = (
    *_KEPT, "centre_motif", "run", "run_least", "run_join", "run_margin", "run_slide",
    "run_corners", "run_strips",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Replacing:
    """What writing would do to one part."""

    part: Part
    before: tuple[str, ...]
    after: tuple[str, ...]
    is_same: bool


@dataclass(frozen=True, kw_only=True)
class Following:
    """A part that can be worked out from the finished size along with the list."""

    part: Part
    is_usual: bool
    assumed: str


def replacements(drawn: Drawn, units: Unit) -> list[Replacing]:
    """Each tied part with its list as it is and as the drawing would write it."""
    needed = needed_by_part(drawn, units)
    changed = {difference.part.pk for difference in differences(drawn, units)}
    return [
        Replacing(
            part=part,
            before=tuple(as_text(cut, units) for cut in part.cuts.all()),
            after=tuple(_as_planned(cut) for cut in needed[part.pk]),
            is_same=part.pk not in changed,
        )
        for part in drawn.tied_parts
    ]


def _as_planned(cut: NeededCut) -> str:
    return f"{cut.count} × {cut.label}" + (f": {cut.technique}" if cut.technique else "")


def following_parts(drawn: Drawn, units: Unit) -> list[Following]:
    """Binding, backing and batting, unless the quilt does without; by hand stays by hand."""
    parts = drawn.project.parts.filter(role__in=FINISHING, not_needed=False)
    drawn_from = [part.pk for part in drawn.tied_parts]
    found = []
    for part in parts.exclude(pk__in=drawn_from).prefetch_related("cuts"):
        cuts = list(part.cuts.all())
        if any(cut.done for cut in cuts):
            continue
        found.append(
            Following(
                part=part,
                is_usual=not cuts or bool(part.worked_out),
                assumed=_assumed(part, units),
            )
        )
    return found


def _assumed(part: Part, units: Unit) -> str:
    habit = _usual(units)
    if part.role == Role.BINDING:
        strip = format_length(_strip_of(part, habit), units=units, rounding="nearest")
        extra = format_length(habit.extra, units=units, rounding="up")
        return f"strips of {strip}, diagonal joins, {extra} for corners and closing"
    return f"{format_length(habit.overage, units=units, rounding='up')} more on each side"


def _usual(units: Unit) -> Usual:
    return usual(inches_or_cm(units))


def _strip_of(part: Part, habit: Usual) -> int:
    """The width of the strips that the binding has already, else the usual."""
    strips = {cut.length for cut in part.cuts.all() if cut.kind == CutKind.STRIP_ACROSS}
    return strips.pop() if len(strips) == 1 else habit.strip


@act_of("project.owner_id")
def write_cut_list(*, project: Project, units: Unit, follow: Sequence[int] = ()) -> None:
    """Replace the lists of the drawing's parts; ``follow`` names parts to work out as well.

    The project's finished size becomes that of the drawing, which they are worked out from.

    Raises
    ------
    DrawingError
        There is no drawing, a role has no part, or cuts of a part are done already.
    NeedsError
        A part that follows cannot be worked out.
    """
    project = Project.objects.select_for_update().get(pk=project.pk)
    drawn = drawn_of(project)
    if drawn is None:
        raise DrawingError("There is no saved drawing to write a cut list from; save it first.")
    refused = refusal(drawn)
    if refused:
        raise DrawingError(refused)
    following = [
        follower.part for follower in following_parts(drawn, units) if follower.part.pk in follow
    ]
    project.finished_width, project.finished_length = drawn.size.width, drawn.size.length
    project.save(update_fields=["finished_width", "finished_length", "updated_at"])
    kept = [_kept(part, units) for part in [*drawn.tied_parts, *following]]
    needed = needed_by_part(drawn, units)
    for part in drawn.tied_parts:
        centred = {(cut.width, cut.length) for cut in part.cuts.all() if cut.centre_motif}
        part.cuts.all().delete()
        _add(part, needed[part.pk])
        for cut in part.cuts.all():
            if (cut.width, cut.length) in centred:
                part.cuts.filter(pk=cut.pk).update(centre_motif=True)
        part.worked_out = [_written(drawn, units)]
        part.not_needed = False
        part.save(update_fields=["worked_out", "not_needed"])
    for part in following:
        part.project = project
        fill(part=part, units=units, **_wish(part, _usual(units)))
    parts = [kept_part["part"] for kept_part in kept]
    drawing = drawn.drawing
    assert drawing is not None
    drawing.replaced = {"parts": kept, "wrote": _rows(parts)}
    drawing.save(update_fields=["replaced", "updated_at"])


def _add(part: Part, cuts: Sequence[NeededCut]) -> None:
    for made, cut in zip(add_needed(part=part, cuts=cuts), cuts, strict=True):
        if cut.kind == CutKind.STRIP_ACROSS:
            # Strips across were counted on this width: narrower cloth would fall short.
            part.cuts.filter(pk=made.pk).update(width=cut.width)


def _written(drawn: Drawn, units: Unit) -> str:
    size = size_text(drawn.size.width, drawn.size.length, units)
    return f"Written from the drawing of {size}. {sewing_of(drawn.project, units).says()}"


def refusal(drawn: Drawn) -> str:
    """Why the cut list cannot be written now, or nothing."""
    lost = [role for role in drawn.roles if role not in drawn.parts]
    if lost:
        return f"No part is chosen for {', '.join(lost)}; choose one in the drawing and save it."
    cut = [part for part in drawn.tied_parts if any(line.done for line in part.cuts.all())]
    if cut:
        names = " and ".join(part.name for part in cut)
        done = sum(line.done for part in cut for line in part.cuts.all())
        return (
            f"{done} cut{'s' if done != 1 else ''} of {names} "
            f"{'are' if done != 1 else 'is'} done already, so the lists stay as they are; change "
            "their lines on the part’s page, or undo the cutting first."
        )
    return ""


def replaced_lists(drawn: Drawn) -> list[tuple[str, str]]:
    """What the last writing replaced: names of parts, and their old lists to paste back."""
    kept = drawn.drawing.replaced.get("parts", []) if drawn.drawing is not None else []
    return [
        (kept_part["name"], "\n".join(kept_part["text"])) for kept_part in kept if kept_part["text"]
    ]


def _wish(part: Part, habit: Usual) -> dict[str, Any]:
    if part.role == Role.BINDING:
        return {
            "strip": _strip_of(part, habit),
            "join": "diagonal",
            "bias": False,
            "extra": habit.extra,
        }
    return {"overage": habit.overage}


def _kept(part: Part, units: Unit) -> dict[str, Any]:
    """Everything of a part that writing changes, and its list as text to paste."""
    cuts = list(part.cuts.all())
    return {
        "part": part.pk,
        "name": part.name,
        "not_needed": part.not_needed,
        "worked_out": part.worked_out,
        "cuts": [model_to_dict(cut, fields=_GIVEN_BACK) for cut in cuts],
        "text": [as_text(cut, units) for cut in cuts],
    }


def _rows(parts: Sequence[int]) -> list[list[Any]]:
    """The lists of these parts as they are now, to see later whether they were changed."""
    rows = Cut.objects.filter(part__in=parts).order_by("part", "position", "pk")
    return [list(row) for row in rows.values_list("part", *_KEPT)]


@act_of("drawing.project.owner_id")
def take_back(*, drawing: QuiltDrawing) -> None:
    """Give the parts the lists that the drawing replaced.

    Raises
    ------
    DrawingError
        Nothing was replaced, or a list was changed or cut since.
    """
    Project.objects.select_for_update().get(pk=drawing.project_id)
    kept: list[Mapping[str, Any]] = drawing.replaced.get("parts", [])
    if not kept:
        raise DrawingError("There is no replaced cut list to take back.")
    parts = {part.pk: part for part in Part.objects.filter(project=drawing.project_id)}
    if _rows([kept_part["part"] for kept_part in kept]) != drawing.replaced["wrote"]:
        raise DrawingError(
            "The lists were changed since the drawing wrote them; paste the old lines back where "
            "you want them."
        )
    for kept_part in kept:
        part = parts.get(kept_part["part"])
        if part is None:
            continue
        part.cuts.all().delete()
        Cut.objects.bulk_create(
            Cut(part=part, position=position, **fields)
            for position, fields in enumerate(kept_part["cuts"], start=1)
        )
        part.worked_out, part.not_needed = kept_part["worked_out"], kept_part["not_needed"]
        part.save(update_fields=["worked_out", "not_needed"])
    drawing.replaced = {}
    drawing.save(update_fields=["replaced", "updated_at"])
