"""The sheet as it is read at the table: fabric by fabric, in steps that are numbered through."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count, groupby

from projects.coverage.intentions import Intention
from projects.coverage.status import PartStanding
from projects.cut_sheet.before_cutting import Prepared, before_cutting
from projects.cut_sheet.facts import rests_of
from projects.cut_sheet.folding import fold_of
from projects.cut_sheet.lines import Line, lines_of
from projects.cut_sheet.on_the_table import on_the_table
from projects.cut_sheet.picture import Drawing, draw
from projects.cut_sheet.plans import Left, SheetPlan
from stash.lengths import Unit, format_length
from stash.models import Fabric

__all__ = ["OfFabric", "OfPiece", "Step", "steps_on"]


@dataclass(frozen=True, kw_only=True)
class Step:
    """One deed with its number on the sheet, and what is over once it is done.

    ``depth`` is how often its cloth was cut before; ``boxes`` are ticked on paper, one for each
    strip that it cuts. Of a pack each strip comes as often as pieces are cut alike.
    """

    number: int
    line: Line
    depth: int = 0
    boxes: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class OfPiece:
    """How one piece is cut, or one of a pack as often as it is cut alike."""

    plan: SheetPlan
    drawing: Drawing
    lines: tuple[Line, ...]
    steps: tuple[Step, ...]
    left: tuple[Left, ...]
    known: str
    rest: tuple[int, int] | None

    @property
    def title(self) -> str:
        """Which piece of the fabric it is, under whose name it stands."""
        return self.plan.plan.name.removeprefix(f"{self.plan.piece.fabric.name}, ")

    @property
    def lies(self) -> str:
        """Where it lies, and of which lot it is, as far as that is known."""
        piece = self.plan.piece
        lot = f"lot {piece.lot}" if piece.lot else ""
        return ", ".join(told for told in (str(piece.place or ""), lot) if told)

    @property
    def stops(self) -> range:
        """After which strips cutting may stop before all are cut."""
        return range(1, self.plan.strips)


@dataclass(frozen=True, kw_only=True)
class OfFabric:
    """What is done to one fabric in a row, and what of it must stay uncut.

    Where the order of work comes back to a fabric, it is prepared already (``is_again``).
    """

    fabric: Fabric
    standings: tuple[PartStanding, ...]
    pieces: tuple[OfPiece, ...]
    stays: tuple[str, ...] = ()
    is_again: bool = False

    @property
    def has_several_pieces(self) -> bool:
        return len(self.pieces) > 1

    @property
    def first_step(self) -> int:
        return self.pieces[0].steps[0].number

    @property
    def last_step(self) -> int:
        return self.pieces[-1].steps[-1].number


def steps_on(
    plans: Sequence[SheetPlan],
    letters: Mapping[int, str],
    *,
    rows: Sequence[PartStanding],
    wanted: Sequence[Intention],
    units: Unit,
    on_ruler: Unit,
) -> tuple[OfFabric, ...]:
    """The whole sheet in the order of work; ``on_ruler`` are the units in which cuts are set."""
    prepared = {before.fabric.pk: before for before in before_cutting(plans, wanted, units)}
    writer = _Writer(letters, rests_of(plans), units, on_ruler)
    found = []
    for pk, group in groupby(plans, key=lambda plan: plan.piece.fabric_id):
        found.append(writer.fabric(list(group), rows, prepared.pop(pk, None)))
    return tuple(found)


@dataclass
class _Writer:
    """Writes one fabric after the other, and counts the steps."""

    letters: Mapping[int, str]
    rests: Mapping[str, tuple[int, int] | None]
    units: Unit
    on_ruler: Unit
    numbers: Iterator[int] = field(default_factory=lambda: count(1))

    def fabric(
        self, plans: Sequence[SheetPlan], rows: Sequence[PartStanding], before: Prepared | None
    ) -> OfFabric:
        served = {part.pk for plan in plans for part in plan.parts}
        first, *others = plans
        return OfFabric(
            fabric=first.piece.fabric,
            standings=tuple(row for row in rows if row.part.pk in served),
            pieces=(
                self._piece(first, before.steps if before else ()),
                *(self._piece(plan) for plan in others),
            ),
            stays=before.stays if before else (),
            is_again=before is None,
        )

    def _plain(self, sentence: str) -> Step:
        return Step(number=next(self.numbers), line=Line(before=sentence.rstrip(".")))

    def _piece(self, plan: SheetPlan, before: Sequence[str] = ()) -> OfPiece:
        """``before`` is what is done to the whole fabric first."""
        lines = lines_of(plan, self.letters, self.on_ruler)
        return OfPiece(
            plan=plan,
            drawing=draw(plan, self.letters),
            lines=lines,
            steps=(
                *(self._plain(sentence) for sentence in (*before, self._laid(plan))),
                *self._of(lines, plan, 0),
            ),
            left=tuple(plan.left()),
            known=on_the_table(plan, self.units),
            rest=self.rests.get(plan.key),
        )

    def _laid(self, plan: SheetPlan) -> str:
        """How it is folded, and how its end is straightened: first the fold, so that the straight
        end runs through all layers (common practice, no source)."""
        sentence = fold_of(plan, self.on_ruler).sentence
        if plan.plan.assumed.precut:
            return sentence
        if plan.is_begun:
            return f"{sentence}. Its end is straight already"
        if not plan.is_straightened:
            return f"{sentence}. Straighten one end: nothing is counted"
        taken = format_length(plan.squaring_up, units=self.units, rounding="up")
        return f"{sentence}. Straighten one end: {taken} is counted"

    def _of(self, lines: Sequence[Line], plan: SheetPlan, depth: int) -> list[Step]:
        steps: list[Step] = []
        for line in lines:
            if line.is_deed:
                boxes = tuple(str(strip) for strip in line.strips for _ in range(plan.copies))
                step = Step(number=next(self.numbers), line=line, depth=depth, boxes=boxes)
                steps += [step, *self._of(line.then, plan, depth + 1)]
            else:
                steps[-1] = replace(steps[-1], notes=(*steps[-1].notes, line.text))
        return steps
