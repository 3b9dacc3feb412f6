"""Drawing a quilt: its layout, which part each role is cut from, and what is only tried."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast
from urllib.parse import parse_qsl, urlencode

from django import forms
from django.forms import BoundField
from django.forms.boundfield import BoundWidget

from projects.models import Part, Project
from projects.quilt.answers import answers_of, first_answers
from projects.quilt.drawing import Drawn, drawn_of, suggested_part
from projects.quilt.edits import edited
from projects.quilt.forecast import fabrics_to_try
from projects.quilt.layout_form import LayoutForm
from stash.lengths import Unit
from stash.models import Fabric
from stash.text import row_number

__all__ = ["CutListForm", "DrawingRequest", "read_drawing"]

_TIE, _TRY = "part_", "try_"
_MOST_CARRIED = 60
#: What leads back to what was drawn before: as much as an address may hold.
_PAST_LENGTH = 3000
_LOOKING = {"look", "words", "at", "reach"}
_NOT_DRAWN = _LOOKING | {
    "csrfmiddlewaretoken", "act", "do", "download", "now", "past", "refused",
}  # fmt: skip


def _tie_name(role: str) -> str:
    return f"{_TIE}{role.replace(' ', '_')}"


class _TiesForm(forms.Form):
    """For each role of a layout the part it is cut from, or a part to be made."""

    use_required_attribute = False

    def __init__(
        self, data: Mapping[str, Any], *, roles: Sequence[str], parts: Sequence[Part]
    ) -> None:
        self.roles, self.known = roles, {str(part.pk): part for part in parts}
        found = {_tie_name(role): suggested_part(role, parts) for role in roles}
        self.suggested = {name: str(part.pk) if part else "" for name, part in found.items()}
        given = {name: str(data.get(name, usual)) for name, usual in self.suggested.items()}
        super().__init__(given)
        for role in roles:
            self.fields[_tie_name(role)] = forms.ChoiceField(
                required=False,
                choices=[("", "a new part, made when saved"), *_choices(parts)],
                label=role,
            )

    @property
    def parts(self) -> dict[str, Part]:
        """The part of each role that has one."""
        chosen = {role: self.cleaned_data.get(_tie_name(role)) or "" for role in self.roles}
        return {role: self.known[key] for role, key in chosen.items() if key}

    def field_of(self, role: str) -> BoundField:
        return self[_tie_name(role)]


def _choices(parts: Sequence[Part]) -> list[tuple[str, str]]:
    return [(str(part.pk), part.name) for part in parts]


class _TryForm(forms.Form):
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

    def field_of(self, key: str) -> BoundField:
        return self[_try_name(key)]


def _try_name(key: str) -> str:
    return f"{_TRY}{key.replace(' ', '_')}"


class _LookForm(forms.Form):
    """How the picture is shown, in colour unless told, and what to look for to try."""

    use_required_attribute = False

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
    words = forms.CharField(
        required=False,
        max_length=80,
        label="fabrics to try",
        help_text="words such as dark green dots; empty: by what the parts want",
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )

    @property
    def chosen(self) -> str:
        return self.cleaned_data.get("look") or "colour" if self.is_valid() else "colour"

    @property
    def radios(self) -> list[tuple[BoundWidget, bool]]:
        """The ways to look at it, each with whether it is the chosen one."""
        return [(radio, radio.data["value"] == self.chosen) for radio in self["look"]]

    @property
    def search(self) -> str:
        return self.cleaned_data["words"] if self.is_valid() else ""


class CutListForm(forms.Form):
    """Which parts are worked out from the finished size along with the list."""

    follow = forms.TypedMultipleChoiceField(
        required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, parts: Sequence[Part], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        follow = cast(forms.TypedMultipleChoiceField, self.fields["follow"])
        follow.choices = [(part.pk, part.name) for part in parts]


@dataclass(kw_only=True)
class DrawingRequest:
    """All that was filled in; ``drawn`` is None while the forms are not valid.

    ``saved`` is the drawing as it is kept, ``query`` what leads back to what was filled in, and
    ``past`` what was drawn before, each as such a query, the last one at the end. ``last`` is what
    the page showed when this was asked.
    """

    form: LayoutForm
    looks: _LookForm
    saved: Drawn | None
    query: str
    given: Mapping[str, str]
    ties: _TiesForm | None = None
    tries: _TryForm | None = None
    drawn: Drawn | None = None
    past: tuple[str, ...] = ()
    last: str = ""

    @property
    def now(self) -> str:
        """What was drawn last, be it this or what stood before a refusal."""
        return self.last if self.drawn is None else self.query

    @property
    def errors(self) -> list[str]:
        """What was refused, each with the name of its field."""
        sentences = []
        for form in (self.form, self.ties, self.tries):
            if form is None:
                continue
            for name, errors in form.errors.items():
                field = form.fields.get(name)
                label = f"{str(field.label or name).capitalize()}: " if field else ""
                sentences += [f"{label}{error}" for error in errors]
        return sentences

    @property
    def wrong_fields(self) -> list[BoundField]:
        """The fields whose text was refused."""
        read = (self.form, self.ties, self.tries)
        return [form[name] for form in read if form for name in form.errors if name in form.fields]

    @property
    def wrong_names(self) -> set[str]:
        return {field.name for field in self.wrong_fields}

    def carried(self, shown: Collection[str]) -> list[tuple[str, str]]:
        """What has no field on the page as it stands, to be sent along with what has one.

        Among it what was chosen before and has no place now: another block has other roles.
        """
        ties = [name for name in self.given if name.startswith((_TIE, _TRY))][:_MOST_CARRIED]
        names = [*self.form.fields, *self.looks.fields, *ties]
        found = [(name, self.given.get(name, "")) for name in names if name not in shown]
        # A part that has still to be made is an answer, where another would be suggested.
        return [(name, text) for name, text in found if text or name.startswith(_TIE)]

    def part_for(self, role: str, parts: Sequence[Part]) -> Part | None:
        """What a role would be cut from, that the layout need not have yet."""
        given = self.given.get(_tie_name(role))
        if given is None:
            return suggested_part(role, parts)
        return next((part for part in parts if str(part.pk) == given), None)

    @property
    def at(self) -> str:
        """What is picked in the picture."""
        return self.given.get("at", "")

    @property
    def kept(self) -> list[tuple[str, str]]:
        """All that saving needs, as fields of a form of its own."""
        return [(name, text) for name, text in self.carried(()) if not name.startswith(_TRY)]

    @property
    def tried(self) -> dict[str, Fabric]:
        return self.tries.tried if self.tries is not None and self.drawn is not None else {}

    @property
    def can_undo(self) -> bool:
        return bool(self.past) or (self.drawn is None and bool(self.last))

    @property
    def can_save(self) -> bool:
        return self.drawn is not None and not self.is_saved

    @property
    def shows_saved(self) -> bool:
        """Whether the kept drawing is shown as it is, without a fabric that is only tried."""
        return self.is_saved and not self.tried

    @property
    def is_saved(self) -> bool:
        """Whether this is the drawing that is kept."""
        if self.saved is None or self.drawn is None:
            return False
        ties = {role: part.pk for role, part in self.drawn.parts.items()}
        kept = {role: part.pk for role, part in self.saved.parts.items()}
        return self.drawn.stored() == self.saved.stored() and ties == kept


def read_drawing(
    data: Mapping[str, Any], *, project: Project, parts: Sequence[Part], units: Unit
) -> DrawingRequest:
    """What was filled in; without a layout in it the saved drawing, or a first suggestion."""
    saved = drawn_of(project, parts)
    given: dict[str, str] = {name: str(data[name]) for name in data}
    if "columns" not in given:
        given |= _kept_answers(saved, units) if saved else first_answers(project, units)
    given, past, last = _with_deed(given, units)
    form = LayoutForm(given, units=units)
    looks = _LookForm(given)
    asked = DrawingRequest(
        form=form, looks=looks, saved=saved, query=_query(given), given=given, past=past, last=last
    )
    if not form.is_valid():
        return asked
    asked.ties = _TiesForm(given, roles=form.layout.parts, parts=parts)
    if not asked.ties.is_valid():
        return asked
    drawn = Drawn(
        project=project,
        layout=form.layout,
        methods=form.methods,
        parts=asked.ties.parts,
        drawing=saved.drawing if saved else None,
    )
    fabrics = fabrics_to_try(
        project,
        drawn.tied_parts or tuple(parts),
        words=looks.search,
        tried=[
            number
            for name, text in given.items()
            if name.startswith(_TRY) and (number := row_number(text)) is not None
        ],
    )
    asked.tries = _TryForm(given, drawn=drawn, fabrics=fabrics)
    if asked.tries.is_valid():
        asked.drawn = drawn
        asked.query = _query_of(drawn, asked.ties, given, units)
        if last and last != asked.query:
            asked.past = _with_last(past, last)
    return asked


def _kept_answers(saved: Drawn, units: Unit) -> dict[str, str]:
    ties = {_tie_name(role): str(part.pk) for role, part in saved.parts.items()}
    return answers_of(saved, units) | ties


def _with_deed(given: dict[str, str], units: Unit) -> tuple[dict[str, str], tuple[str, ...], str]:
    """What is filled in after what was pressed, what was drawn before, and what last."""
    past, now = tuple(given.pop("past", "").split()), given.pop("now", "")
    if given.get("do") != "undo":
        return edited(given, units), past, now
    # What was refused gives way to what was drawn; else the one before that comes back.
    back = past[-1] if past and not given.get("refused") else now
    looking = {name: text for name, text in given.items() if name in _LOOKING}
    before = dict(parse_qsl(back, keep_blank_values=True)) | looking
    return before, past if given.get("refused") else past[:-1], ""


def _with_last(past: tuple[str, ...], last: str) -> tuple[str, ...]:
    past = (*past, last)
    while sum(map(len, past)) > _PAST_LENGTH:
        past = past[1:]
    return past


def _query(given: Mapping[str, str]) -> str:
    return urlencode(
        {
            name: text
            for name, text in sorted(given.items())
            if name not in _NOT_DRAWN and (text or name.startswith(_TIE))
        }
    )


def _query_of(drawn: Drawn, ties: _TiesForm, given: Mapping[str, str], units: Unit) -> str:
    """The same for the same drawing, whichever fields it was filled in with."""
    chosen = {
        name: text
        for name, text in given.items()
        if name.startswith((_TIE, _TRY)) and ties.suggested.get(name) != text
    }
    return _query(answers_of(drawn, units) | chosen)
