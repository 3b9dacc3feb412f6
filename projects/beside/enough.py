"""Whether cloth that is offered or tried is enough for a part: planned apart, and told as found.

Each fabric is asked about as if it alone were chosen, beside what is tried for the other parts.
*Enough* has a plan that the judge accepted, and takes no cloth from a part that has it now.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from time import monotonic

from projects.coverage.background.jobs import Lane
from projects.coverage.states import shape_of
from projects.cutting.shapes import SECOND_OF_WORK
from projects.mending.scenario import Finding, Scenario, scenario_of
from projects.models import Part, Verdict
from projects.planning.cloth.trying import Tried
from stash.lengths import Unit
from stash.models import Piece

__all__ = ["Answered", "Asked", "look_for_enough"]

_WORK = 3 * SECOND_OF_WORK // 10
#: How long a page waits in all; what is not there by then is told a moment later.
_WAIT = 0.4

_WORDS = {
    "": "not asked yet",
    Verdict.COVERED: "enough",
    Verdict.SHORT: "short",
    Verdict.UNDECIDED: "not certain",
}

_offered = Lane("whether cloth beside the picture is enough")
_tried = Lane("whether tried cloth is enough")


@dataclass(frozen=True, kw_only=True)
class Answered:
    """What was answered for one fabric; the verdict is nothing as long as none is there.

    ``lacking`` is what of the list finds no place, in words. ``loses`` are parts that would be
    short then, and ``unsure`` those for which it would not be certain any more.
    """

    fabric: int
    verdict: str = ""
    sentence: str = ""
    lacking: tuple[str, ...] = ()
    loses: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()
    stopped_by_clock: bool = False
    is_begun: bool = False

    @property
    def is_enough(self) -> bool:
        return self.verdict == Verdict.COVERED and not self.loses and not self.unsure

    @property
    def is_open(self) -> bool:
        return not self.verdict

    @property
    def rank(self) -> int:
        """What is proved to be enough comes first, what is not known yet before what is short."""
        if self.is_enough:
            return 0
        return 2 if self.verdict in (Verdict.COVERED, Verdict.SHORT) else 1

    @property
    def is_undecided(self) -> bool:
        return self.verdict == Verdict.UNDECIDED

    @property
    def shape(self) -> str:
        if self.verdict == Verdict.COVERED and not self.is_enough:
            return "short" if self.loses else "undecided"
        return shape_of(self.verdict or "unasked")

    @property
    def word(self) -> str:
        if self.is_begun and self.is_open:
            return "working it out"
        if self.verdict != Verdict.COVERED or self.is_enough:
            return _WORDS.get(self.verdict, self.verdict)
        if self.loses:
            return f"enough, but not for {_and(self.loses)} too"
        return f"enough, not certain for {_and(self.unsure)} too"


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is known of each fabric; nothing is asked of a part without anything to cut."""

    answers: Mapping[int, Answered]
    asks_for_nothing: bool = False

    def of(self, fabric: int) -> Answered:
        return self.answers.get(fabric) or Answered(fabric=fabric)

    @property
    def is_open(self) -> bool:
        return any(answer.is_open for answer in self.answers.values())


def look_for_enough(
    *, part: Part, fabrics: Sequence[int], tried: Tried, units: Unit, waits: bool = True
) -> Asked:
    """What was found so far; the search goes on, and asking again tells more."""
    scenario = scenario_of(part, units=units)
    if scenario is None:
        return Asked(answers={}, asks_for_nothing=True)
    own, others = tried.of(part.pk), tried.without(part.pk)
    first = [] if own is None else [own.pk]
    asked = list(dict.fromkeys([*first, *fabrics]))
    scenario = _with_tried(scenario, others, asked)
    key = (scenario.key(), tuple(others.texts))
    jobs = {
        fabric: (_tried if fabric in first else _offered).job(
            (*key, fabric), partial(_steps, scenario, fabric, frozenset(others.fabrics))
        )
        for fabric in asked
    }
    until = monotonic() + (_WAIT if waits else 0)
    for job in jobs.values():
        job.wait(max(0.0, until - monotonic()))
    return Asked(
        answers={
            fabric: job.best or Answered(fabric=fabric, is_begun=not job.is_over)
            for fabric, job in jobs.items()
        }
    )


def _with_tried(scenario: Scenario, others: Tried, fabrics: Sequence[int]) -> Scenario:
    """With the fabrics that are tried for other parts, and the pieces of all that is asked."""
    tried = {part: frozenset({fabric.pk}) for part, fabric in others.fabrics.items()}
    wanted = {*fabrics, *(fabric.pk for fabric in others.fabrics.values())}
    known = {piece.pk for piece in scenario.pieces}
    there = (
        Piece.objects.owned_by(scenario.project.owner)
        .on_shelf()
        .filter(fabric__in=wanted)
        .select_related("fabric", "place")
    )
    added = [piece for piece in there if piece.pk not in known]
    pieces = sorted([*scenario.pieces, *added], key=lambda piece: piece.pk)
    return replace(scenario, pieces=pieces, fabrics=tried)


def _steps(scenario: Scenario, fabric: int, tried: frozenset[int]) -> Iterator[Answered]:
    asked = replace(scenario.with_fabrics([fabric], []), stopped=[])
    yield _answered(fabric, asked.ask(work=_WORK), tried, bool(asked.stopped))


def _answered(fabric: int, found: Finding, tried: frozenset[int], stopped: bool) -> Answered:
    # A part that was short before, and is not tried, is no news.
    news = [
        (question.part.name, found.answers[question.part.pk].verdict)
        for question in found.questions
        if question.part.pk != found.part.pk
        and (question.part.pk in tried or _is_covered(question.part))
    ]
    return Answered(
        fabric=fabric,
        verdict=found.verdict,
        sentence=found.sentence,
        lacking=tuple(
            f"{lack.missing} of {lack.cut.left}, {lack.label}"
            for lack in found.lacking
            if found.verdict != Verdict.COVERED
        ),
        loses=tuple(name for name, verdict in news if verdict == Verdict.SHORT),
        unsure=tuple(name for name, verdict in news if verdict == Verdict.UNDECIDED),
        stopped_by_clock=stopped,
    )


def _is_covered(part: Part) -> bool:
    coverage = getattr(part, "coverage", None)
    return coverage is not None and coverage.verdict == Verdict.COVERED


def _and(names: Sequence[str]) -> str:
    return " and ".join(names)
