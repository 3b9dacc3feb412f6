"""What is said about a whole list (units, usual width, shop) and about the columns of a table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from django import forms
from django.contrib.auth.models import User
from django.http import QueryDict

from stash.fields import WIDEST, DayField, LengthFormField, bounded_length
from stash.intake.lists.reading import Read, usual_of
from stash.intake.written.columns import FIELDS, MEASURES, UNITS
from stash.intake.written.fabric import LONGEST_TEXTS
from stash.intake.written.lines import MOST_LINES
from stash.intake.written.tables import DELIMITERS, MOST_BYTES, MOST_ROWS
from stash.lengths import Unit
from stash.models import Place
from stash.models.place import as_they_lie
from stash.text import quoted

__all__ = ["ColumnsForm", "LinesForm", "ListedForm", "TableForm", "UsualForm"]

_LONGEST_TEXT = 200_000


class UsualForm(forms.Form):
    """What holds for every line that says nothing else."""

    use_required_attribute = False
    units = forms.ChoiceField(
        label="Bare numbers are", choices=[("in", "inches"), ("cm", "centimetres")]
    )
    width = LengthFormField(
        required=False,
        label="Usable width, where none is written",
        help_text="It stays an assumption until you measure.",
    )
    is_measured = forms.BooleanField(
        required=False, label="I measured the widths and lengths that are written"
    )
    place = forms.CharField(
        required=False,
        max_length=LONGEST_TEXTS["place"],
        label="Goes to, where no place is written",
    )
    shop = forms.CharField(required=False, max_length=LONGEST_TEXTS["bought_where"])
    day = DayField(required=False, label="Bought on")

    def __init__(
        self,
        *args: Any,
        user: User,
        units: Unit,
        reading: Mapping[str, Any] | None = None,
        **kwargs: Any,
    ) -> None:
        usual = usual_of({"units": units, **(reading or {})})
        kwargs.setdefault(
            "initial",
            {
                "units": usual.units,
                "width": usual.usable_width,
                "is_measured": usual.is_measured,
                "place": usual.place,
                "shop": usual.shop,
                "day": usual.day,
            },
        )
        super().__init__(*args, **kwargs)
        width: Any = self.fields["width"]
        width.default_unit = units
        self.places = [lying.path for lying in as_they_lie(Place.objects.owned_by(user))]
        self.fields["place"].widget.attrs |= {"list": "places", "autocomplete": "off"}

    def usual_fields(self) -> list[forms.BoundField]:
        """What holds for all lines; the rest of a form stands elsewhere on its page."""
        return [field for field in self.visible_fields() if field.name not in ("text", "more")]

    def clean_width(self) -> int | None:
        return bounded_length(self.cleaned_data["width"], WIDEST)

    def reading(self) -> dict[str, Any]:
        """What was said, as it is stored."""
        answers = self.cleaned_data
        return {
            "units": answers["units"],
            "width": answers["width"],
            "is_measured": answers["is_measured"],
            "place": answers["place"].strip(),
            "shop": answers["shop"].strip(),
            "day": answers["day"].isoformat() if answers["day"] else None,
        }


class LinesForm(UsualForm):
    """New lines, typed or pasted."""

    text = forms.CharField(
        max_length=_LONGEST_TEXT,
        label="One fabric a line",
        widget=forms.Textarea(
            attrs={
                "rows": 8,
                "placeholder": "Harbour stripe, 1 3/8 yd at 43, blue, bin 3",
                "autocomplete": "off",
                "spellcheck": "false",
            }
        ),
        error_messages={
            "required": "Type at least one line, such as “Harbour stripe, 1 yd, blue”."
        },
    )
    field_order = ("text",)

    def clean_text(self) -> str:
        return checked_lines(self.cleaned_data["text"])


class ListedForm(UsualForm):
    """Lines that were shown back: each may be put right, and more may follow."""

    more = forms.CharField(
        required=False,
        max_length=_LONGEST_TEXT,
        label="More lines",
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off", "spellcheck": "false"}),
    )

    def has_changed_usual(self) -> bool:
        """Whether something else than lines was changed."""
        return bool(set(self.changed_data) - {"more"})

    def text(self) -> str:
        """All lines that were sent, in order."""
        lines = [" ".join(line.split("\n")) for line in cast(QueryDict, self.data).getlist("line")]
        more = self.cleaned_data["more"].splitlines()
        return "\n".join(line for line in (*lines, *more) if line.strip())

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "more" in cleaned:
            try:
                checked_lines(self.text())
            except forms.ValidationError as error:
                self.add_error("more", error)
        return cleaned


def checked_lines(text: str) -> str:
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) > MOST_LINES:
        raise forms.ValidationError(
            f"{len(lines):,} lines are too many at once; {MOST_LINES} at most, or send a table."
        )
    if "\0" in text:
        raise forms.ValidationError("The lines hold a character that no text has; type them anew.")
    return "\n".join(lines)


class TableForm(forms.Form):
    """The file of a table."""

    use_required_attribute = False
    table = forms.FileField(
        label="Table as CSV",
        help_text=f"With a line of headings; at most {MOST_ROWS:,} rows and "
        f"{MOST_BYTES // 1024 // 1024} MB. A spreadsheet saves one as CSV.",
        error_messages={
            "required": "No file arrived; choose one and send it again.",
            "empty": "The file is empty; a table has a line of headings and a row a fabric.",
        },
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.tsv,.txt,text/csv"}),
    )


class ColumnsForm(UsualForm):
    """What each column of a table means, its units, the order of dates, the separator."""

    delimiter = forms.ChoiceField(
        required=False,
        label="Cells are parted by",
        choices=[("", "found by itself"), *DELIMITERS.items()],
    )
    days = forms.ChoiceField(
        required=False,
        label="Dates such as 03/04/2024",
        choices=[
            ("", "as the other dates tell"),
            ("day first", "the day comes first"),
            ("month first", "the month comes first"),
        ],
    )

    def __init__(self, *args: Any, read: Read, reading: Mapping[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, reading=reading, **kwargs)
        self.initial["delimiter"] = reading.get("delimiter", "")
        self.initial["days"] = reading.get("days", "")
        self.read = read
        self._units_told = reading.get("units_of", {})
        if read.table is None or read.columns is None:
            return
        facts = [("", "left out"), *FIELDS.items()]
        for at, heading in enumerate(read.table.headings):
            field = forms.ChoiceField(
                required=False, choices=facts, label=heading or f"column {at + 1}"
            )
            self.fields[f"column-{at}"] = field
            self.initial[f"column-{at}"] = read.columns.facts[at]
        for fact in MEASURES:
            if fact in read.columns.facts:
                self.fields[f"unit-{fact}"] = forms.ChoiceField(
                    required=False,
                    choices=list(UNITS.items()),
                    label=f"Bare numbers under {FIELDS[fact]} are",
                )
                self.initial[f"unit-{fact}"] = read.columns.units[fact]

    def column_rows(self) -> list[dict[str, Any]]:
        """Each column with its field and some of its cells, to recognise it by."""
        table = self.read.table
        if table is None or self.read.columns is None:
            return []
        rows = []
        for at, heading in enumerate(table.headings):
            cells = [row.cells[at].strip() for row in table.rows[:40] if at < len(row.cells)]
            shown = [quoted(cell) for cell in dict.fromkeys(cells) if cell][:3]
            fact = self.read.columns.facts[at]
            rows.append(
                {
                    "field": self[f"column-{at}"],
                    "heading": heading or f"column {at + 1}",
                    "cells": ", ".join(shown),
                    "unit": self[f"unit-{fact}"] if f"unit-{fact}" in self.fields else None,
                    "is_guess": fact in self.read.columns.guessed_units,
                }
            )
        return rows

    def usual_fields(self) -> list[forms.BoundField]:
        mapped = ("column-", "unit-")
        return [field for field in self.visible_fields() if not field.name.startswith(mapped)]

    def reading(self) -> dict[str, Any]:
        answers = self.cleaned_data
        columns = [answers[name] for name in self.fields if name.startswith("column-")]
        units = {
            name.removeprefix("unit-"): answers[name]
            for name in self.fields
            if name.startswith("unit-")
            and (
                answers[name] != self.initial[name]
                or name.removeprefix("unit-") in self._units_told
            )
        }
        if answers["delimiter"] != self.initial["delimiter"]:
            columns, units = [], {}  # other cells: what was said of the columns is void
        return {
            **super().reading(),
            "columns": columns,
            "units_of": units,
            "delimiter": answers["delimiter"],
            "days": answers["days"],
        }
