"""The want of a part in few words: a colour, and how light."""

from __future__ import annotations

from typing import Any

from django import forms

from projects.models import Part
from projects.planning.unit_forms import UnitsModelForm
from projects.quilt_design.forecast.forecast import THIRDS

__all__ = ["BriefWantForm"]

_LOWEST, _HIGHEST = 0.0, 10.0
_AS_IT_IS = "as it is"


def _bands() -> dict[str, tuple[float | None, float | None]]:
    """The thirds of the scale as limits of a want; at the ends of the scale there is none."""
    return {
        band.word: (
            round(band.low, 1) if band.low > _LOWEST else None,
            round(band.high, 1) if band.high < _HIGHEST else None,
        )
        for band in THIRDS
    }


class BriefWantForm(UnitsModelForm):
    """Words and a band; whoever wants values in numbers says so on the part's own page."""

    band = forms.ChoiceField(label="how light")

    class Meta:
        model = Part
        fields = ["want_words"]
        labels = {"want_words": "colour"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="beside_%s", **kwargs)
        self.fields["want_words"].widget.attrs["placeholder"] = "dark blue, cream"
        part: Part = self.instance
        now = (part.value_low, part.value_high)
        choices = [("", "any"), *((word, word) for word in _bands())]
        known = {(None, None): "", **{limits: word for word, limits in _bands().items()}}
        if now not in known:
            low, high = (part.value_low or _LOWEST), (part.value_high or _HIGHEST)
            choices.append((_AS_IT_IS, f"{low:g} to {high:g}"))
        band = self.fields["band"]
        assert isinstance(band, forms.ChoiceField)
        band.choices = choices
        band.required = False
        band.initial = known.get(now, _AS_IT_IS)

    def save(self, commit: bool = True) -> Part:
        part: Part = super().save(commit=False)
        band = self.cleaned_data["band"]
        if band != _AS_IT_IS:
            part.value_low, part.value_high = _bands().get(band, (None, None))
        if commit:
            part.save()
        return part
