"""Pieces that cutting stopped at half way, as the acts that are not undone left them."""

from __future__ import annotations

from projects.coverage.question.supply import Begun
from projects.models import ActKind, Project

__all__ = ["partial_cuts_of"]


def partial_cuts_of(project: Project) -> dict[int, Begun]:
    """The latest of each piece; what became of the piece elsewhere shows in its length."""
    kinds = (ActKind.CUT, ActKind.SPOILED)
    acts = project.acts.filter(undone_at=None, kind__in=kinds).order_by("pk")
    found: dict[int, Begun] = {}
    for left in acts.values_list("changes__begun", flat=True):
        for number, cut_off in (left or {}).items():
            found[int(number)] = Begun(
                length=cut_off["length"],
                taken=tuple(cut_off["taken"]),
                is_ready=cut_off.get("is_ready", False),
            )
    return found
