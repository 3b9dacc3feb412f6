"""Bars of a drawing: heights and places worked out here, so that a template only writes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Bar", "Bars", "bars_of"]

#: The drawing in its own units; it is as wide as the page lets it.
WIDTH, HEIGHT, FOOT, HEAD = 640, 240, 28, 18


@dataclass(frozen=True)
class Bar:
    """One bar with its label below and its number above; below nothing it hangs."""

    x: float
    y: float
    width: float
    height: float
    label: str
    number: str
    is_down: bool

    @property
    def middle(self) -> float:
        return round(self.x + self.width / 2, 1)

    @property
    def number_y(self) -> float:
        return round(self.y + self.height + 13 if self.is_down else self.y - 4, 1)


@dataclass(frozen=True)
class Bars:
    """A drawing of bars about one line."""

    bars: Sequence[Bar]
    line: float
    width: int = WIDTH
    height: int = HEIGHT
    label_y: int = HEIGHT - 8


def bars_of(values: Sequence[tuple[str, float, str]]) -> Bars:
    """Bars for (label, value, number as it is written), to one scale."""
    top = max((value for _, value, _ in values), default=0.0)
    low = min((value for _, value, _ in values), default=0.0)
    top, low = max(top, 0.0), min(low, 0.0)
    room = HEIGHT - FOOT - 2 * HEAD
    scale = room / (top - low) if top > low else 0.0
    line = HEAD + top * scale
    step = WIDTH / max(1, len(values))
    bars = [
        Bar(
            x=round(number * step + step * 0.15, 1),
            y=round(line - max(value, 0.0) * scale, 1),
            width=round(step * 0.7, 1),
            height=round(max(abs(value) * scale, 0.0), 1),
            label=label,
            number=written,
            is_down=value < 0,
        )
        for number, (label, value, written) in enumerate(values)
    ]
    return Bars(bars, round(line, 1))
