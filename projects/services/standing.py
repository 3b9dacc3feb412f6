"""How parts and projects stand, from what is saved: nothing is planned here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from projects.models import Coverage, Cut, Part, Project, Verdict
from projects.services.coverage import Group, groups_of
from projects.services.supply import cut_label
from stash.lengths import Unit
from stash.models import Piece

__all__ = ["Lacking", "Standing", "project_verdict", "standing_of", "standings"]


@dataclass(frozen=True, kw_only=True)
class Lacking:
    """A cut of which some find no place."""

    cut: Cut
    label: str
    missing: int


@dataclass(frozen=True, kw_only=True)
class Standing:
    """One part: its state in a word, whether that answer is stale, and what it rests on."""

    part: Part
    state: str
    is_stale: bool = False
    lacking: tuple[Lacking, ...] = ()
    # Parts that are meant by the same purchase, and parts planned on the same cloth.
    buy_also_for: tuple[Part, ...] = ()
    together: tuple[Part, ...] = field(default=())

    @property
    def coverage(self) -> Coverage | None:
        return getattr(self.part, "coverage", None)

    @property
    def answer(self) -> dict[str, Any]:
        return self.coverage.answer if self.coverage is not None else {}

    @property
    def buy(self) -> dict[str, Any] | None:
        return self.answer.get("buy")

    @property
    def word(self) -> str:
        return _WORDS.get(self.state, self.state)

    @property
    def shape(self) -> str:
        """The class that draws the state's shape."""
        return _SHAPES.get(self.state, self.state)

    @property
    def needs_asking(self) -> bool:
        return self.state == "unasked" or self.is_stale


_WORDS = {
    "unfilled": "not filled yet",
    "unasked": "not asked yet",
    "cut": "all cut",
    "no fabric": "no fabric chosen",
}
_SHAPES = {"unasked": "undecided", "no fabric": "unfilled", "not needed": "aside"}


def standing_of(part: Part) -> str:
    """The state of a part by what is saved of it."""
    cuts = list(part.cuts.all())
    if part.not_needed:
        return "not needed"
    if not cuts:
        return "unfilled"
    if all(cut.left == 0 for cut in cuts):
        return "cut"
    coverage = getattr(part, "coverage", None)
    return coverage.verdict if coverage is not None else "unasked"


def standings(
    project: Project,
    parts: Sequence[Part],
    *,
    units: Unit,
    pieces: Sequence[Piece] | None = None,
) -> tuple[list[Standing], list[Group]]:
    """Every part's standing, and the groups behind them; ``parts`` come from ``whole()``."""
    groups = groups_of(project, parts, units=units, pieces=pieces)
    group_of = {part.pk: group for group in groups for part in group.parts}
    by_number = {part.pk: part for part in parts}
    return [_standing(part, group_of.get(part.pk), by_number, units) for part in parts], groups


def _standing(part: Part, group: Group | None, by_number: dict[int, Part], units: Unit) -> Standing:
    state = standing_of(part)
    coverage: Coverage | None = getattr(part, "coverage", None)
    if group is None or coverage is None:
        return Standing(part=part, state=state)
    if state == Verdict.SHORT and not part.fabrics.all():
        state = "no fabric"
    cuts = {cut.pk: cut for cut in part.cuts.all()}
    return Standing(
        part=part,
        state=state,
        is_stale=group.is_stale,
        lacking=tuple(
            Lacking(cut=cut, label=cut_label(cut, units), missing=row["missing"])
            for row in coverage.answer["short"]
            if (cut := cuts.get(row["cut"])) is not None
        ),
        buy_also_for=_others(coverage.answer["buy_also_for"], part, by_number),
        together=_others(coverage.answer["together"], part, by_number),
    )


def _others(numbers: Iterable[int], part: Part, by_number: dict[int, Part]) -> tuple[Part, ...]:
    return tuple(
        by_number[number] for number in numbers if number in by_number and number != part.pk
    )


def project_verdict(states: Iterable[str]) -> str:
    """The whole project in one of three answers.

    *Covered* only when every wanted part is covered or cut; *short* as soon as one is; else
    *undecided*, because something was not filled, not asked or not found.
    """
    wanted = [state for state in states if state != "not needed"]
    if any(state in (Verdict.SHORT, "no fabric") for state in wanted):
        return Verdict.SHORT
    if wanted and all(state in (Verdict.COVERED, "cut") for state in wanted):
        return Verdict.COVERED
    return Verdict.UNDECIDED
