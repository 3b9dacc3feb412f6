"""A plan as a drawing to scale.

Drawing units are tenths of an inch. Long pieces lie on their side, so that a page holds them;
the arrow on the drawing shows the grain either way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.cut_sheet.plans import SheetPlan
from projects.models import Cut
from projects.planning.cuts import cut_label
from projects.planning.letters import letters_of
from stash.lengths import INCH, Unit

__all__ = ["Box", "Drawing", "LegendLine", "draw", "legend_of"]

_UNIT = INCH // 10
#: How much of the uncut rest is drawn below the last cut.
_SHOWN_REST = 8 * INCH
_MARGIN = 46
_USUAL_WIDTH = 560
_USUAL_HEIGHT = 300
_LARGEST_LETTER = 20
_SMALLEST_LETTER = 7
_TONES = ("#fff", "#ececec", "#d9d9d9")


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
    def fill(self) -> str:
        """The grey of its tone."""
        return _TONES[self.tone]

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


def legend_of(plans: Sequence[SheetPlan], units: Unit) -> list[LegendLine]:
    """The lines of the cut lists on the sheet with their letters, in the order of the parts."""
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
    letters = letters_of(next(iter(parts.values())).project_id) if parts else {}
    return [
        LegendLine(
            letter=letters[cut.pk],
            cut=cut,
            label=cut_label(cut, units),
            part=parts[cut.part_id].name,
            count=counts[cut.pk],
        )
        for cut in ordered
    ]


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
        # A wide or a long drawing is shown smaller, so its letters are drawn larger.
        self.scale = max(1.0, self.width / _USUAL_WIDTH, self.height / _USUAL_HEIGHT)

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


def draw(plan: SheetPlan, letters: Mapping[int, str]) -> Drawing:
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
        left=tuple(
            frame.box(end.x, end.y, end.width, end.length)
            for end in plan.cutting.whole.ends()
            if end.holds is None and end.y < used
        ),
        rest=frame.box(0, used, width, shown_rest) if shown_rest > 0 else None,
        is_lying=frame.is_lying,
        is_broken_off=rest > shown_rest,
    )


def _cut_boxes(plan: SheetPlan, letters: Mapping[int, str], frame: _Frame) -> tuple[Box, ...]:
    tones = {cut: place % 3 for place, cut in enumerate(sorted(plan.cuts))}
    return tuple(
        frame.box(
            placement.x,
            placement.y,
            placement.width,
            placement.length,
            letters.get(placement.cut, ""),
            tones[placement.cut],
        )
        for placement in plan.plan.placements
    )
