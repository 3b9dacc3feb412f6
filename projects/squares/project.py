"""A project from a laid-out set of squares: parts, cut lists, and the squares set aside."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from django.db.models import F

from projects.models import Part, Project, Role, SquareSet
from projects.needs.sewing_rules import square_cut
from projects.planning.cut_lists.filling import fill
from projects.planning.cut_lists.lines import add_needed
from projects.planning.parts import add_part, choose_fabric, set_not_needed
from projects.planning.projects.acts import blank_project, create_project
from projects.planning.promises.acts import PromiseError, promise_count
from projects.squares.piles import laid_of
from projects.squares.size import finished_size, sewing_for
from stash.acts import act_of
from stash.lengths import CM, INCH, Unit
from stash.models import Fabric, Piece

__all__ = ["MadeProject", "make_project"]


@dataclass(frozen=True, kw_only=True)
class MadeProject:
    """``refused`` says of which packs the squares could not be set aside, and why."""

    project: Project
    refused: tuple[str, ...]


@act_of("squares.owner_id")
def make_project(*, squares: SquareSet, name: str, promise: bool, units: Unit) -> MadeProject:
    """Start a project of the squares that lie in the layout, and work out the rest.

    With ``promise`` the squares that come from packs are set aside. Precut squares are not
    washed before they are sewn (common practice, no source), so nothing shrinks.

    Raises
    ------
    NeedsError
        The squares disappear in their seams, or a border cannot be made.
    """
    size = finished_size(squares, units)
    blank = blank_project(units)
    project = create_project(
        owner=squares.owner,
        name=name,
        note=f"Squares of {squares.name}.",
        finished_width=size.width,
        finished_length=size.length,
        squaring_up=blank.squaring_up,
        assumed_width=blank.assumed_width,
        increment=blank.increment,
        seam=squares.seam,
        shrink=0,
    )
    parts = {part.role: part for part in project.parts.all()}
    refused = _fill_squares(squares, parts[Role.FEATURE], promise=promise, units=units)
    set_not_needed(part=parts[Role.BACKGROUND], not_needed=True)
    _fill_round(squares, parts, units)
    squares.project = project
    squares.save(update_fields=["project", "updated_at"])
    return MadeProject(project=project, refused=tuple(refused))


def _fill_squares(squares: SquareSet, first: Part, *, promise: bool, units: Unit) -> list[str]:
    """One part for each fabric: squares of one are no substitute for squares of another."""
    laid = laid_of(squares)[: squares.rows * squares.columns]
    counts = Counter(square.fabric_id for square in laid)
    fabrics = Fabric.objects.filter(pk__in=counts).order_by("name", "pk")
    packs = Counter(square.piece_id for square in laid if square.piece_id is not None)
    pieces = Piece.objects.owned_by(squares.owner).select_related("fabric").filter(pk__in=packs)
    sewing = sewing_for(squares, units)
    refused = []
    for number, fabric in enumerate(fabrics):
        title = f"Squares of {fabric.name}"[:80]
        part = first if number == 0 else add_part(project=first.project, role=Role.FEATURE)
        part.title, part.position = title, first.position + number
        part.save(update_fields=["title", "position"])
        choose_fabric(part=part, fabric=fabric)
        cut = square_cut(squares.side, counts[fabric.pk], role="fabric", sewing=sewing)
        add_needed(part=part, cuts=[cut])
        for piece in pieces if promise else ():
            if piece.fabric_id == fabric.pk:
                refused += _promise(part, piece, packs[piece.pk])
    # The parts that follow come after all squares.
    later = first.project.parts.exclude(role=Role.FEATURE).filter(position__gt=first.position)
    later.update(position=F("position") + max(0, len(counts) - 1))
    return refused


def _promise(part: Part, piece: Piece, count: int) -> list[str]:
    try:
        promise_count(part=part, piece=piece, count=count)
    except PromiseError as error:
        return [str(error)]
    return []


def _fill_round(squares: SquareSet, parts: dict[str, Part], units: Unit) -> None:
    """Border, binding, backing and batting with what is usual, to be changed on their pages."""
    is_metric = units == "cm"
    if squares.border:
        fill(
            part=parts[Role.BORDER],
            units=units,
            border=squares.border,
            top=None,
            style="butted",
            grain="crosswise",
        )
    else:
        set_not_needed(part=parts[Role.BORDER], not_needed=True)
    fill(
        part=parts[Role.BINDING],
        units=units,
        strip=6 * CM if is_metric else 5 * INCH // 2,
        join="diagonal",
        bias=False,
        extra=25 * CM if is_metric else 10 * INCH,
    )
    overage = 10 * CM if is_metric else 4 * INCH
    for role in (Role.BACKING, Role.BATTING):
        fill(part=parts[role], units=units, overage=overage)
