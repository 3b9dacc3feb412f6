"""A project from a laid-out set of squares: parts, cut lists, and the squares set aside."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from django.db import transaction

from projects.models import Part, Project, Role, SquareSet
from projects.needs.basis import square_cut
from projects.services.cut_lists import add_needed
from projects.services.filling import fill
from projects.services.parts import choose_fabric, set_not_needed
from projects.services.project import blank_project, create_project
from projects.services.promises import PromiseError, promise_count
from projects.services.squares_piles import laid_of
from projects.services.squares_size import finished_size, sewing_for
from stash.lengths import CM, INCH, Unit
from stash.models import Fabric, Piece

__all__ = ["MadeProject", "make_project"]


@dataclass(frozen=True, kw_only=True)
class MadeProject:
    """``refused`` says of which packs the squares could not be set aside, and why."""

    project: Project
    refused: tuple[str, ...]


@transaction.atomic
def make_project(*, squares: SquareSet, name: str, promise: bool, units: Unit) -> MadeProject:
    """Start a project with the squares that lie in the layout as one part, and work out the rest.

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


def _fill_squares(squares: SquareSet, part: Part, *, promise: bool, units: Unit) -> list[str]:
    laid = laid_of(squares)[: squares.rows * squares.columns]
    part.title = "Squares"
    part.save(update_fields=["title"])
    for fabric in Fabric.objects.filter(pk__in={one.fabric_id for one in laid}):
        choose_fabric(part=part, fabric=fabric)
    sewing = sewing_for(squares, units)
    cut = square_cut(squares.side, len(laid), role="fabric", sewing=sewing)
    add_needed(part=part, cuts=[cut])
    refused = []
    if promise:
        counts = Counter(one.piece_id for one in laid if one.piece_id is not None)
        pieces = Piece.objects.owned_by(squares.owner).select_related("fabric").in_bulk(counts)
        for key, count in sorted(counts.items()):
            try:
                promise_count(part=part, piece=pieces[key], count=count)
            except PromiseError as error:
                refused.append(str(error))
    return refused


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
