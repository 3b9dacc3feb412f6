"""Laying out a quilt: rows and columns, blocks, setting, sashing and borders."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.needs.finishing.borders import BorderStyle
from projects.needs.sewing_rules import NeedsError
from projects.planning.unit_forms import LARGEST_SIDE, UnitsForm
from projects.quilt.lying import MOST_SINGLES, Lying
from projects.quilt_design.layouts import limits
from projects.quilt_design.layouts.layout import (
    KNOWN_BLOCKS,
    MAX_ACROSS,
    Border,
    Layout,
    LayoutError,
    Methods,
    Sashing,
    Setting,
    known_block,
)
from stash.fields import LengthFormField, WholeNumberField
from stash.lengths import Unit

__all__ = ["BORDERS", "FOUR_CORNERS", "LayoutForm", "lying_in"]

BORDERS = ("border_1", "border_2", "border_3")
FOUR_CORNERS = "four corner squares"
_CORNER_NAMES = ("top left", "top right", "bottom right", "bottom left")
_STYLES = [
    ("butted", "butted, top and bottom across"),
    ("corner squares", "corner squares"),
    (FOUR_CORNERS, "four corner squares, a part each"),
    ("mitred", "mitred"),
]


def _count_field(label: str) -> WholeNumberField:
    return WholeNumberField(min_value=1, max_value=MAX_ACROSS, label=label)


def _width_field(label: str, help_text: str = "finished") -> LengthFormField:
    """A width that may be left empty; its placeholder tells the style sheet that it is."""
    field = LengthFormField(required=False, allow_zero=True, label=label, help_text=help_text)
    field.widget.attrs["placeholder"] = "none"
    return field


def _style_field(label: str) -> forms.ChoiceField:
    return forms.ChoiceField(required=False, choices=_STYLES, label=label)


class LayoutForm(UnitsForm):
    """The fields of a layout; ``layout`` and ``methods`` hold it once it is valid."""

    columns = _count_field("blocks across")
    rows = _count_field("blocks down")
    block_side = LengthFormField(label="finished side of a block")
    block = forms.ChoiceField(choices=[(block.name, block.name) for block in KNOWN_BLOCKS])
    # Which other blocks there are, and where each lies: written by edits, as ``Lying`` does.
    others = forms.CharField(required=False, max_length=400)
    lie = forms.CharField(required=False, max_length=40)
    singles = forms.CharField(required=False, max_length=12 * MOST_SINGLES)
    setting = forms.ChoiceField(
        choices=[("straight", "straight"), ("on point", "on point")],
        help_text="on point: blocks stand on a corner",
    )
    sash = _width_field("sashing between the blocks", "finished width")
    cornerstones = forms.BooleanField(required=False, label="cornerstones where strips meet")
    outer = forms.BooleanField(required=False, label="sashing round the outside too")
    border_1 = _width_field("inner border")
    corners_1 = _style_field("inner border’s corners")
    border_2 = _width_field("second border")
    corners_2 = _style_field("second border’s corners")
    border_3 = _width_field("third border")
    corners_3 = _style_field("third border’s corners")
    border_grain = forms.ChoiceField(
        required=False,
        choices=[
            ("crosswise", "strips across the width, joined"),
            ("lengthwise", "along the length, unbroken"),
        ],
        label="borders are cut",
    )
    triangles = forms.ChoiceField(
        required=False,
        choices=[(way, way) for way in ("two at a time", "eight at a time")],
        label="half-square triangles",
    )
    geese = forms.ChoiceField(
        required=False,
        choices=[(way, way) for way in ("one at a time", "four at a time")],
        label="flying geese",
    )

    layout: Layout
    methods: Methods

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, units=units, **kwargs)
        self.units: Unit = units

    def clean_block_side(self) -> int:
        side: int = self.cleaned_data["block_side"]
        self._refuse("block_side", partial(limits.check_block, side, self.units))
        return side

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        sash, side = cleaned.get("sash"), cleaned.get("block_side")
        if sash and side:
            self._refuse("sash", partial(limits.check_sash, sash, side, self.units))
        if self.errors:
            return cleaned
        try:
            self.layout = _layout(cleaned)
        except (LayoutError, NeedsError) as error:
            raise ValidationError(str(error), code="layout") from error
        self._check_size([name for name in BORDERS if cleaned.get(name)])
        usual = Methods()
        self.methods = Methods(
            triangles=cleaned["triangles"] or usual.triangles,
            geese=cleaned["geese"] or usual.geese,
            border_grain=cleaned["border_grain"] or usual.border_grain,
        )
        return cleaned

    def _check_size(self, borders: list[str]) -> None:
        for number, name in enumerate(borders):
            self._refuse(name, partial(limits.check_border, self.layout, number, self.units))
        if not self.errors:
            self._refuse(
                None, partial(limits.check_finished, self.layout, LARGEST_SIDE, self.units)
            )

    def _refuse(self, name: str | None, check: Callable[[], None]) -> None:
        try:
            check()
        except LayoutError as error:
            self.add_error(name, str(error))


def _layout(given: Mapping[str, Any]) -> Layout:
    lying = lying_in(given)
    setting = lying.setting
    plain = Layout(
        columns=given["columns"],
        rows=given["rows"],
        block=given["block_side"],
        blocks=lying.blocks,
        pattern=lying.pattern,
        setting=setting,
        side_part="side triangles" if setting == "on point" else "",
        corner_part="corner triangles" if setting == "on point" else "",
        sashing=Sashing(
            width=given["sash"],
            part="sashing",
            cornerstone="cornerstones" if given["cornerstones"] else None,
            outer=given["outer"],
        )
        if given.get("sash")
        else None,
        borders=_borders(given),
    )
    return replace(plain, singles=lying.singles_within(plain.row_lengths()))


def lying_in(given: Mapping[str, Any]) -> Lying:
    """Which block lies where, by the fields of a form.

    Raises
    ------
    LayoutError
        The fields name no arrangement, or a block that nobody knows.
    """
    others = [name.strip() for name in str(given.get("others", "")).split(",")]
    names = [str(given.get("block", "")), *(name for name in others if name)]
    for name in names:
        known_block(name)
    setting: Setting = "on point" if given.get("setting") == "on point" else "straight"
    return Lying.read(
        names=names,
        four=str(given.get("lie", "")),
        singles=str(given.get("singles", "")),
        setting=setting,
    )


def _corners_of(border: str) -> str:
    return border.replace("border", "corners")


def _borders(given: Mapping[str, Any]) -> tuple[Border, ...]:
    wanted = [name for name in BORDERS if given.get(name)]
    return tuple(
        _border(number, given[name], given[_corners_of(name)] or "butted")
        for number, name in enumerate(wanted, start=1)
    )


def _border(number: int, width: int, chosen: str) -> Border:
    corners: tuple[str, ...] = ()
    if chosen == "corner squares":
        corners = (f"corner squares {number}",) * 4
    elif chosen == FOUR_CORNERS:
        corners = tuple(f"corner square {number} {place}" for place in _CORNER_NAMES)
    plain: BorderStyle = "mitred" if chosen == "mitred" else "butted"
    style = "corner squares" if corners else plain
    return Border(width=width, part=f"border {number}", style=style, corners=corners)
