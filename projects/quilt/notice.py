"""What a page says of the drawing beside its cut lists: agreement, or that none is drawn yet."""

from __future__ import annotations

from dataclasses import dataclass

from projects.models import Part, Project
from projects.quilt.agreement import Agreement, agreement_of
from projects.quilt.drawing import Drawn, drawn_of
from stash.lengths import Unit

__all__ = ["DrawingNotice", "notice_of", "part_notice_of"]


@dataclass(frozen=True, kw_only=True)
class DrawingNotice:
    """Whether the drawing and the cut lists still agree; nothing of a quilt that is not drawn."""

    drawn: Drawn | None
    agreement: Agreement | None


def notice_of(project: Project, units: Unit) -> DrawingNotice:
    """What the page of a project says."""
    drawn = drawn_of(project)
    if drawn is not None:
        return DrawingNotice(drawn=drawn, agreement=agreement_of(drawn, units))
    return DrawingNotice(drawn=None, agreement=None)


def part_notice_of(part: Part, units: Unit) -> tuple[str, ...]:
    """What differs between the drawing and one part's cut list, in sentences."""
    drawn = drawn_of(part.project)
    return () if drawn is None else agreement_of(drawn, units).of(part)
