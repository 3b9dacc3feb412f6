"""The cuts of a plan in the words of the sheet, line by line in the order of work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.coverage.answers.saved_plan import PlacedCut
from projects.cut_sheet.plans import SheetPlan
from projects.cutting.shapes import FirstCut
from projects.cutting.steps import Cloth, CutStep, steps_of
from projects.models import CutKind, Role
from projects.planning.cuts import setting_text
from stash.lengths import INCH, MM, Unit, format_length

__all__ = ["Line", "is_long", "lines_of", "reach_of"]

_Step = CutStep[PlacedCut]
_WAYS: dict[FirstCut, str] = {"across": "across the width", "along": "along the length"}
_KEPT, _WASTE = "to keep", "waste"


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the sheet, and ``then`` what is done to each piece that it cuts off.

    Read in a row: ``before``, ``letter``, ``between``, ``setting``, ``after``.
    """

    before: str = ""
    letter: str = ""
    between: str = ""
    setting: str = ""
    after: str = ""
    then: tuple[Line, ...] = ()

    @property
    def text(self) -> str:
        return f"{self.before}{self.letter}{self.between}{self.setting}{self.after}"


def reach_of(units: Unit) -> int:
    """The longest size that is set on a ruler: 24 in or 60 cm (common practice, no source)."""
    return 600 * MM if units == "cm" else 24 * INCH


def is_long(steps: Sequence[_Step], units: Unit) -> bool:
    """Whether any line of these lies beyond a ruler."""
    return any(
        (not step.is_over and step.setting > reach_of(units)) or is_long(step.then, units)
        for step in steps
    )


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
        sentence = f"Strip 1: all of it{self._set_aside(cutting.whole)}"
        if cutting.whole.holds:
            sentence += f". It is {self._cut(cutting.whole, cutting.whole.holds)}"
        return (Line(before=sentence, then=self._inner(steps_of(cutting.whole))),)

    def _first(self, step: _Step) -> Line:
        """A line on the whole piece: a strip, or the block that lengthwise strips are cut from."""
        cutting = self.plan.cutting
        is_block = cutting.first == "along" and step.gives is cutting.block
        if not is_block or cutting.block.along != "along":
            return self._strips(step)
        return Line(
            before=f"First, across the whole width: {self._tool(step)}",
            setting=self._long(step.setting),
            after=f"{self._how(step)}. What comes off is the block for these strips",
            then=tuple(self._strips(inner) for inner in step.then),
        )

    def _strips(self, step: _Step) -> Line:
        """A line of the first cuts; equal strips are one, cut several times."""
        if step.gives.stays or not any(end.holds for end in step.gives.ends()):
            return self._over(step)
        first, self.strip = self.strip + 1, self.strip + step.times
        numbers = f"Strip {first}" if step.times == 1 else f"Strips {first}–{self.strip}"
        times = f", {step.times} times" if step.times > 1 else ""
        after = f"{self._how(step)}{times}, {_WAYS[step.along]}{self._set_aside(step.gives)}"
        if step.gives.holds:
            each = "Each is" if step.times > 1 else "It is"
            after += f". {each} {self._cut(step.gives, step.gives.holds)}"
        return Line(
            before=f"{numbers}: {self._tool(step)}",
            setting=self._long(step.setting),
            after=after,
            then=self._inner(step.then),
        )

    def _inner(self, steps: Sequence[_Step]) -> tuple[Line, ...]:
        return tuple(self._part(step) for step in steps)

    def _part(self, step: _Step) -> Line:
        """A line on a strip, or on what came off one."""
        gives = step.gives
        if gives.holds:
            return self._given(step, gives.holds, self._named(gives, gives.holds))
        trimmed = _trimmed(step)
        if trimmed is not None:
            cut, over = trimmed
            assert cut.gives.holds is not None
            sentence = (
                f", trimmed {self._tool_for(cut, 'to')}{self._long(cut.setting)}{self._how(cut)}"
            )
            sentence += self._named(cut.gives, cut.gives.holds)
            if over is not None:
                sentence += f"; over of each: {self._kept(over.gives)}"
            return self._given(step, cut.gives.holds, sentence)
        if not step.then:
            return self._over(step)
        noun = "piece" if step.times == 1 else "pieces"
        return Line(
            before=f"{step.times} {noun}, {self._tool(step)}",
            setting=self._long(step.setting),
            after=f"{self._how(step)}, {_WAYS[step.along]}",
            then=self._inner(step.then),
        )

    def _given(self, step: _Step, held: PlacedCut, after: str) -> Line:
        return Line(
            before=f"{step.times} × ",
            letter=self.letters.get(held.cut, ""),
            between=f", {self._tool(step)}",
            setting=self._long(step.setting),
            after=f"{self._how(step)}{after}",
        )

    def _over(self, step: _Step) -> Line:
        """What holds no cut: at the end of its cloth, or cut away before and between cuts."""
        if step.gives.stays:
            return Line(before="What lies beyond stays in one piece")
        if step.is_over:
            return Line(before=f"Over: {self._kept(step.gives)}")
        times = f", {step.times} times" if step.times > 1 else ""
        return Line(
            before=f"Cut away, {self._tool(step)}",
            setting=self._long(step.setting),
            after=f"{self._how(step)}{times}, {_WAYS[step.along]}: {self._kept(step.gives)}",
        )

    # -- words ---------------------------------------------------------------------------------

    def _tool(self, step: _Step) -> str:
        return self._tool_for(step, "at")

    def _tool_for(self, step: _Step, preposition: str) -> str:
        is_far = step.setting > reach_of(self.units)
        if preposition == "at":
            return "tape at " if is_far else "ruler at "
        return "with the tape to " if is_far else "to "

    def _how(self, step: _Step) -> str:
        """How a size is cut that no ruler reaches."""
        if step.setting <= reach_of(self.units):
            return ""
        return " (longer than a ruler: fold and cut, or rip)"

    def _long(self, length: int) -> str:
        return setting_text(length, self.units)

    def _kept(self, cloth: Cloth[PlacedCut]) -> str:
        return f"{self._size(cloth.width, cloth.length)}, {_KEPT if cloth.is_left else _WASTE}"

    def _size(self, width: int, length: int, *, is_needed: bool = False) -> str:
        def side_text(number: int, *, with_unit: bool) -> str:
            rounding = "up" if is_needed else "down"
            return format_length(number, units=self.units, rounding=rounding, with_unit=with_unit)

        return f"{side_text(width, with_unit=False)} × {side_text(length, with_unit=True)}"

    def _cut(self, cloth: Cloth[PlacedCut], held: PlacedCut) -> str:
        return f"{self.letters.get(held.cut, '')}{self._named(cloth, held)}"

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

    def _set_aside(self, cloth: Cloth[PlacedCut]) -> str:
        held = [end.holds for end in cloth.ends() if end.holds]
        return ", set aside" if all(cut.part in self.binding for cut in held) else ""


def _trimmed(step: _Step) -> tuple[_Step, _Step | None] | None:
    """The one cut that a piece is trimmed to, and what is over of it."""
    if not step.then or step.then[0].times != 1 or not step.then[0].gives.holds:
        return None
    cut, *over = step.then
    if len(over) > 1 or (over and not over[0].is_over):
        return None
    return cut, over[0] if over else None
