"""The cuts of a plan in the words of the sheet, line by line in the order of work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.coverage.answers.saved_plan import PlacedCut
from projects.cut_sheet.folding import folded_end_to_end, reach_of
from projects.cut_sheet.plans import SheetPlan
from projects.cutting.shapes import FirstCut
from projects.cutting.steps import Cloth, CutStep, steps_of
from projects.models import CutKind, Role
from projects.planning.cuts import setting_text
from stash.lengths import Unit, format_length

__all__ = ["STAYS", "Line", "is_long", "lines_of"]

_Step = CutStep[PlacedCut]
_WAYS: dict[FirstCut, str] = {"across": "across the width", "along": "along the length"}
_KEPT, _WASTE = "to keep", "waste"
#: The line of what lies below all cuts of a piece.
STAYS = "The rest stays in one piece"


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the sheet, and ``then`` what is done to each piece that it cuts off.

    Read in a row: ``before``, ``setting``, ``between``, ``letter``, ``after``. ``reach`` is the
    setting as a length, 0 where nothing is set; ``strips`` are the numbers of those that it cuts.
    What is no deed (``is_deed``) tells what is over.
    """

    before: str = ""
    setting: str = ""
    between: str = ""
    letter: str = ""
    after: str = ""
    reach: int = 0
    is_taped: bool = False
    is_deed: bool = True
    strips: tuple[int, ...] = ()
    then: tuple[Line, ...] = ()

    @property
    def text(self) -> str:
        return f"{self.before}{self.setting}{self.between}{self.letter}{self.after}"


def is_long(lines: Sequence[Line]) -> bool:
    """Whether any of these lies beyond a ruler."""
    return any(line.is_taped or is_long(line.then) for line in lines)


def lines_of(plan: SheetPlan, letters: Mapping[int, str], units: Unit) -> tuple[Line, ...]:
    """Every line that is cut, and what comes off or is over; ``letters`` are those of the cuts."""
    return _Writer(plan, letters, units).lines()


class _Writer:
    """Writes the lines of one plan, and counts its strips."""

    def __init__(self, plan: SheetPlan, letters: Mapping[int, str], units: Unit) -> None:
        self.plan, self.letters, self.units = plan, letters, units
        self.binding = {part.pk for part in plan.parts if part.role == Role.BINDING}
        self.strip = 0

    def lines(self) -> tuple[Line, ...]:
        cutting = self.plan.cutting
        if cutting.whole is not cutting.block or cutting.block.along == cutting.first:
            return tuple(self._first(step) for step in steps_of(cutting.whole))
        whole = cutting.whole
        line = self._line(None, "Strip 1 is all of it", held=whole, is_one=True)
        return (
            Line(
                before=line.before,
                between=line.between,
                letter=line.letter,
                after=line.after,
                strips=(1,),
                then=self._inner(steps_of(whole), "the strip"),
            ),
        )

    def _first(self, step: _Step) -> Line:
        """A line on the whole piece: a strip, or the block that lengthwise strips are cut from."""
        cutting = self.plan.cutting
        is_block = cutting.first == "along" and step.gives is cutting.block
        if not is_block or cutting.block.along != "along":
            return self._strips(step)
        fold = folded_end_to_end(self.plan, self.units)
        return self._set(
            step,
            between=". Cut the block for the strips below, across the whole width",
            after=f". {fold.sentence}" if fold.is_folded else "",
            then=tuple(self._strips(inner) for inner in step.then),
        )

    def _strips(self, step: _Step) -> Line:
        """A line of the first cuts; equal strips are one, cut several times."""
        if step.gives.stays or not any(end.holds for end in step.gives.ends()):
            return self._over(step, "")
        first, self.strip = self.strip + 1, self.strip + step.times
        is_one = step.times == 1
        numbers = f"strip {first}" if is_one else f"strips {first}–{self.strip}"
        line = self._line(
            step, f"Cut {numbers} {_WAYS[step.along]}", held=step.gives, is_one=is_one
        )
        return self._set(
            step,
            between=f". {line.before}{line.between}",
            letter=line.letter,
            after=line.after,
            strips=tuple(range(first, self.strip + 1)),
            then=self._inner(step.then, f"strip {first}" if is_one else "each strip"),
        )

    def _line(self, step: _Step | None, deed: str, *, held: Cloth[PlacedCut], is_one: bool) -> Line:
        """What is cut, and which cut it is where it is one already."""
        aside = ". Set aside" if self._is_binding(held) else ""
        if not held.holds:
            return Line(before=deed, after=aside)
        return Line(
            before=deed,
            between=". It is " if is_one else ". Each is ",
            letter=self.letters.get(held.holds.cut, ""),
            after=f"{self._named(held, held.holds)}{aside}",
        )

    def _inner(self, steps: Sequence[_Step], of: str) -> tuple[Line, ...]:
        return tuple(self._part(step, of) for step in steps)

    def _part(self, step: _Step, of: str) -> Line:
        """A line on a strip, or on what came off one."""
        gives = step.gives
        if gives.holds:
            return self._given(step, of, gives.holds, self._named(gives, gives.holds))
        trimmed = _trimmed(step)
        if trimmed is not None:
            cut, over = trimmed
            assert cut.gives.holds is not None
            tape = "with the tape " if self._is_taped(cut) else ""
            sentence = f", {'trimmed' if step.times == 1 else 'each trimmed'} {tape}to "
            sentence += self._long(cut.setting) + self._named(cut.gives, cut.gives.holds)
            if over is not None:
                sentence += f"; over of each: {self._kept(over.gives)}"
            return self._given(step, of, cut.gives.holds, sentence)
        if not step.then:
            return self._over(step, of)
        is_one = step.times == 1
        pieces = "1 piece" if is_one else f"{step.times} pieces"
        return self._set(
            step,
            of=of,
            between=f". Cut {pieces} {_WAYS[step.along]}",
            then=self._inner(step.then, "the piece" if is_one else "each piece"),
        )

    def _given(self, step: _Step, of: str, held: PlacedCut, after: str) -> Line:
        return self._set(
            step,
            of=of,
            between=f". Cut {step.times} × ",
            letter=self.letters.get(held.cut, ""),
            after=after,
        )

    def _over(self, step: _Step, of: str) -> Line:
        """What holds no cut: at the end of its cloth, or cut away before and between cuts."""
        if step.gives.stays:
            return Line(before=STAYS, is_deed=False)
        if step.is_over:
            whose = f" of {of}" if of else ""
            return Line(before=f"Over{whose}: {self._kept(step.gives)}", is_deed=False)
        times = f", {step.times} times" if step.times > 1 else ""
        return self._set(
            step,
            of=of,
            between=f". Cut away{times}, {_WAYS[step.along]}: {self._kept(step.gives)}",
        )

    # -- words ---------------------------------------------------------------------------------

    def _set(
        self,
        step: _Step,
        *,
        of: str = "",
        between: str,
        letter: str = "",
        after: str = "",
        strips: tuple[int, ...] = (),
        then: tuple[Line, ...] = (),
    ) -> Line:
        """A line at a setting of the ruler, or of the tape where no ruler reaches."""
        is_taped = self._is_taped(step)
        tool = "tape at " if is_taped else "ruler at "
        return Line(
            before=f"From {of}: {tool}" if of else tool.capitalize(),
            setting=self._long(step.setting),
            between=between,
            letter=letter,
            after=after,
            reach=step.setting,
            is_taped=is_taped,
            strips=strips,
            then=then,
        )

    def _is_taped(self, step: _Step) -> bool:
        return step.setting > reach_of(self.units)

    def _long(self, length: int) -> str:
        return setting_text(length, self.units)

    def _kept(self, cloth: Cloth[PlacedCut]) -> str:
        return f"{self._size(cloth.width, cloth.length)}, {_KEPT if cloth.is_left else _WASTE}"

    def _size(self, width: int, length: int, *, is_needed: bool = False) -> str:
        def side_text(number: int, *, with_unit: bool) -> str:
            rounding = "up" if is_needed else "down"
            return format_length(number, units=self.units, rounding=rounding, with_unit=with_unit)

        return f"{side_text(width, with_unit=False)} × {side_text(length, with_unit=True)}"

    def _named(self, cloth: Cloth[PlacedCut], held: PlacedCut) -> str:
        """A cut's size."""
        cut = self.plan.cuts[held.cut]
        size = self._size(cloth.width, cloth.length, is_needed=True)
        if self.plan.is_trimmed(held):
            trimmed = self._size(cut.width or cloth.width, cut.length, is_needed=True)
            return f" ({size}, then trimmed round its motif to {trimmed})"
        if cut.kind == CutKind.STRIP_ACROSS and cloth.width >= self.plan.plan.width:
            return " (the whole width)"
        return f" ({size})"

    def _is_binding(self, cloth: Cloth[PlacedCut]) -> bool:
        held = [end.holds for end in cloth.ends() if end.holds]
        return all(cut.part in self.binding for cut in held)


def _trimmed(step: _Step) -> tuple[_Step, _Step | None] | None:
    """The one cut that a piece is trimmed to, and what is over of it."""
    if not step.then or step.then[0].times != 1 or not step.then[0].gives.holds:
        return None
    cut, *over = step.then
    if len(over) > 1 or (over and not over[0].is_over):
        return None
    return cut, over[0] if over else None
