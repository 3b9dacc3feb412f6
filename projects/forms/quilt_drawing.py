"""Drawing a quilt: what is laid out, which part each role is cut from, and what is only tried."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal, cast

from django import forms
from django.core.exceptions import ValidationError

from projects.forms.basis import UnitsForm
from projects.models import Part, Project
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
from projects.services.quilt_drawing import OTHER, Drawn, suggested_part
from stash.fields import LengthFormField
from stash.lengths import CM, INCH, Unit, exact_text
from stash.models import Fabric

__all__ = [
    "CutListForm",
    "LayoutForm",
    "LookForm",
    "TiesForm",
    "TryForm",
    "answers_of",
    "first_answers",
]

_ALIKE, _TURNED, _ROUND, _TWO = "alike", "turned", "round", "two blocks"
_BORDERS = ("border_1", "border_2", "border_3")
_CELL = Cell()
_PATTERNS: dict[str, tuple[tuple[Cell, ...], ...]] = {
    _ALIKE: ((_CELL,),),
    _TURNED: ((_CELL, Cell(turn=1)), (Cell(turn=1), _CELL)),
    _ROUND: ((_CELL, Cell(turn=1)), (Cell(turn=3), Cell(turn=2))),
}


class LayoutForm(UnitsForm):
    """The fields of a layout; ``layout`` and ``methods`` hold it once it is valid."""

    columns = forms.IntegerField(min_value=1, max_value=MAX_ACROSS, label="blocks across")
    rows = forms.IntegerField(min_value=1, max_value=MAX_ACROSS, label="blocks down")
    block_side = LengthFormField(label="finished side of a block")
    block = forms.ChoiceField(choices=[(block.name, block.name) for block in KNOWN_BLOCKS])
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
        choices=[("straight", "straight"), ("on point", "on point (blocks stand on a corner)")]
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
    def round_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("sash", "cornerstones", "outer", *_BORDERS)]

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
    return answers | {tie_name(role): str(part.pk) for role, part in drawn.parts.items()}


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


def tie_name(role: str) -> str:
    return f"part_{role.replace(' ', '_')}"


class TiesForm(forms.Form):
    """For each role of a layout the part it is cut from, or a part to be made."""

    use_required_attribute = False

    def __init__(
        self, data: Mapping[str, Any], *, roles: Sequence[str], parts: Sequence[Part]
    ) -> None:
        self.roles, self.known = roles, {str(part.pk): part for part in parts}
        given: dict[str, str] = {}
        for role in roles:
            suggested = suggested_part(role, parts)
            usual = str(suggested.pk) if suggested is not None else ""
            given[tie_name(role)] = str(data.get(tie_name(role), usual))
        super().__init__(given)
        for role in roles:
            self.fields[tie_name(role)] = forms.ChoiceField(
                required=False,
                choices=[("", "a new part, made when saved"), *_choices(parts)],
                label=role,
            )

    @property
    def parts(self) -> dict[str, Part]:
        """The part of each role that has one."""
        chosen = {role: self.cleaned_data.get(tie_name(role)) or "" for role in self.roles}
        return {role: self.known[key] for role, key in chosen.items() if key}


def _choices(parts: Sequence[Part]) -> list[tuple[str, str]]:
    return [(str(part.pk), part.name) for part in parts]


class TryForm(forms.Form):
    """For each key of the drawing another fabric, to see what it would do; nothing is saved."""

    use_required_attribute = False

    def __init__(self, data: Mapping[str, Any], *, drawn: Drawn, fabrics: Sequence[Fabric]) -> None:
        self.keys = drawn.tied.parts
        self.known = {str(fabric.pk): fabric for fabric in fabrics}
        super().__init__({name: str(data.get(name, "")) for name in map(_try_name, self.keys)})
        for key in self.keys:
            self.fields[_try_name(key)] = forms.ChoiceField(
                required=False,
                choices=[
                    ("", "as chosen"),
                    *((str(fabric.pk), fabric.name) for fabric in fabrics),
                ],
                label=f"Try for {drawn.names[key]}",
            )

    @property
    def tried(self) -> dict[str, Fabric]:
        """The fabric that is tried, by key of the drawing."""
        chosen = {key: self.cleaned_data.get(_try_name(key)) or "" for key in self.keys}
        return {key: self.known[fabric] for key, fabric in chosen.items() if fabric}

    def field_of(self, key: str) -> forms.BoundField:
        return self[_try_name(key)]


def _try_name(key: str) -> str:
    return f"try_{key.replace(' ', '_')}"


class LookForm(forms.Form):
    """How the picture is shown; anything else is shown in colour."""

    look = forms.ChoiceField(
        required=False,
        choices=[
            ("colour", "colour"),
            ("grey", "grey"),
            ("1 m", "from 1 m"),
            ("3 m", "from 3 m"),
        ],
        widget=forms.RadioSelect,
    )

    @property
    def chosen(self) -> str:
        return cast(str, getattr(self, "cleaned_data", {}).get("look")) or "colour"


class CutListForm(forms.Form):
    """Which parts are worked out from the finished size along with the list."""

    follow = forms.TypedMultipleChoiceField(
        required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, parts: Sequence[Part], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        follow = cast(forms.TypedMultipleChoiceField, self.fields["follow"])
        follow.choices = [(part.pk, part.name) for part in parts]
