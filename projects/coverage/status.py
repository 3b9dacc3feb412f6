"""How parts and projects stand, from what is saved: nothing is planned here."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from projects.coverage.answers.documents import pass_over_unreadable, saved_answer, saved_plans
from projects.coverage.answers.saved_answer import (
    Assumptions,
    Evidence,
    Hanging,
    SavedAnswer,
    Since,
    ToBuy,
)
from projects.coverage.answers.saved_plan import SavedPlan
from projects.coverage.groups import Group, groups_of
from projects.coverage.intentions import (
    Intention,
    competing,
    intentions_on,
    left_to,
    rivals_of,
)
from projects.coverage.states import (
    ASIDE,
    CONTESTED,
    NOT_PLANNED,
    SETTLED,
    read_state_of,
    shape_of,
    word_of,
)
from projects.models import Coverage, Cut, Part, Project, Role, Status, UnreadLine, Verdict
from projects.planning.cuts import cut_label
from stash.lengths import Unit
from stash.models import Piece
from stash.trade_words import trade

__all__ = ["Lacking", "PartStanding", "standings"]


@dataclass(frozen=True, kw_only=True)
class Lacking:
    """A cut of which some find no place."""

    cut: Cut
    label: str
    missing: int


@dataclass(frozen=True, kw_only=True)
class PartStanding:
    """One part as a page shows it: its verdict or what keeps it from one, with what that rests on.

    ``state`` is the verdict, or one of the words that stand in its place. It is provisional as
    long as the question is stale or being looked into.
    """

    part: Part
    state: str
    # What was answered; nothing is in it where nothing was, or the part is not needed any more.
    answer: SavedAnswer = field(default_factory=SavedAnswer)
    is_stale: bool = False
    # Whether the question is being looked into, and whether longer looking may change something.
    is_looking: bool = False
    is_settled: bool = True
    lacking: tuple[Lacking, ...] = ()
    # Parts that are meant by the same purchase, and parts planned on the same cloth.
    buy_also_for: tuple[Part, ...] = ()
    together: tuple[Part, ...] = field(default=())
    # Other projects whose plans want the same cloth, which does not hold both; and what of its
    # cloth was left to projects that come earlier.
    competes_with: tuple[Project, ...] = ()
    left_to: tuple[Intention, ...] = ()
    # Lines of its list that nobody could read, and the state of those that were read.
    unread: tuple[UnreadLine, ...] = ()
    read_state: str = ""

    @property
    def sentence(self) -> str:
        """What its state rests on, with the lines that are not read first."""
        sentence = self.evidence.sentence
        if self.left_to and self.read_state == Verdict.SHORT:
            names = ", ".join(sorted({intention.project.name for intention in self.left_to}))
            sentence = f"Beside what {names} wants of this cloth: {sentence}"
        if not self.unread:
            return sentence
        read = (
            f"Of what is read: {sentence}" if self.read_state in Verdict.values and sentence else ""
        )
        return f"{self.part.unread_sentence} {read}".strip()

    @property
    def proof(self) -> str:
        """What its verdict rests on; an answer to a part of the list proves none."""
        return "none" if self.unread else self.evidence.proof

    @property
    def coverage(self) -> Coverage | None:
        return getattr(self.part, "coverage", None)

    @property
    def evidence(self) -> Evidence:
        return self.answer.evidence

    @property
    def assumptions(self) -> Assumptions:
        return self.answer.assumptions

    @property
    def hangs(self) -> tuple[Hanging, ...]:
        """What was assumed that the verdict hangs on."""
        return self.answer.hangs if self.state in (*SETTLED, CONTESTED, Verdict.SHORT) else ()

    @property
    def plans(self) -> tuple[SavedPlan, ...]:
        return saved_plans(self.part) if self.state != ASIDE else ()

    @property
    def buy(self) -> ToBuy | None:
        """What to buy from the bolt; batting comes in packages.

        While a line is not read nobody knows how much.
        """
        return None if self.part.role == Role.BATTING or self.unread else self.answer.buy

    @property
    def too_wide(self) -> int | None:
        """How wide bought cloth would be when it is cut, where a cut is wider."""
        return None if self.part.role == Role.BATTING else self.answer.too_wide

    @property
    def word(self) -> str:
        if self.state == CONTESTED:
            first = " or ".join(project.name for project in self.competes_with)
            return f"covered unless {first} is cut first"
        return word_of(self.state)

    @property
    def shape(self) -> str:
        return shape_of(self.state)

    @property
    def is_unfilled(self) -> bool:
        return self.state == "unfilled"

    @property
    def is_not_needed(self) -> bool:
        return self.state == ASIDE

    @property
    def is_short(self) -> bool:
        return self.state == Verdict.SHORT

    @property
    def is_contested(self) -> bool:
        return self.state == CONTESTED

    @property
    def is_undecided(self) -> bool:
        return self.state == Verdict.UNDECIDED

    @property
    def is_open(self) -> bool:
        """Whether cloth is chosen and does not cover, or not certainly."""
        return self.state in _OPEN

    @property
    def reads_short(self) -> bool:
        """Whether the lines that are read are short."""
        return self.read_state == Verdict.SHORT

    @property
    def reads_undecided(self) -> bool:
        return self.read_state == Verdict.UNDECIDED

    @property
    def has_no_fabric(self) -> bool:
        return self.read_state == NOT_PLANNED

    @property
    def is_not_planned(self) -> bool:
        return self.state == NOT_PLANNED

    @property
    def is_undecided_though_read(self) -> bool:
        return self.is_undecided and not self.unread

    @property
    def can_be_mended(self) -> bool:
        return self.read_state in _OPEN or self.has_no_fabric

    @property
    def offers_mending(self) -> bool:
        """Whether the project's table leads to what would mend it."""
        return self.read_state in _OPEN and not self.is_stale

    @property
    def is_answered(self) -> bool:
        """Whether an answer is there and there is still something to cut."""
        return self.coverage is not None and self.read_state != "cut" and not self.is_not_needed

    @property
    def is_promised(self) -> bool:
        """Whether the part is covered and cloth is set aside for it."""
        return self.state == Verdict.COVERED and bool(self.part.promises.all())

    @property
    def has_fabrics(self) -> bool:
        return bool(self.part.fabrics.all())

    @property
    def batting_to_buy(self) -> str:
        """The package of batting, where the stash has none."""
        is_lacking = self.state in (Verdict.SHORT, NOT_PLANNED)
        if self.part.role != Role.BATTING or not is_lacking or not self.part.worked_out:
            return ""
        return trade(str(self.part.worked_out[0]))

    @property
    def first_unread(self) -> tuple[UnreadLine, ...]:
        return self.unread[:_FIRST_UNREAD]

    @property
    def has_more_unread(self) -> bool:
        return len(self.unread) > _FIRST_UNREAD

    @property
    def needs_asking(self) -> bool:
        return self.state == "unasked" or self.is_stale

    @property
    def is_provisional(self) -> bool:
        """Whether another answer may come without anybody asking for it."""
        return self.needs_asking or self.is_looking

    @property
    def can_look_longer(self) -> bool:
        return not (self.is_provisional or self.is_settled)

    @property
    def asked_at(self) -> datetime | None:
        return self.coverage.asked_at if self.coverage is not None else None

    @property
    def since(self) -> Since | None:
        """While cutting: which plans are other than before the last change, by names of pieces."""
        is_cutting = self.part.project.status == Status.CUTTING
        return self.answer.since if is_cutting and not self.is_stale else None


_OPEN = (Verdict.SHORT, Verdict.UNDECIDED)
_FIRST_UNREAD = 3


def standings(
    project: Project,
    parts: Sequence[Part],
    *,
    units: Unit,
    pieces: Sequence[Piece] | None = None,
    looking: Collection[str] = (),
    intentions: Sequence[Intention] | None = None,
) -> tuple[list[PartStanding], list[Group]]:
    """Every part's standing, and the groups behind them; ``parts`` come from ``whole()``.

    ``looking`` are the fingerprints of the questions that are still open; ``intentions`` save
    the query for what all projects want where they are there already.
    """
    pass_over_unreadable(parts)
    if intentions is None:
        chosen = {fabric.pk for part in parts for fabric in part.fabrics.all()}
        intentions = intentions_on(project.owner, chosen)
    groups = groups_of(project, parts, units=units, pieces=pieces, intentions=intentions)
    group_of = {part.pk: group for group in groups for part in group.parts}
    by_number = {part.pk: part for part in parts}
    contested = competing(intentions)
    rows = [
        _among_projects(
            _standing(part, group_of.get(part.pk), by_number, units), intentions, contested
        )
        for part in parts
    ]
    open_parts = {
        part.pk for group in groups if group.fingerprint in looking for part in group.parts
    }
    return [replace(row, is_looking=row.part.pk in open_parts) for row in rows], groups


def _standing(
    part: Part, group: Group | None, by_number: dict[int, Part], units: Unit
) -> PartStanding:
    read = ASIDE if part.not_needed else read_state_of(part)
    answer = (saved_answer(part) if read != ASIDE else None) or SavedAnswer()
    unread = tuple(part.unread) if read != ASIDE else ()
    state = Verdict.UNDECIDED if unread else read
    if group is None or getattr(part, "coverage", None) is None:
        return PartStanding(
            part=part,
            state=state,
            answer=answer,
            # What to buy is asked too where nothing is chosen.
            is_stale=group is not None and (read == NOT_PLANNED or bool(unread)),
            unread=unread,
            read_state=read,
        )
    cuts = {cut.pk: cut for cut in part.cuts.all()}
    return PartStanding(
        part=part,
        state=state,
        answer=answer,
        unread=unread,
        read_state=read,
        is_stale=group.is_stale,
        is_settled=group.is_settled,
        lacking=tuple(
            Lacking(cut=cut, label=cut_label(cut, units), missing=missing)
            for number, missing in answer.short
            if (cut := cuts.get(number)) is not None
        ),
        buy_also_for=_others(answer.buy_also_for, part, by_number),
        together=_others(answer.together, part, by_number),
    )


def _among_projects(
    row: PartStanding,
    intentions: Sequence[Intention],
    contested: Mapping[int, tuple[Intention, ...]],
) -> PartStanding:
    """The standing beside the plans of other projects: with what it competes, and what it left."""
    if row.state in (ASIDE, "cut", "unfilled"):
        return row
    project, fabrics = row.part.project, {fabric.pk for fabric in row.part.fabrics.all()}
    left = () if project.competes else left_to(project, intentions)
    row = replace(
        row,
        left_to=tuple(intention for intention in left if intention.piece.fabric_id in fabrics),
    )
    if row.state != Verdict.COVERED:
        return row
    rivals = rivals_of(project, {plan.piece for plan in row.plans}, contested)
    return replace(row, state=CONTESTED, competes_with=rivals) if rivals else row


def _others(numbers: Iterable[int], part: Part, by_number: dict[int, Part]) -> tuple[Part, ...]:
    return tuple(
        by_number[number] for number in numbers if number in by_number and number != part.pk
    )
