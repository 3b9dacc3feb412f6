"""The one thing to do next for a project, from how its parts stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from projects.coverage.states import ASIDE, NOT_PLANNED, SETTLED
from projects.models import Part, Project, Role, Verdict

__all__ = ["NextStep", "next_step"]


@dataclass(frozen=True, kw_only=True)
class NextStep:
    """What the strong button of a project says, and where it leads."""

    words: str
    url: str
    is_cut_sheet: bool = False


def next_step(project: Project, standing: Iterable[tuple[Part, str]]) -> NextStep | None:
    """Cut lists first, then cloth, then what to buy, then the table; or nothing to press.

    ``standing`` are parts with the words of their states. Batting comes in packages and waits for
    no fabric.
    """
    if not project.is_open:
        return None
    wanted = [(part, state) for part, state in standing if state != ASIDE]
    states = [state for _, state in wanted]
    unfilled = [part for part, state in wanted if state == "unfilled"]
    if wanted and len(unfilled) == len(wanted):
        return NextStep(words="Paste a pattern", url=reverse("projects:pattern", args=[project.pk]))
    if any(state == NOT_PLANNED and part.role != Role.BATTING for part, state in wanted):
        return NextStep(words="Choose fabrics", url=reverse("projects:fabrics", args=[project.pk]))
    if Verdict.SHORT in states:
        return NextStep(words="See what to buy", url=reverse("projects:to_buy"))
    if unfilled:
        first = unfilled[0]
        return NextStep(words=f"Fill in {first.name}", url=first.get_absolute_url())
    if states and all(state == "cut" for state in states):
        return None
    if all(state in SETTLED for state in states):
        sheet = reverse("projects:cut_sheet", args=[project.pk])
        return NextStep(words="Open the cut sheet", url=sheet, is_cut_sheet=True)
    return None
