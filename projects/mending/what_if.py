"""What if: the same question with other assumptions, and what is left over the need."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from math import floor

from projects.coverage.answers.part_answers import PartQuestion
from projects.coverage.question.supply import Supply, Wanted
from projects.cutting.mend import one_more_strip
from projects.cutting.shapes import SECOND_OF_WORK
from projects.mending.scenario import Finding, Questions, Scenario, scenario_of
from projects.mending.ways_out import lane
from projects.models import Part, Verdict
from stash.lengths import Unit, format_length

__all__ = ["Looking", "Margin", "Supposed", "WhatIf", "ask_what_if", "look_what_if"]

_WORK = 3 * SECOND_OF_WORK // 5
_WORK_TO_BUY = 3 * SECOND_OF_WORK // 2


@dataclass(frozen=True, kw_only=True)
class Supposed:
    """What to assume for once; nothing means as the project has it."""

    usable_width: int | None = None
    shrink: Decimal | None = None
    reserve: Decimal | None = None
    spoiled: bool = False
    competes: bool = False


@dataclass(frozen=True, kw_only=True)
class Margin:
    """What a plan leaves: uncut length by piece, and the verdict if one strip more were cut.

    ``strip`` is the height of that strip, of the part's largest cut; the verdict is nothing
    where it was not asked.
    """

    left_over: tuple[tuple[str, int], ...]
    untouched: int
    strip: int
    with_strip: str | None

    @property
    def would_cover(self) -> bool:
        return self.with_strip == Verdict.COVERED

    @property
    def would_fall_short(self) -> bool:
        return self.with_strip == Verdict.SHORT


@dataclass(frozen=True, kw_only=True)
class WhatIf:
    supposed: Supposed
    finding: Finding
    assumed: tuple[str, ...]
    margin: Margin | None
    stopped_by_clock: bool = False


@dataclass(frozen=True, kw_only=True)
class Looking:
    """The best answer so far, if there is one yet."""

    found: WhatIf | None
    is_over: bool


def look_what_if(*, part: Part, units: Unit, supposed: Supposed, wait: float) -> Looking | None:
    """What was found within ``wait`` seconds; the search goes on, and asking again tells more.

    Nothing where the part asks for no cloth.
    """
    scenario = scenario_of(part, units=units)
    if scenario is None:
        return None
    job = lane.job(("what if", scenario.key(), supposed), lambda: _answers(scenario, supposed))
    job.wait(wait)
    return Looking(found=job.best, is_over=job.is_over)


def ask_what_if(*, part: Part, units: Unit, supposed: Supposed) -> WhatIf | None:
    """The whole answer, however long it takes; nothing where the part asks for no cloth."""
    scenario = scenario_of(part, units=units)
    return None if scenario is None else list(_answers(scenario, supposed))[-1]


def _answers(as_it_is: Scenario, supposed: Supposed) -> Iterator[WhatIf]:
    """The verdict first, then what to buy, or whether one strip more would still do."""
    scenario = _allowances(as_it_is, supposed)
    number = scenario.part.pk

    def change(questions: Questions) -> Questions:
        narrowed = _narrowed(questions, supposed.usable_width)
        return _one_strip_more(narrowed, number) if supposed.spoiled else narrowed

    finding = scenario.ask(work=_WORK, change=change)
    covered = finding.verdict == Verdict.COVERED
    found = WhatIf(
        supposed=supposed,
        finding=finding,
        assumed=_said(supposed, scenario),
        margin=_margin(finding, None) if covered else None,
        stopped_by_clock=bool(scenario.stopped),
    )
    yield found
    if covered:
        more = scenario.ask(
            work=_WORK, change=lambda questions: _one_strip_more(change(questions), number)
        )
        yield replace(
            found,
            margin=_margin(finding, more),
            stopped_by_clock=bool(scenario.stopped),
        )
    else:
        longer = scenario.ask(work=_WORK_TO_BUY, change=change, buy=True)
        covered = longer.verdict == Verdict.COVERED
        yield replace(
            found,
            finding=longer,
            margin=_margin(longer, None) if covered else None,
            stopped_by_clock=bool(scenario.stopped),
        )


def _allowances(scenario: Scenario, supposed: Supposed) -> Scenario:
    changes: dict[str, object] = {
        "competes": True if supposed.competes else None,
        "assumed_width": supposed.usable_width,
        "shrink": supposed.shrink,
        "reserve": supposed.reserve,
    }
    return scenario.supposing(
        **{name: given for name, given in changes.items() if given is not None}
    )


def _narrowed(questions: Questions, width: int | None) -> Questions:
    """No cloth wider than ``width`` as it lies on the shelf; precuts stay as they are."""
    if width is None:
        return questions

    def narrow(supply: Supply) -> Supply:
        most = floor(width * supply.keeps_width)
        return supply if supply.is_precut else replace(supply, width=min(supply.width, most))

    return tuple(
        replace(
            question,
            supplies={number: narrow(supply) for number, supply in question.supplies.items()},
        )
        for question in questions
    )


def _one_strip_more(questions: Questions, part: int) -> Questions:
    """As many more of the part's largest cut as a strip across its widest cloth would give."""

    def spoil(question: PartQuestion) -> PartQuestion:
        if question.part.pk != part or not question.supplies:
            return question
        widest = max(supply.width for supply in question.supplies.values())
        cuts = one_more_strip([line.as_cut(turn=line.turn) for line in question.wanted], widest)
        counts = {cut.name: cut.count for cut in cuts}
        return replace(
            question,
            wanted=tuple(_more(line, counts[line.name]) for line in question.wanted),
        )

    return tuple(spoil(question) for question in questions)


def _more(line: Wanted, count: int) -> Wanted:
    """More of a line; of strips that are joined so much more of their run."""
    run, added = line.run, count - line.count
    if run is not None:
        run = replace(run, total=run.total + added * (line.width - run.loss))
    return replace(line, count=count, run=run)


def _margin(finding: Finding, more: Finding | None) -> Margin:
    plans = finding.answer.plans
    used = {plan.piece for plan in plans}
    largest = max(finding.question.wanted, key=lambda line: (line.width * line.length, line.name))
    with_strip = None
    if more is not None:
        beside = sorted(more.uncovered - finding.uncovered - {finding.part.pk})
        with_strip = more.answers[beside[0]].verdict if beside else more.verdict
    return Margin(
        left_over=tuple((plan.piece, plan.length - plan.used) for plan in plans),
        untouched=sum(supply.name not in used for supply in finding.question.supplies.values()),
        strip=largest.length,
        with_strip=with_strip,
    )


def _said(supposed: Supposed, scenario: Scenario) -> tuple[str, ...]:
    project = scenario.project
    sentences = []
    if supposed.usable_width is not None:
        width = format_length(supposed.usable_width, units=scenario.units)
        sentences.append(f"no cloth wider than {width}")
    if supposed.shrink is not None:
        sentences.append(f"unwashed cloth shrinks {project.shrink.normalize():f} %")
    if supposed.reserve is not None:
        sentences.append(f"reserve {project.reserve.normalize():f} %")
    if supposed.competes:
        sentences.append("plans that compete: whichever is cut first has the cloth")
    if supposed.spoiled:
        sentences.append("one strip spoiled")
    return tuple(sentences)
