"""Laying out a quilt: rows and columns, blocks, setting, sashing and borders."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from django import forms
from django.core.exceptions import ValidationError

from projects.forms.basis import UnitsForm
from projects.models import Project
from projects.needs.basis import NeedsError
from projects.seeing.blocks import Block
from projects.seeing.layout import (
    KNOWN_BLOCKS,
    MAX_ACROSS,
    Border,
    Cell,
    Layout,
    LayoutError,
    Methods,
    Sashing,
    alternating,
    known_block,
)
from projects.services.quilt_drawing import OTHER, Drawn
from stash.fields import LengthFormField
from stash.lengths import CM, INCH, Unit, exact_text

__all__ = ["LayoutForm", "answers_of", "first_answers"]

_ALIKE, _TURNED, _ROUND, _TWO = "alike", "turned", "round", "two blocks"
_BORDERS = ("border_1", "border_2", "border_3")
_CELL = Cell()
_PATTERNS: dict[str, tuple[tuple[Cell, ...], ...]] = {
    _ALIKE: ((_CELL,),),
    _TURNED: ((_CELL, Cell(turn=1)), (Cell(turn=1), _CELL)),
    _ROUND: ((_CELL, Cell(turn=1)), (Cell(turn=3), Cell(turn=2))),
}


def _count_field(label: str) -> forms.IntegerField:
    wanted = f"Give a whole number from 1 to {MAX_ACROSS}."
    limit = f"%(show_value)s cannot be laid out. {wanted}"
    messages = {"required": wanted, "invalid": wanted, "min_value": limit, "max_value": limit}
    return forms.IntegerField(
        min_value=1, max_value=MAX_ACROSS, label=label, error_messages=messages
    )


class LayoutForm(UnitsForm):
    """The fields of a layout; ``layout`` and ``methods`` hold it once it is valid."""

    columns = _count_field("blocks across")
    rows = _count_field("blocks down")
    block_side = LengthFormField(label="finished side of a block")
    block = forms.ChoiceField(
        choices=[(block.name, block.name) for block in KNOWN_BLOCKS], widget=forms.RadioSelect
    )
    arrangement = forms.ChoiceField(
        choices=[
            (_ALIKE, "all blocks alike"),
            (_TURNED, "every other block turned a quarter"),
            (_ROUND, "fours of blocks, turned round their centre"),
            (_TWO, "taking turns with a second block"),
        ]
    )
    second_block = forms.ChoiceField(
        required=False,
        choices=[("", "none"), *((block.name, block.name) for block in KNOWN_BLOCKS)],
        label="second block",
        help_text="only where two blocks take turns",
    )
    setting = forms.ChoiceField(
        choices=[("straight", "straight"), ("on point", "on point")],
        help_text="on point: blocks stand on a corner",
    )
    sash = LengthFormField(
        required=False, allow_zero=True, label="finished width of sashing", help_text="empty: none"
    )
    cornerstones = forms.BooleanField(required=False, label="cornerstones where strips meet")
    outer = forms.BooleanField(required=False, label="sashing round the outside too")
    border_1 = LengthFormField(
        required=False, allow_zero=True, label="inner border", help_text="finished; empty: none"
    )
    border_2 = LengthFormField(required=False, allow_zero=True, label="second border")
    border_3 = LengthFormField(required=False, allow_zero=True, label="third border")
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
        choices=[(one, one) for one in ("two at a time", "eight at a time")],
        label="half-square triangles",
    )
    geese = forms.ChoiceField(
        required=False,
        choices=[(one, one) for one in ("one at a time", "four at a time")],
        label="flying geese",
    )

    layout: Layout
    methods: Methods

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("arrangement") == _TWO and not cleaned.get("second_block"):
            self.add_error("second_block", "Choose the block that takes turns with the first.")
        if self.errors:
            return cleaned
        try:
            self.layout = _layout(cleaned)
        except (LayoutError, NeedsError) as error:
            raise ValidationError(str(error), code="layout") from error
        usual = Methods()
        self.methods = Methods(
            triangles=cleaned["triangles"] or usual.triangles,
            geese=cleaned["geese"] or usual.geese,
            border_grain=cleaned["border_grain"] or usual.border_grain,
        )
        return cleaned

    @property
    def size_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("columns", "rows", "block_side", "setting")]

    @property
    def block_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("arrangement", "second_block")]

    @property
    def sash_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("sash", "cornerstones", "outer")]

    @property
    def border_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in _BORDERS]

    @property
    def method_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("border_grain", "triangles", "geese")]


def _layout(given: Mapping[str, Any]) -> Layout:
    setting: Literal["straight", "on point"] = given["setting"]
    blocks: tuple[Block, ...] = (known_block(given["block"]),)
    if given["arrangement"] == _TWO:
        second = known_block(given["second_block"])
        blocks += (second.tied({key: OTHER + key for key in second.parts}),)
        pattern = alternating(setting)
    else:
        pattern = _PATTERNS[given["arrangement"]]
    borders = [given[name] for name in _BORDERS if given.get(name)]
    return Layout(
        columns=given["columns"],
        rows=given["rows"],
        block=given["block_side"],
        blocks=blocks,
        pattern=pattern,
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
        borders=tuple(
            Border(width=width, part=f"border {number}")
            for number, width in enumerate(borders, start=1)
        ),
    )


def answers_of(drawn: Drawn, units: Unit) -> dict[str, str]:
    """What somebody would have to fill in to get this drawing."""
    layout, methods = drawn.layout, drawn.methods
    patterns = {pattern: name for name, pattern in _PATTERNS.items()}
    answers = {
        "columns": str(layout.columns),
        "rows": str(layout.rows),
        "block_side": exact_text(layout.block, units=units),
        "block": layout.blocks[0].name,
        "arrangement": patterns.get(layout.pattern, _TWO),
        "second_block": layout.blocks[1].name if len(layout.blocks) > 1 else "",
        "setting": layout.setting,
        "border_grain": methods.border_grain,
        "triangles": methods.triangles,
        "geese": methods.geese,
    }
    if layout.sashing is not None:
        answers["sash"] = exact_text(layout.sashing.width, units=units)
        answers |= {"cornerstones": "on"} if layout.sashing.cornerstone else {}
        answers |= {"outer": "on"} if layout.sashing.outer else {}
    for name, border in zip(_BORDERS, layout.borders, strict=False):
        answers[name] = exact_text(border.width, units=units)
    return answers


def first_answers(project: Project, units: Unit) -> dict[str, str]:
    """What the form begins with: nine-patches that come near the finished size, if there is one."""
    side = 30 * CM if units == "cm" else 12 * INCH
    width, length = project.finished_width, project.finished_length
    columns, rows = 4, 5
    if width and length:
        columns, rows = (min(MAX_ACROSS, max(1, size // side)) for size in (width, length))
    return {
        "columns": str(columns),
        "rows": str(rows),
        "block_side": exact_text(side, units=units),
        "block": "nine-patch",
        "arrangement": _ALIKE,
        "setting": "straight",
    }
