"""Sizes that shops sell, for one tap on a card: what the pieces are planned with, not their labels.

Source of the sizes: common practice. A fat quarter is sold as 18 × 22 in (50 × 55 cm) and
planned with 18 × 21 (50 × 53), because the selvage is no cloth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stash.lengths import CM, INCH, YARD, Unit
from stash.models.piece import Form

__all__ = ["ALL_SIZES", "SAFE_WIDTH", "TapSize", "size_named", "tap_sizes"]

#: What to plan with while nobody has measured the width without selvages.
SAFE_WIDTH: dict[str, int] = {"in": 40 * INCH, "cm": 102 * CM}


@dataclass(frozen=True, kw_only=True)
class TapSize:
    """One button. Without ``width`` the piece is as wide as the trip's usable width."""

    key: str
    label: str
    form: str
    length: int
    width: int | None = None
    is_pack: bool = False
    note: str = ""


_PACKS = (
    TapSize(
        key="squares-5",
        label="5-inch squares",
        form=Form.SQUARE,
        width=5 * INCH,
        length=5 * INCH,
        is_pack=True,
    ),
    TapSize(
        key="squares-10",
        label="10-inch squares",
        form=Form.SQUARE,
        width=10 * INCH,
        length=10 * INCH,
        is_pack=True,
    ),
    TapSize(
        key="strips-2-5",
        label="2 1/2-inch strips",
        form=Form.STRIP,
        length=5 * INCH // 2,
        is_pack=True,
        note="cut across the usable width",
    ),
)

_INCH_SIZES = (
    TapSize(
        key="fat-quarter",
        label="Fat quarter",
        form=Form.FAT_QUARTER,
        width=21 * INCH,
        length=18 * INCH,
        note="sold as 18 × 22 in, planned with 18 × 21",
    ),
    TapSize(
        key="fat-eighth",
        label="Fat eighth",
        form=Form.FAT_EIGHTH,
        width=21 * INCH,
        length=9 * INCH,
        note="sold as 9 × 22 in, planned with 9 × 21",
    ),
    TapSize(key="yard-1-4", label="1/4 yd", form=Form.LONG_QUARTER, length=YARD // 4),
    TapSize(key="yard-1-2", label="1/2 yd", form=Form.YARDAGE, length=YARD // 2),
    TapSize(key="yard-3-4", label="3/4 yd", form=Form.YARDAGE, length=3 * YARD // 4),
    TapSize(key="yard-1", label="1 yd", form=Form.YARDAGE, length=YARD),
    TapSize(key="yard-2", label="2 yd", form=Form.YARDAGE, length=2 * YARD),
)

_METRIC_SIZES = (
    TapSize(
        key="fat-quarter-50",
        label="Fat quarter",
        form=Form.FAT_QUARTER,
        width=53 * CM,
        length=50 * CM,
        note="sold as 50 × 55 cm, planned with 50 × 53",
    ),
    TapSize(
        key="fat-eighth-25",
        label="Fat eighth",
        form=Form.FAT_EIGHTH,
        width=53 * CM,
        length=25 * CM,
        note="sold as 25 × 55 cm, planned with 25 × 53",
    ),
    TapSize(key="cm-25", label="25 cm", form=Form.LONG_QUARTER, length=25 * CM),
    TapSize(key="cm-50", label="50 cm", form=Form.YARDAGE, length=50 * CM),
    TapSize(key="cm-75", label="75 cm", form=Form.YARDAGE, length=75 * CM),
    TapSize(key="m-1", label="1 m", form=Form.YARDAGE, length=100 * CM),
    TapSize(key="m-2", label="2 m", form=Form.YARDAGE, length=200 * CM),
)

ALL_SIZES: dict[str, TapSize] = {size.key: size for size in (*_INCH_SIZES, *_METRIC_SIZES, *_PACKS)}


def tap_sizes(units: Unit) -> Sequence[TapSize]:
    """The buttons for people who measure in inches or in centimetres."""
    return (*(_METRIC_SIZES if units == "cm" else _INCH_SIZES), *_PACKS)


def size_named(form: str, length: int | None) -> TapSize | None:
    """The single-piece size with this form and length; None when no button says it."""
    return next(
        (size for size in ALL_SIZES.values() if size.form == form and size.length == length), None
    )
