"""What would mend a part that is short: each change planned, the cheapest first.

The changes and their written order: turn cuts, square up with less, do without the reserve,
mix lots, sew units two at a time, join once, run the backing's seams the other way, a narrower
border, one row fewer, use what is kept back, use what another part was promised, let plans
compete, add a fabric of the stash that looks alike, buy. Those that cover come before those that
only shorten the lack; what changes nothing is left out. Each is asked together with the parts that
share the cloth, so that no cloth counts twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from projects.coverage.answers.saved_answer import ToBuy
from projects.coverage.background.jobs import Lane
from projects.coverage.states import shape_of
from projects.coverage.status import CONTESTED, Lacking
from projects.cutting.shapes import SECOND_OF_WORK
from projects.mending.acts import offer_of
from projects.mending.changes import Alike, Attempt, Ladder
from projects.mending.cloth import alike_attempts, cloth_attempts
from projects.mending.cuts import cut_attempts
from projects.mending.scenario import Finding, Scenario, scenario_of
from projects.mending.size import size_attempts
from projects.models import Part, Verdict
from stash.lengths import Unit
from stash.models import Fabric

__all__ = ["Mending", "Option", "lane", "look_for_mending", "mend_part"]

#: The work for each change, and for what to buy.
_WORK_EACH = 3 * SECOND_OF_WORK // 10
_WORK_TO_BUY = 3 * SECOND_OF_WORK // 2

lane = Lane("mending and what if")

# What is not offered where the other kind, with the same fabric, covers already.
_SPARED_BY = {"squaring": "squaring", "alike": "alone"}


@dataclass(frozen=True, kw_only=True)
class Option:
    """One change: what it is, what it costs, and what remains short once it is made.

    ``unless`` names projects that may be cut first, so that it is not sure all the same.
    ``offer`` is there when it can be made with one press: signed text for the form.
    """

    kind: str
    sentence: str = ""
    cost: str = ""
    unless: str = ""
    verdict: str = Verdict.COVERED
    remains: tuple[Lacking, ...] = ()
    fabric: Fabric | None = None
    buy: ToBuy | None = None
    buy_also_for: tuple[Part, ...] = ()
    offer: str = ""

    @property
    def covers(self) -> bool:
        return self.verdict == Verdict.COVERED

    @property
    def shape_then(self) -> str:
        return shape_of(CONTESTED if self.unless else Verdict.COVERED)

    @property
    def word_then(self) -> str:
        """What a part is that it covers."""
        return f"then covered unless {self.unless} is cut first" if self.unless else "then covered"

    @property
    def stays_short(self) -> bool:
        return self.verdict == Verdict.SHORT

    @property
    def is_to_buy(self) -> bool:
        return self.kind == "buy"

    @property
    def is_alone(self) -> bool:
        """Whether its fabric takes the place of all that are chosen."""
        return self.kind == "alone"


@dataclass(frozen=True, kw_only=True)
class Mending:
    """The options for a part that were found so far.

    ``stopped_by_clock``: some were not looked into as far as on a quiet machine.
    """

    verdict: str
    options: tuple[Option, ...] = ()
    is_over: bool = True
    stopped_by_clock: bool = False

    @property
    def is_covered(self) -> bool:
        """Whether nothing needs mending."""
        return self.verdict == Verdict.COVERED

    @property
    def goes_on(self) -> bool:
        return not self.is_over


def look_for_mending(*, part: Part, units: Unit, alike: Alike, wait: float) -> Mending | None:
    """The options found within ``wait`` seconds; the search goes on, and asking again tells more.

    Nothing where the part asks for no cloth.
    """
    scenario = scenario_of(part, units=units)
    if scenario is None:
        return None
    job = lane.job(("mending", scenario.key(), alike), lambda: _mendings(scenario, alike))
    job.wait(wait)
    return job.best or Mending(verdict="", is_over=job.is_over)


def mend_part(*, part: Part, units: Unit, alike: Alike) -> Mending | None:
    """Every option, however long it takes; nothing where the part asks for no cloth."""
    scenario = scenario_of(part, units=units)
    return None if scenario is None else list(_mendings(scenario, alike))[-1]


def _mendings(scenario: Scenario, alike: Alike) -> Iterator[Mending]:
    now = scenario.ask(work=_WORK_EACH)
    if now.verdict == Verdict.COVERED:
        yield Mending(verdict=now.verdict)
        return
    options: list[Option] = []
    found = Mending(verdict=now.verdict, is_over=False)
    yield found
    for attempt in _attempts(scenario, now, alike):
        helpful = (
            _climb(scenario, now, attempt)
            if isinstance(attempt, Ladder)
            else _helpful(scenario, now, attempt)
        )
        if helpful is not None:
            options.append(helpful)
            found = replace(found, options=_in_order(options))
            yield found
    bought = scenario.ask(work=_WORK_TO_BUY, buy=True).buy
    if bought is not None:
        options.append(Option(kind="buy", buy=bought[0], buy_also_for=bought[1]))
    yield replace(
        found,
        options=_in_order(options),
        is_over=True,
        stopped_by_clock=bool(scenario.stopped),
    )


def _attempts(scenario: Scenario, now: Finding, alike: Alike) -> Iterator[Attempt | Ladder]:
    if now.question.supplies:
        yield from cut_attempts(scenario, now)
        yield from size_attempts(scenario)
    yield from cloth_attempts(scenario)
    yield from alike_attempts(scenario, alike)


def _helpful(scenario: Scenario, now: Finding, attempt: Attempt) -> Option | None:
    """The change as an option, if it covers the part or shortens its lack.

    A change that takes from others what they have is none.
    """
    found = attempt.scenario.ask(work=_WORK_EACH, change=attempt.change)
    covers = found.verdict == Verdict.COVERED
    if found.uncovered - now.uncovered:
        return None
    if not covers and (attempt.whole or scenario.lack(found) >= scenario.lack(now)):
        return None
    return Option(
        kind=attempt.kind,
        sentence=attempt.sentence,
        cost=attempt.cost,
        unless=attempt.unless,
        verdict=found.verdict,
        remains=() if covers else found.lacking,
        fabric=attempt.fabric,
        offer=offer_of(scenario.part, attempt),
    )


def _climb(scenario: Scenario, now: Finding, ladder: Ladder) -> Option | None:
    """The smallest of the changes that covers; nothing where the largest does not."""
    rungs = list(ladder.rungs)
    best = _helpful(scenario, now, rungs[-1]) if rungs else None
    low, high = 0, len(rungs) - 1
    while best is not None and low < high:
        middle = (low + high) // 2
        found = _helpful(scenario, now, rungs[middle])
        if found is not None:
            best, high = found, middle
        else:
            low = middle + 1
    return best


def _in_order(options: list[Option]) -> tuple[Option, ...]:
    """Those that cover first, and the sure ones before others.

    Half the squaring-up is enough where it covers, and a fabric that covers by itself is not
    offered again beside the others.
    """
    kept: list[Option] = []
    for option in options:
        same = [
            other
            for other in kept
            if other.kind == _SPARED_BY.get(option.kind)
            and other.fabric == option.fabric
            and other.covers
        ]
        if not same:
            kept.append(option)
    return tuple(sorted(kept, key=lambda option: (not option.covers, bool(option.unless))))
