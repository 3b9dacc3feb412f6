"""What is chosen about a photo of a test: which cloth it shows and how, and what lies in it."""

from __future__ import annotations

from typing import Any

from django import forms

from stash.colour.phone_trial import CLOTHS, FILLING, SMALL, WAYS
from stash.colour.picture.marks import Marks
from stash.photos.forms import ReadingForm
from stash.text import quoted

__all__ = ["BOUGHT", "SLOTS", "WAY_WORDS", "LookForm", "ShotForm"]

WAY_WORDS = {
    "window": "near the window",
    "lamp": "turned, under a lamp",
    "edge": "card at the far edge",
    "away": "from twice as far",
    FILLING: "filling the picture",
    SMALL: "small, on white",
}

#: Every photo of a test: cloth and way, in the order in which they are easily taken.
SLOTS = (
    *((cloth, way) for cloth in CLOTHS for way in WAYS),
    ("dark", FILLING),
    ("dark", SMALL),
)

#: What else may lie in a photo of a test.
BOUGHT = (
    ("", "nothing but the photo card"),
    ("chart", "a bought colour chart: found by itself"),
    ("chart_corners", "a bought colour chart, by its four corners"),
    ("grey_point", "a bought grey card, at one point"),
)


class ShotForm(forms.Form):
    """Which photo of the test comes."""

    shows = forms.CharField(
        max_length=200,
        label="This photo shows",
        error_messages={"required": "Choose which photo of the test it is."},
    )

    def clean_shows(self) -> tuple[str, str]:
        cloth, _, way = self.cleaned_data["shows"].partition("-")
        if (cloth, way) not in SLOTS:
            raise forms.ValidationError(
                f"{quoted(self.cleaned_data['shows'])} is no photo of this test; choose one of the"
                " list, such as the light cloth near the window."
            )
        return cloth, way


class LookForm(ReadingForm):
    """The frame around the cloth, and a bought reference that lies beside the card."""

    mark = forms.ChoiceField(choices=BOUGHT, required=False)

    def _marks(self, cleaned: dict[str, Any]) -> Marks | None:
        return None if cleaned["mark"] == "chart" else super()._marks(cleaned)

    @property
    def has_chart(self) -> bool:
        """Whether a chart is to be found by itself."""
        return bool(self.cleaned_data["mark"] == "chart")
