"""What is ticked on a cut sheet, and what was spoiled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.cut_sheet.plans import SheetPlan
from projects.models import Project
from stash.catalogue.act_form import ActForm
from stash.fields import LengthFormField, WholeNumberField
from stash.lengths import Unit, format_length
from stash.models import Piece

__all__ = ["CuttingForm", "SpoilForm"]


_STOP = "stop:"


class CuttingForm(ActForm):
    """Read from the request's lists: several pieces, several remnants.

    How far a piece is cut comes in a field of its own, ``stop:`` and the piece's key; left empty,
    all of it is.
    """

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        cleaned["stops"] = {}
        for name in self.data:
            key, typed = name.removeprefix(_STOP), self.data[name].strip()
            if not name.startswith(_STOP) or not typed or key not in self.keys:
                continue
            if not (typed.isascii() and typed.isdecimal() and len(typed) < 6):
                raise ValidationError(
                    f"“{typed[:20]}” is no number of strips or pieces, such as 6.", code="stop"
                )
            cleaned["stops"][key] = int(typed)
        return cleaned

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


class SpoilForm(ActForm):
    """Cloth lost to a mis-cut: a strip of the sheet, a length of a piece, or some of a pack.

    ``what`` is ``strip:<key of the plan>:<number>`` or ``piece:<number>``.
    """

    what = forms.CharField(
        label="what was spoiled",
        max_length=60,
        widget=forms.Select,
        error_messages={"required": "Say which strip or piece was spoiled."},
    )
    length = LengthFormField(
        required=False,
        label="how long it came out",
        help_text="left empty, a strip is as long as planned",
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
    count = WholeNumberField(required=False, min_value=1, label="of a pack: how many")

    def __init__(
        self,
        *args: Any,
        project: Project,
        plans: Sequence[SheetPlan] = (),
        units: Unit = "in",
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, units=units, **kwargs)
        self.units: Unit = units
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
            if not any(_is_pack(piece) for piece in self.pieces):
                del self.fields["count"]

    def _choices(self, plans: Sequence[SheetPlan]) -> list[tuple[str, Any]]:
        cut: list[tuple[str, Any]] = [("", "choose")]
        for plan in plans:
            if not plan.is_pack and plan.strips_across:
                strips = [
                    (
                        f"strip:{plan.key}:{strip.number}",
                        f"strip {strip.number}, "
                        + format_length(strip.size, units=self.units, rounding="up"),
                    )
                    for strip in plan.plan.strips
                ]
                cut.append((plan.plan.name, strips))
        others = [(f"piece:{piece.pk}", self._called(piece)) for piece in self.pieces]
        return [*cut, ("Not a strip of this sheet", others)] if others else cut

    def _called(self, piece: Piece) -> str:
        if _is_pack(piece):
            return f"some of {piece.count}: {piece}"
        there = format_length(piece.length, units=self.units, rounding="down")
        return f"a length of {piece}, {there}"

    def clean_what(self) -> tuple[str, int] | Piece:
        """A plan's key with the number of its strip, or a piece."""
        chosen = self.cleaned_data["what"]
        kind, _, named = chosen.partition(":")
        key, _, number = named.rpartition(":")
        if kind == "strip" and key and _is_number(number):
            return key, int(number)
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


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 16
