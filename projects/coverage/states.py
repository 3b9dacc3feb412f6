"""The states of parts and projects: their names, words and shapes, and which of them follows."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from projects.models import Part, Verdict

__all__ = [
    "ASIDE",
    "CONTESTED",
    "NOT_PLANNED",
    "SETTLED",
    "project_state",
    "project_verdict",
    "read_state_of",
    "shape_of",
    "standing_of",
    "word_of",
]

#: A part with a cut list for which no cloth is chosen, or a project with nothing chosen at all.
NOT_PLANNED = "not planned"
#: Covered, by cloth that another project's plan wants too.
CONTESTED = "contested"

_WORDS = {
    "unfilled": "not filled yet",
    "unasked": "not asked yet",
    "cut": "all cut",
    NOT_PLANNED: "not planned yet",
    "partly": "partly planned",
    CONTESTED: "covered unless another project is cut first",
}
ASIDE = "not needed"
SETTLED = (Verdict.COVERED, "cut")
_SHAPES = {
    "unasked": "undecided",
    NOT_PLANNED: "unfilled",
    "partly": "unfilled",
    CONTESTED: "undecided",
    ASIDE: "aside",
}


def standing_of(part: Part, contested: Collection[int] = ()) -> str:
    """The state of a part by what is saved of it: undecided while a line of it is not read.

    ``contested`` are parts whose cloth another project's plan wants too.
    """
    if part.not_needed:
        return ASIDE
    if part.unread:
        return Verdict.UNDECIDED
    state = read_state_of(part)
    return CONTESTED if state == Verdict.COVERED and part.pk in contested else state


def read_state_of(part: Part) -> str:
    """The state of a needed part by those of its lines that were read.

    *Short* is said only of cloth that was chosen and does not reach.
    """
    cuts = list(part.cuts.all())
    if not cuts:
        return "unfilled"
    if all(cut.left == 0 for cut in cuts):
        return "cut"
    if not part.fabrics.all():
        return NOT_PLANNED
    coverage = getattr(part, "coverage", None)
    return coverage.verdict if coverage is not None else "unasked"


def project_verdict(states: Iterable[str]) -> str:
    """The whole project in one of three answers, or *not planned* where nothing is chosen.

    *Covered* only when every wanted part is covered or cut; *short* as soon as one is; else
    *undecided*, because something was not filled, not chosen, not asked or not found.
    """
    wanted = [state for state in states if state != ASIDE]
    if Verdict.SHORT in wanted:
        return Verdict.SHORT
    if wanted and all(state in SETTLED for state in wanted):
        return Verdict.COVERED
    if wanted and all(state in (*SETTLED, CONTESTED) for state in wanted):
        return CONTESTED
    if all(state in (NOT_PLANNED, "unfilled") for state in wanted):
        return NOT_PLANNED
    return Verdict.UNDECIDED


def project_state(states: Iterable[str]) -> str:
    """The project's answer, or what keeps it from having one.

    Where all that was chosen is covered, that is parts without cloth, or without a cut list.
    """
    wanted = [state for state in states if state != ASIDE]
    verdict = project_verdict(wanted)
    if verdict != Verdict.UNDECIDED or Verdict.UNDECIDED in wanted:
        return verdict
    if "unasked" in wanted:
        return "unasked"
    return "partly" if NOT_PLANNED in wanted else "unfilled"


def word_of(state: str) -> str:
    return _WORDS.get(state, state)


def shape_of(state: str) -> str:
    """The class that draws the state's shape."""
    return _SHAPES.get(state, state)
