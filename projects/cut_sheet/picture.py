"""A plan as a drawing to scale and as an order of work.

Drawing units are tenths of an inch. Long pieces lie on their side, so that a page holds them;
the arrow on the drawing shows the grain either way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from string import ascii_uppercase

from projects.coverage.saved_plan import CutStrip, PlacedCut
from projects.cut_sheet.plans import SheetPlan
from projects.models import Cut, CutKind, Role
from projects.planning.cuts import cut_label
from stash.lengths import INCH, Unit, format_length

__all__ = ["Box", "Drawing", "LegendLine", "Step", "draw", "legend_of", "steps_of"]

_UNIT = INCH // 10
#: How much of the uncut rest is drawn below the last cut.
_SHOWN_REST = 8 * INCH
_MARGIN = 46
_USUAL_WIDTH = 560
_LARGEST_LETTER = 20
_SMALLEST_LETTER = 7


@dataclass(frozen=True, kw_only=True)
class Box:
    """A rectangle of the drawing with its text, in drawing units."""

    x: float
    y: float
    width: float
    height: float
    text: str = ""
    text_size: float = 0
    tone: int = 0

    @property
    def text_x(self) -> float:
        return round(self.x + self.width / 2, 1)

    @property
    def text_y(self) -> float:
        return round(self.y + self.height / 2, 1)


@dataclass(frozen=True, kw_only=True)
class LegendLine:
    letter: str
    cut: Cut
    label: str
    part: str
    count: int


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """Everything the template draws; ``is_lying`` when the grain runs left to right."""

    width: float
    height: float
    cloth: Box
    squared: Box | None
    cuts: tuple[Box, ...]
    strips: tuple[Box, ...]
    left: tuple[Box, ...]
    rest: Box | None
    is_lying: bool
    is_broken_off: bool


@dataclass(frozen=True, kw_only=True)
class Step:
    """One setting of the ruler: how wide, how often, and what is sub-cut from it.

    ``pieces`` are letter, count, size, and the setting for the sub-cut where there is one.
    """

    first: int
    last: int
    size: str
    direction: str
    pieces: tuple[tuple[str, int, str, str], ...]
    is_set_aside: bool

    @property
    def numbers(self) -> str:
        return f"{self.first}" if self.first == self.last else f"{self.first}–{self.last}"

    @property
    def times(self) -> int:
        return self.last - self.first + 1


def legend_of(plans: Sequence[SheetPlan], units: Unit) -> list[LegendLine]:
    """A letter for every line of the cut lists on the sheet, in the order of the parts."""
    cuts: dict[int, Cut] = {}
    counts: dict[int, int] = {}
    parts = {part.pk: part for plan in plans for part in plan.parts}
    for plan in plans:
        cuts.update(plan.cuts)
        for cut, count in plan.counts.items():
            counts[cut] = counts.get(cut, 0) + count
    ordered = sorted(
        cuts.values(),
        key=lambda cut: (parts[cut.part_id].position, cut.part_id, cut.position, cut.pk),
    )
    return [
        LegendLine(
            letter=_letter(place),
            cut=cut,
            label=cut_label(cut, units),
            part=parts[cut.part_id].name,
            count=counts[cut.pk],
        )
        for place, cut in enumerate(ordered)
    ]


def _letter(place: int) -> str:
    letters = len(ascii_uppercase)
    head = ascii_uppercase[place // letters - 1] if place >= letters else ""
    return head + ascii_uppercase[place % letters]


class _Frame:
    """Where a rectangle of the cloth lies on the drawing, with room for the strips' numbers."""

    def __init__(self, plan: SheetPlan, *, length: int) -> None:
        self.squaring = 0 if plan.plan.assumed.precut else plan.squaring_up
        self.is_lying = length > plan.plan.width * 5 // 4
        self.is_across = plan.plan.first == "across"
        # Numbers stand beside strips across, and before the end of lengthwise ones.
        self.x0, self.y0 = (_MARGIN, 0) if self.is_across else (0, _MARGIN)
        wide, long = plan.plan.width / _UNIT + self.x0, length / _UNIT + self.y0
        self.width: float = long if self.is_lying else wide
        self.height: float = wide if self.is_lying else long
        # A wide drawing is shown smaller, so its letters are drawn larger.
        self.scale = max(1.0, self.width / _USUAL_WIDTH)

    def box(self, x: int, y: int, across: int, along: int, text: str = "", tone: int = 0) -> Box:
        """``y`` is measured below the squared end, as plans measure it."""
        left, top = self.x0 + x / _UNIT, self.y0 + (y + self.squaring) / _UNIT
        sizes = (across / _UNIT, along / _UNIT)
        if self.is_lying:
            left, top, sizes = top, left, (sizes[1], sizes[0])
        letter = min(_LARGEST_LETTER * self.scale, 0.6 * min(sizes))
        return Box(
            x=round(left, 1),
            y=round(top, 1),
            width=round(sizes[0], 1),
            height=round(sizes[1], 1),
            text=text if letter >= _SMALLEST_LETTER * self.scale else "",
            text_size=round(letter, 1),
            tone=tone,
        )

    def mark(self, start: int, size: int, text: str) -> Box:
        """The number of a strip, in the margin."""
        margin = _MARGIN * _UNIT
        if self.is_across:
            return self.box(-margin, start, margin, size, text)
        return self.box(start, -margin - self.squaring, size, margin, text)


def draw(plan: SheetPlan, letters: dict[int, str]) -> Drawing:
    used, width = plan.plan.used, plan.plan.width
    rest = plan.plan.length - used
    shown_rest = min(rest, _SHOWN_REST)
    squaring = 0 if plan.plan.assumed.precut else plan.squaring_up
    length = squaring + used + shown_rest
    frame = _Frame(plan, length=length)
    return Drawing(
        width=round(frame.width + 2, 1),
        height=round(frame.height + 2, 1),
        cloth=frame.box(0, -squaring, width, length),
        squared=frame.box(0, -squaring, width, squaring) if squaring else None,
        cuts=_cut_boxes(plan, letters, frame),
        strips=tuple(
            frame.mark(strip.start, strip.size, str(strip.number)) for strip in plan.plan.strips
        ),
        left=tuple(frame.box(*rest) for rest in plan.beside()),
        rest=frame.box(0, used, width, shown_rest) if shown_rest > 0 else None,
        is_lying=frame.is_lying,
        is_broken_off=rest > shown_rest,
    )


def _cut_boxes(plan: SheetPlan, letters: dict[int, str], frame: _Frame) -> tuple[Box, ...]:
    tones = {cut: place % 3 for place, cut in enumerate(sorted(plan.cuts))}
    return tuple(
        frame.box(
            placed.x,
            placed.y,
            placed.width,
            placed.length,
            letters.get(placed.cut, ""),
            tones[placed.cut],
        )
        for placed in plan.plan.placements
    )


def steps_of(plan: SheetPlan, letters: dict[int, str], units: Unit) -> list[Step]:
    """Strips in cutting order; equal neighbours are one step, cut several times."""
    roles = {part.pk: part.role for part in plan.parts}
    steps: list[Step] = []
    for strip in plan.plan.strips:
        counts: dict[tuple[str, str, str], int] = {}
        for placed in strip.placements:
            size = _sub_cut(placed, plan.cuts[placed.cut], units)
            setting = _setting(placed, strip, plan, units)
            key = (letters.get(placed.cut, ""), size, setting)
            counts[key] = counts.get(key, 0) + 1
        step = Step(
            first=strip.number,
            last=strip.number,
            size=format_length(strip.size, units=units, rounding="up"),
            direction=strip.direction,
            pieces=tuple(
                (letter, count, size, setting) for (letter, size, setting), count in counts.items()
            ),
            is_set_aside=all(roles[placed.part] == Role.BINDING for placed in strip.placements),
        )
        if steps and _is_same(steps[-1], step):
            steps[-1] = replace(steps[-1], last=step.last)
        else:
            steps.append(step)
    return steps


def _sub_cut(placed: PlacedCut, cut: Cut, units: Unit) -> str:
    if cut.kind == CutKind.STRIP_ACROSS:
        return "the whole width"
    width = format_length(placed.width, units=units, rounding="up", with_unit=False)
    length = format_length(placed.length, units=units, rounding="up")
    return f"{width} × {length}"


def _setting(placed: PlacedCut, strip: CutStrip, plan: SheetPlan, units: Unit) -> str:
    """Where the ruler lies to cut this from its strip; nothing where that takes several cuts."""
    is_across = strip.direction == "across"
    along, across = (placed.width, placed.length) if is_across else (placed.length, placed.width)
    whole = plan.plan.width if is_across else plan.plan.length
    is_uncut = plan.cuts[placed.cut].kind == CutKind.STRIP_ACROSS or along == whole
    if plan.plan.stages > 2 or is_uncut:
        return ""
    setting = format_length(along, units=units, rounding="up")
    if across < strip.size:
        setting += f", trimmed to {format_length(across, units=units, rounding='up')}"
    return setting


def _is_same(step: Step, other: Step) -> bool:
    return (step.size, step.direction, step.pieces, step.is_set_aside) == (
        other.size,
        other.direction,
        other.pieces,
        other.is_set_aside,
    )
