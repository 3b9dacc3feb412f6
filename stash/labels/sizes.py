"""Sheets of labels, and rolls, as they are sold: where each label lies on its paper.

The sizes are usual in the trade of labels, by their millimetres: from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["SIZES", "LabelSize", "Spot"]


@dataclass(frozen=True, kw_only=True)
class Spot:
    """Where the corner of a label lies on its sheet, in tenths of a millimetre."""

    x: int
    y: int


@dataclass(frozen=True, kw_only=True)
class LabelSize:
    """A sheet of ``across`` by ``down`` labels; all measures in tenths of a millimetre.

    ``step_x`` and ``step_y`` lead from one label to the next.
    """

    key: str
    paper: str
    paper_width: int
    paper_height: int
    width: int
    height: int
    across: int = 1
    down: int = 1
    left: int = 0
    top: int = 0
    step_x: int = 0
    step_y: int = 0

    @property
    def on_a_sheet(self) -> int:
        return self.across * self.down

    @property
    def is_roll(self) -> bool:
        return self.on_a_sheet == 1

    @property
    def name(self) -> str:
        """The label's own millimetres, and how many are on which paper."""
        size = f"{_mm(self.width)} × {_mm(self.height)} mm"
        if self.is_roll:
            return f"{size}, one by one"
        return f"{size}, {self.on_a_sheet} on a sheet of {self.paper}"

    @property
    def paper_key(self) -> str:
        """The name of the page in the style sheet."""
        return self.key if self.is_roll else self.paper.lower()

    @property
    def paper_words(self) -> str:
        if self.is_roll:
            return f"{_mm(self.width)} × {_mm(self.height)} mm"
        return self.paper

    @property
    def paper_width_mm(self) -> str:
        return _mm(self.paper_width)

    @property
    def paper_height_mm(self) -> str:
        return _mm(self.paper_height)

    @property
    def words_class(self) -> str:
        """How large the words may be: small where a label is low."""
        return "words-small" if self.height < 260 else "words"

    def spots(self) -> Iterator[Spot]:
        """Yield where each label lies, row by row from the top left."""
        for row in range(self.down):
            for column in range(self.across):
                yield Spot(x=self.left + column * self.step_x, y=self.top + row * self.step_y)


def _mm(tenths: int) -> str:
    return f"{tenths / 10:g}"


_A4 = {"paper": "A4", "paper_width": 2100, "paper_height": 2970}
_LETTER = {"paper": "Letter", "paper_width": 2159, "paper_height": 2794}


def _sheet(
    key: str, paper: dict[str, object], label: tuple[int, int], grid: tuple[int, int], **lies: int
) -> LabelSize:
    width, height = label
    across, down = grid
    lies = {"step_x": width, "step_y": height, **lies}
    return LabelSize(key=key, width=width, height=height, across=across, down=down, **paper, **lies)  # type: ignore[arg-type]


def _roll(width: int, height: int) -> LabelSize:
    key = f"roll-{_mm(width)}-{_mm(height)}"
    return LabelSize(
        key=key, paper="roll", paper_width=width, paper_height=height, width=width, height=height
    )


SIZES = {
    size.key: size
    for size in (
        _sheet("a4-24", _A4, (700, 370), (3, 8), top=5),
        _sheet("a4-21", _A4, (635, 381), (3, 7), left=72, top=152, step_x=660),
        _sheet("a4-40", _A4, (525, 297), (4, 10)),
        _sheet("a4-65", _A4, (381, 212), (5, 13), left=47, top=107, step_x=406),
        _sheet("a4-8", _A4, (991, 677), (2, 4), left=47, top=131, step_x=1016),
        _sheet("letter-30", _LETTER, (667, 254), (3, 10), left=48, top=127, step_x=698),
        _sheet("letter-10", _LETTER, (1016, 508), (2, 5), left=40, top=127, step_x=1064),
        _roll(570, 320),
        _roll(620, 290),
        _roll(890, 360),
        _roll(500, 300),
    )
}
