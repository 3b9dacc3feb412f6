"""What a person says and does about a piece."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from stash.catalogue.act_form import ActForm
from stash.catalogue.pieces.weighing_form import WeighingFields
from stash.fields import (
    LONGEST,
    DayField,
    DecimalField,
    LengthFormField,
    WholeNumberField,
    bounded_length,
)
from stash.lengths import format_length
from stash.measuring.skew import SkewError, skew_share, straightened
from stash.models import Piece, Place
from stash.models.piece import Edge, Form
from stash.trade_words import trade, trade_lazy

__all__ = [
    "AcquireForm",
    "BackForm",
    "CorrectForm",
    "GiveAwayForm",
    "KeepForm",
    "LendForm",
    "MeasureForm",
    "SplitForm",
    "UseForm",
    "WeighForm",
]

_MOST_IN_A_PACK = 10_000


class _SquareableForm(ActForm):
    """A length along the selvage, of which straightening takes its part."""

    off_square = LengthFormField(
        required=False,
        allow_zero=True,
        label="off square by",
        help_text="bow or skew: how far a crosswise thread runs off over the width, at the most;"
        " squaring the ends costs as much of the length",
    )

    def take_off_square(self) -> str:
        """Take off the length what straightening costs; return what the ledger is told of it."""
        offset = self.cleaned_data.pop("off_square", None)
        width, length = self.cleaned_data.get("width"), self.cleaned_data.get("length")
        if not offset or width is None or length is None:
            return ""
        try:
            self.cleaned_data["length"] = straightened(length, offset)
        except SkewError as error:
            self.add_error("off_square", str(error))
        along, off = (format_length(measured, units=self.units) for measured in (length, offset))
        share = float(skew_share(offset, width) * 100)
        return trade(f"{along} along the selvage, less {off} to square it ({share:.1f} % off)")


class AcquireForm(_SquareableForm, WeighingFields):
    """A new piece of a fabric: what it is, how big, from where."""

    field_order = ("form", "width", "width_measured", "length", "length_measured", "off_square")

    form = forms.ChoiceField(choices=Form.choices)
    width = LengthFormField(label="usable width", help_text=trade_lazy("without selvages"))
    width_measured = forms.BooleanField(required=False, label="I measured the width")
    length = LengthFormField(required=False, label="length")
    length_measured = forms.BooleanField(required=False, label="I measured the length")
    count = WholeNumberField(
        min_value=1, max_value=_MOST_IN_A_PACK, initial=1, help_text="how many in a pack"
    )
    edge = forms.ChoiceField(choices=Edge.choices)
    place = forms.ModelChoiceField(Place.objects.none(), required=False, empty_label="not said")
    lot = forms.CharField(
        required=False, max_length=60, help_text="dye lot or bolt; leave empty when not known"
    )
    bought_where = forms.CharField(required=False, max_length=120)
    bought_on = DayField(required=False)
    price = DecimalField(required=False, min_value=0, max_digits=8, decimal_places=2)
    condition = forms.CharField(
        required=False, max_length=200, help_text="stains, fold fading, a hole"
    )

    def __init__(self, *args: Any, owner: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = Place.objects.owned_by(owner)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any] | None:
        length = self.cleaned_data.get("length")
        is_given = bool(self.data.get("weight"))
        weighed = self.take_weighing(self.units)
        notes = []
        if weighed and length is not None:
            self.add_error("weight", "Give the length or the weight, not both.")
        elif weighed and self.cleaned_data.get("count", 1) > 1:
            self.add_error("weight", "A pack of several is not weighed; give the length of one.")
        elif weighed:
            found, note = weighed
            notes.append(note)
            self.cleaned_data |= {
                "length": bounded_length(found.least, LONGEST),
                "length_spread": found.most - found.least,
                "length_measured": False,
            }
        elif length is None and not is_given and "length" not in self.errors:
            self.add_error("length", "Give the length, or weigh the piece.")
        notes.append(self.take_off_square())
        self.cleaned_data["note"] = "; ".join(note for note in notes if note)
        return super().clean()


class _SizeForm(ActForm):
    """A size that is written over: only over the one that the page showed.

    Otherwise a page left open would put back what was cut or given away since.
    """

    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, piece: Piece, **kwargs: Any) -> None:
        self.is_of = f"{piece.width} {piece.length} {piece.count}"
        kwargs["initial"] = {
            "width": piece.width,
            "length": piece.length,
            "count": piece.count,
            "seen": self.is_of,
        }
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any] | None:
        seen = self.cleaned_data.pop("seen", "")
        if seen and seen != self.is_of:
            raise ValidationError(
                "The piece was changed since this page was opened. See above what it is now, and "
                "save again if this is still right.",
                code="changed",
            )
        return super().clean()

    def shown_again(self) -> None:
        """What was typed stays; the size above it is the one seen from now on."""
        self.data = {name: self.data[name] for name in self.data} | {"seen": self.is_of}


class MeasureForm(_SizeForm, _SquareableForm):
    field_order = ("width", "length", "off_square")
    width = LengthFormField(label="usable width", help_text=trade_lazy("without selvages"))
    length = LengthFormField(label="length")

    def clean(self) -> dict[str, Any] | None:
        self.cleaned_data["note"] = self.take_off_square()
        return super().clean()


class WeighForm(_SizeForm, WeighingFields):
    """The length of a piece by its weight."""

    def clean(self) -> dict[str, Any] | None:
        weighed = self.take_weighing(self.units)
        if weighed:
            found, note = weighed
            self.cleaned_data |= {
                "length": bounded_length(found.least, LONGEST),
                "length_spread": found.most - found.least,
                "note": note,
            }
        elif not self.errors:
            self.add_error("weight", "Say what the piece weighs.")
        return super().clean()


class CorrectForm(_SizeForm):
    width = LengthFormField(label="usable width")
    length = LengthFormField(label="length")
    count = WholeNumberField(min_value=0, max_value=_MOST_IN_A_PACK)
    note = forms.CharField(required=False, max_length=200, label="why")


class GiveAwayForm(ActForm):
    """A length off the piece, some of a pack, or all of it."""

    length = LengthFormField(required=False, label="length", help_text="leave empty for all of it")
    count = WholeNumberField(required=False, min_value=1, label="how many")
    note = forms.CharField(required=False, max_length=200, label="to whom or why")

    def __init__(self, *args: Any, piece: Piece, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.piece = piece
        self.fields.pop("length" if piece.count > 1 else "count")

    def clean_count(self) -> int | None:
        count: int | None = self.cleaned_data["count"]
        if count is not None and count > self.piece.count:
            raise ValidationError(f"There are only {self.piece.count}, not {count}.")
        return count

    def clean(self) -> dict[str, Any] | None:
        length = self.cleaned_data.get("length")
        if length is not None and length > self.piece.length:
            self.add_error("length", "The piece is not that long.")
        return super().clean()


class UseForm(GiveAwayForm):
    """The same for something that is not planned here: the note says what."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].label = "for what"


class LendForm(ActForm):
    """A piece, or some of a pack, that goes out of the house and comes back."""

    to = forms.CharField(max_length=120, label="to whom")
    count = WholeNumberField(required=False, min_value=1, label="how many")

    def __init__(self, *args: Any, piece: Piece, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if piece.count <= 1:
            self.fields.pop("count")

    def clean_to(self) -> str:
        return " ".join(self.cleaned_data["to"].split())


class BackForm(ActForm):
    """What was lent comes back: all, or some of a pack."""

    count = WholeNumberField(required=False, min_value=1, label="how many")

    def __init__(self, *args: Any, piece: Piece, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if piece.lent_count <= 1:
            self.fields.pop("count")


class SplitForm(ActForm):
    """One of two cuts, or some out of a pack."""

    length = LengthFormField(required=False, help_text="a length that is cut off across the width")
    width = LengthFormField(required=False, help_text="or a width, cut along the length")
    count = WholeNumberField(required=False, min_value=1, label="how many go apart")

    def __init__(self, *args: Any, piece: Piece, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("length", "width") if piece.count > 1 else ("count",):
            self.fields.pop(name)


class KeepForm(forms.Form):
    """Where a piece lies, what of it is never to be cut, and how it is; no cloth moves."""

    place = forms.ModelChoiceField(Place.objects.none(), required=False, empty_label="not said")
    keep_back = LengthFormField(
        required=False, allow_zero=True, help_text="a length that is never to be cut"
    )
    favourite = forms.BooleanField(required=False, help_text="plans spare it where they can")
    motif_across = LengthFormField(
        required=False,
        allow_zero=True,
        label="first motif, across",
        help_text="from the corner to the middle of the first whole motif, across the width",
    )
    motif_along = LengthFormField(
        required=False,
        allow_zero=True,
        label="first motif, along",
        help_text="the same along the length; leave empty when not measured",
    )
    washed = forms.NullBooleanField(
        required=False,
        label="washed before use",
        help_text="a precut is not washed, whatever its fabric says",
        widget=forms.NullBooleanSelect,
    )
    condition = forms.CharField(required=False, max_length=200)
    lot = forms.CharField(required=False, max_length=60, help_text="dye lot or bolt")
    bought_where = forms.CharField(required=False, max_length=120)
    bought_on = DayField(required=False)
    price = DecimalField(
        required=False,
        min_value=0,
        max_digits=8,
        decimal_places=2,
        help_text="for all of it as bought; what was cut from it shares this",
    )
    use_required_attribute = False

    def __init__(self, *args: Any, piece: Piece, units: Any = "in", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.piece = piece
        self.fields["place"].queryset = Place.objects.owned_by(piece.owner)  # type: ignore[attr-defined]
        for name in ("keep_back", "motif_across", "motif_along"):
            self.fields[name].default_unit = units  # type: ignore[attr-defined]
        washed: Any = self.fields["washed"].widget
        washed.choices = [("unknown", "as its fabric says"), ("true", "yes"), ("false", "no")]

    def clean_keep_back(self) -> int:
        keep_back: int = self.cleaned_data["keep_back"] or 0
        free = self.piece.length - self.piece.promised_length
        if keep_back > free:
            raise ValidationError("That is more than the piece has free of promises.")
        return keep_back
