"""What is ticked on a cut sheet, and what was spoiled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError

from projects.coverage.answers.saved_plan import CutStrip
from projects.cut_sheet.plans import SheetPlan
from projects.models import Project
from projects.planning.cuts import cut_label
from stash.catalogue.act_form import ActForm
from stash.fields import LengthFormField, WholeNumberField
from stash.lengths import Unit, format_length
from stash.models import Piece
from stash.text import row_number

__all__ = ["CuttingForm", "SpoilForm", "Strip"]


class CuttingForm(ActForm):
    """Read from the request's lists: several pieces, several remnants.

    How far a piece is cut comes in fields of its own: ``stop:`` and the piece's key; left empty,
    all of it is. Of a pack ``next:`` says after which strip of the next piece cutting stopped.
    """

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        cleaned["stops"] = self._numbers("stop:")
        cleaned["of_next"] = self._numbers("next:")
        return cleaned

    def _numbers(self, prefix: str) -> dict[str, int]:
        """What the fields of one kind say, by key."""
        found: dict[str, int] = {}
        for name in self.data:
            key, text = name.removeprefix(prefix), self.data[name].strip()
            if not name.startswith(prefix) or not text or key not in self.keys:
                continue
            if not _is_short_number(text):
                raise ValidationError(
                    f"“{text[:20]}” is no number of strips or pieces, such as 6.", code="stop"
                )
            found[key] = int(text)
        return found

    @property
    def everything(self) -> bool:
        """Whether all of the sheet was said to be cut, whatever is ticked."""
        return "all" in self.data

    @property
    def keys(self) -> list[str]:
        return self._list("piece")

    @property
    def fingerprints(self) -> list[str]:
        return self._list("answer")

    @property
    def remnants(self) -> list[str]:
        return self._list("remnant")

    def _list(self, name: str) -> list[str]:
        getlist = getattr(self.data, "getlist", None)
        return list(getlist(name)) if getlist else []


class Strip(NamedTuple):
    """A strip of a plan by the plan's key and its number, or only the cuts of one line in it."""

    key: str
    number: int
    cut: int = 0


class SpoilForm(ActForm):
    """Cloth lost to a mis-cut: a strip of the sheet, cuts of one, a length of a piece, or some of
    a pack.

    ``what`` is ``strip:<key of the plan>:<number>``, ``cut:<key>:<number of the strip>:<cut>`` or
    ``piece:<number>``.
    """

    what = forms.CharField(
        label="what was spoiled",
        max_length=60,
        widget=forms.Select,
        error_messages={"required": "Say which strip or piece was spoiled."},
    )
    before = forms.BooleanField(
        required=False,
        label="the strips before it are cut as planned",
        help_text="and, where single cuts were spoiled, the rest of that strip",
    )
    keeps_remnants = forms.BooleanField(
        required=False,
        label="what remains beside those strips goes back to the shelf",
        help_text="every remnant that the sheet names for them",
    )
    length = LengthFormField(
        required=False,
        label="how long it came out",
        help_text="a lengthwise strip: how wide; left empty, a strip is as planned",
    )
    good_width = LengthFormField(
        required=False,
        label="still good: width",
        help_text="goes back to the shelf; left empty, the whole width",
    )
    good_length = LengthFormField(
        required=False,
        label="still good: length",
        help_text="left empty, nothing goes back",
    )
    count = WholeNumberField(
        required=False,
        min_value=1,
        label="how many",
        help_text="of a pack, or of single cuts; left empty, one cut",
    )

    def __init__(
        self,
        *args: Any,
        project: Project,
        plans: Sequence[SheetPlan] = (),
        letters: Mapping[int, str] | None = None,
        units: Unit = "in",
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, units=units, **kwargs)
        self.units: Unit = units
        self.letters = letters or {}
        self.pieces = (
            Piece.objects.owned_by(project.owner)
            .on_shelf()
            .filter(fabric__parts__project=project)
            .select_related("fabric")
            .distinct()
        )
        if not self.is_bound:
            widget = self.fields["what"].widget
            assert isinstance(widget, forms.Select)
            widget.choices = self._choices(plans)

    def _choices(self, plans: Sequence[SheetPlan]) -> list[tuple[str, Any]]:
        """Each strip and each kind of cut in it, under the name of its piece and with its cloth."""
        cut: list[tuple[str, Any]] = [("", "choose")]
        for plan in plans:
            if not plan.is_pack:
                named = [
                    choice for strip in plan.plan.strips for choice in self._of_strip(plan, strip)
                ]
                cut.append((plan.plan.name, named))
        others = [(f"piece:{piece.pk}", self._called(piece)) for piece in self.pieces]
        return [*cut, ("Not a strip of this sheet", others)] if others else cut

    def _of_strip(self, plan: SheetPlan, strip: CutStrip) -> list[tuple[str, str]]:
        of, size = plan.piece.fabric.name, self._long(strip.size)
        named = [(f"strip:{plan.key}:{strip.number}", f"strip {strip.number} of {of}, {size}")]
        if len(strip.placements) == 1:
            return named
        for cut in dict.fromkeys(placement.cut for placement in strip.placements):
            label = f"{self.letters.get(cut, '')} {cut_label(plan.cuts[cut], self.units)}".strip()
            named.append(
                (
                    f"cut:{plan.key}:{strip.number}:{cut}",
                    f"only some of {label} in strip {strip.number} of {of}",
                )
            )
        return named

    def _long(self, length: int) -> str:
        return format_length(length, units=self.units, rounding="up")

    def _called(self, piece: Piece) -> str:
        if _is_pack(piece):
            return f"some of {piece.count}: {piece}"
        there = format_length(piece.length, units=self.units, rounding="down")
        return f"a length of {piece}, {there}"

    def clean_what(self) -> Strip | Piece:
        """A strip of a plan, some cuts of one, or a piece."""
        chosen = self.cleaned_data["what"]
        kind, _, named = chosen.partition(":")
        key, _, numbers = named.partition(":")
        strip, _, cut = numbers.partition(":")
        if kind == "strip" and key and _is_number(strip) and not cut:
            return Strip(key, int(strip))
        if kind == "cut" and key and _is_number(strip) and _is_number(cut):
            return Strip(key, int(strip), int(cut))
        if kind == "piece" and _is_number(named):
            found = self.pieces.filter(pk=int(named)).first()
            if found is not None:
                return found
        raise ValidationError(
            f"“{chosen}” is nothing that can be spoiled here; choose a strip or a piece.",
            code="what",
        )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if self.errors:
            return cleaned
        if isinstance(cleaned["what"], Piece):
            self._check_piece(cleaned["what"], cleaned)
        elif not cleaned["before"] and (cleaned["what"].number > 1 or cleaned["what"].cut):
            raise ValidationError(
                f"Strip {cleaned['what'].number} is cut after those before it: tick that these are"
                " cut, or book first what is cut.",
                code="before",
            )
        if cleaned["good_width"] and not cleaned["good_length"]:
            raise ValidationError("Say how long the part is that is still good.", code="good")
        return cleaned

    def _check_piece(self, piece: Piece, cleaned: dict[str, Any]) -> None:
        is_pack = _is_pack(piece)
        if is_pack:
            if not cleaned["count"]:
                raise ValidationError("Say how many of the pack were spoiled.", code="count")
            if cleaned["count"] > piece.count:
                raise ValidationError(
                    f"“{cleaned['count']}” is more than there is: {piece} has {piece.count}.",
                    code="count",
                )
        elif not cleaned["length"]:
            raise ValidationError("Say how much length was spoiled.", code="length")
        elif cleaned["length"] > piece.length:
            raise self._too_much("length", piece.length, str(piece))
        spoiled = piece.length if is_pack else cleaned["length"]
        if (cleaned["good_width"] or 0) > piece.width:
            raise self._too_much("good_width", piece.width, str(piece))
        if (cleaned["good_length"] or 0) > spoiled:
            raise self._too_much("good_length", spoiled, "what was spoiled")

    def _too_much(self, name: str, there: int, of: str) -> ValidationError:
        has = format_length(there, units=self.units, rounding="down")
        return ValidationError(
            f"“{self.data[name]}” is more than there is: {of} has {has}.", code=name
        )


def _is_pack(piece: Piece) -> bool:
    return bool(piece.is_pack or piece.count > 1)


def _is_short_number(text: str) -> bool:
    return _is_number(text) and len(text) < 6


def _is_number(text: str) -> bool:
    return row_number(text) is not None
