"""What would mend a part that is short: each change planned, the cheapest first.

The changes and their written order: turn cuts, square up with less, do without the reserve,
sew units two at a time, join once, run the backing's seams the other way, use what is kept
back, use what another part was promised, add a fabric of the stash that looks alike, buy. Those
that cover come before those that only shorten the lack; what changes nothing is left out.
Each is asked together with the parts that share the cloth, so that no cloth counts twice.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

from projects.models import Part, Verdict
from projects.services.mending_cloth import alike_tries, cloth_tries
from projects.services.mending_cuts import cut_tries
from projects.services.mending_try import Alike, Try
from projects.services.planner import ToBuy
from projects.services.standing import Lacking
from projects.services.trial import Finding, Trial, trial_of
from stash.lengths import Unit
from stash.models import Fabric

__all__ = ["Mending", "Option", "mend_part"]

#: What one request may spend on looking for options, and on each of them.
_SECONDS_IN_ALL = 1.3
_SECONDS_EACH = 0.25


@dataclass(frozen=True, kw_only=True)
class Option:
    """One change: what it is, what it costs, and what remains short once it is made."""

    kind: str
    sentence: str = ""
    cost: str = ""
    verdict: str = Verdict.COVERED
    remains: tuple[Lacking, ...] = ()
    fabric: Fabric | None = None
    buy: ToBuy | None = None
    buy_also_for: tuple[Part, ...] = ()

    @property
    def covers(self) -> bool:
        return self.verdict == Verdict.COVERED


@dataclass(frozen=True, kw_only=True)
class Mending:
    """The options for a part; ``untried`` changes found no time."""

    verdict: str
    options: tuple[Option, ...] = ()
    untried: int = 0


def mend_part(*, part: Part, units: Unit, alike: Alike) -> Mending | None:
    """Return what would mend a part; nothing where it asks for no cloth."""
    begun = time.monotonic()
    trial = trial_of(part, units=units)
    if trial is None:
        return None
    now = trial.ask(seconds=_SECONDS_EACH)
    if now.verdict == Verdict.COVERED:
        return Mending(verdict=now.verdict)
    options: list[Option] = []
    untried = 0
    for one in _tries(trial, now, alike):
        if time.monotonic() - begun > _SECONDS_IN_ALL:
            untried += 1
            continue
        found = one.trial.ask(seconds=_SECONDS_EACH, change=one.change)
        if _helps(trial, now, found, whole=one.whole):
            options.append(_option(one, found))
    bought = now.buy
    if bought is not None:
        options.append(Option(kind="buy", buy=bought[0], buy_also_for=bought[1]))
    options = _without_repeats(options)
    options.sort(key=lambda one: not one.covers)
    return Mending(verdict=now.verdict, options=tuple(options), untried=untried)


def _tries(trial: Trial, now: Finding, alike: Alike) -> Iterator[Try]:
    if now.question.supplies:
        yield from cut_tries(trial, now)
    yield from cloth_tries(trial)
    yield from alike_tries(trial, alike)


def _helps(trial: Trial, now: Finding, found: Finding, *, whole: bool) -> bool:
    """Whether a change covers the part or shortens its lack, and takes nothing from others."""
    if found.uncovered - now.uncovered:
        return False
    if found.verdict == Verdict.COVERED:
        return True
    return not whole and trial.lack(found) < trial.lack(now)


def _option(one: Try, found: Finding) -> Option:
    return Option(
        kind=one.kind,
        sentence=one.sentence,
        cost=one.cost,
        verdict=found.verdict,
        remains=() if found.verdict == Verdict.COVERED else found.lacking,
        fabric=one.fabric,
    )


def _without_repeats(options: list[Option]) -> list[Option]:
    """A fabric that covers by itself is not offered again beside the others; half the
    squaring-up is enough where it covers."""
    kept: list[Option] = []
    for option in options:
        same = [
            one
            for one in kept
            if one.kind == option.kind
            and one.fabric == option.fabric
            and one.covers
            and option.kind in ("squaring", "alike")
        ]
        if not same:
            kept.append(option)
    return kept
