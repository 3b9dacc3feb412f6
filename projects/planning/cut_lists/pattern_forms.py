"""A pattern as it is shown before it counts: its text, and where each of its parts goes."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Part, Project
from projects.needs.lines.reading import ReadLine, WrongLine
from projects.needs.patterns.values import Pattern, PatternPart
from projects.planning.cut_lists.lines import sewing_of
from projects.planning.cut_lists.pasting import pattern_of
from projects.planning.cut_lists.patterns import NEW, NOT_TAKEN, Places, likely_places
from projects.planning.part_forms import MAX_TEXT
from stash.lengths import Unit

__all__ = ["PatternForm", "PatternTextForm"]


class PatternTextForm(forms.Form):
    """The box that a pattern is pasted into."""

    use_required_attribute = False
    text = forms.CharField(
        max_length=MAX_TEXT,
        required=False,
        strip=False,
        label="pattern, as it is written",
        help_text="headings name parts or fabrics; you see what was understood before it counts",
        widget=forms.Textarea(
            attrs={
                "rows": 12,
                "placeholder": "Background:\nCut 4 strips 2 1/2 x WOF. Subcut into 64 squares "
                "2 1/2.\n\nBinding: 8 strips 2 1/4 x WOF",
            }
        ),
    )


class PatternForm(forms.Form):
    """What was read of a text, and the choices that only a person can make.

    Bound, it agrees to the text that was shown: one that was changed since is looked at again.
    """

    use_required_attribute = False
    text = forms.CharField(
        max_length=MAX_TEXT, strip=False, widget=forms.Textarea(attrs={"hidden": True})
    )
    shown = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        text: str,
        project: Project,
        units: Unit,
        default: Part | None = None,
    ) -> None:
        super().__init__(data, auto_id="pattern_%s", initial={"text": text, "shown": _mark(text)})
        self.units = units
        self.project = project
        self.pattern: Pattern = pattern_of(project, text, units)
        self._parts = list(project.parts.all())
        places = likely_places(project, self.pattern, default)
        for index, part in enumerate(self.pattern.parts):
            self.fields[f"part_{index}"] = self._place(part, places[index])
            for line in part.understood:
                if len(line.roles) > 1:
                    self.fields[f"other_{line.number}"] = self._other(line, index)
            for wrong in part.unread:
                self.fields[f"strike_{wrong.number}"] = forms.BooleanField(
                    required=False, label="strike it out: it asks for no cloth"
                )

    def _place(self, pattern_part: PatternPart, place: str) -> forms.ChoiceField:
        new = (
            f"a new part, {pattern_part.title}"
            if pattern_part.title
            else "a new part, From the pattern"
        )
        known = [(str(part.pk), part.name) for part in self._parts]
        return forms.ChoiceField(
            label="goes to",
            initial=place,
            choices=[(NEW, new), *known, (NOT_TAKEN, "nowhere: leave it out")],
        )

    def _other(self, line: ReadLine, own: int) -> forms.ChoiceField:
        there = [
            (f"={index}", part.title or "From the pattern")
            for index, part in enumerate(self.pattern.parts)
            if index != own
        ]
        named = [index for index, part in enumerate(self.pattern.parts) if index != own
                 and part.title and part.title.lower() in line.text.lower()]  # fmt: skip
        known = [(str(part.pk), part.name) for part in self._parts]
        return forms.ChoiceField(
            label=f"{' and '.join(line.roles[1:])} goes to",
            initial=f"={named[0]}" if len(named) == 1 else "",
            choices=[("", "choose the part"), *there, *known],
        )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("shown") != _mark(cleaned.get("text", "")):
            raise ValidationError(
                "The text was changed since it was read; look at what was understood again.",
                code="changed",
            )
        return cleaned

    @property
    def places(self) -> Places:
        """Where everything goes, once the form is valid."""
        given = self.cleaned_data
        return Places(
            parts={index: given[f"part_{index}"] for index in range(len(self.pattern.parts))},
            others={
                int(name.removeprefix("other_")): place
                for name, place in given.items()
                if name.startswith("other_")
            },
            struck={
                int(name.removeprefix("strike_"))
                for name, is_struck in given.items()
                if name.startswith("strike_") and is_struck
            },
        )

    @property
    def shown_parts(self) -> list[dict[str, Any]]:
        """Each part with its lines, the choices that belong to them, and its totals."""
        sewing = sewing_of(self.project, self.units)
        return [
            {
                "title": part.title or "Under no name",
                "place": self[f"part_{index}"],
                "lines": [self._shown(line) for line in part.lines],
                "totals": part.totals(sewing),
                "centre": part.centre,
            }
            for index, part in enumerate(self.pattern.parts)
        ]

    def _shown(self, line: ReadLine | WrongLine) -> dict[str, Any]:
        if isinstance(line, WrongLine):
            return {"line": line, "strike": self[f"strike_{line.number}"]}
        other = f"other_{line.number}"
        return {
            "line": line,
            "understood": line.understood,
            "other": self[other] if other in self.fields else None,
        }

    @property
    def notes(self) -> list[ReadLine]:
        """Headings and remarks: read, and asking for no cloth."""
        used = {line.number for part in self.pattern.parts for line in part.lines}
        lines = [line for line in self.pattern.lines if line.number not in used]
        return [line for line in lines if isinstance(line, ReadLine)]


def _mark(text: str) -> str:
    return hashlib.sha256("\n".join(text.splitlines()).encode("utf-8", "replace")).hexdigest()[:16]
