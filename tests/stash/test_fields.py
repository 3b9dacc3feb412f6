"""Refusals of form fields quote what was typed and say what is taken."""

from typing import Any

import pytest
from django import forms
from django.core.exceptions import ValidationError

from projects.planning.projects.forms import ProjectForm
from stash.catalogue.fabrics.forms import FabricForm
from stash.fields import DayField, DecimalField, NumberField, WholeNumberField


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        (WholeNumberField(), "2.5", "“2.5” is not a whole number."),
        (WholeNumberField(min_value=1), "0", "“0” is not a whole number, 1 or more."),
        (
            WholeNumberField(min_value=1, max_value=500),
            "9" * 60,
            f"“{'9' * 40}…” is not a whole number from 1 to 500.",
        ),
        (NumberField(min_value=0, max_value=10), "nan", "“nan” is not a number from 0 to 10."),
        (NumberField(), "1e999", "“1e999” is not a number."),
        (
            DecimalField(min_value=0, max_value=30, max_digits=4, decimal_places=1),
            "2.55",
            "“2.55” is not a number of at most 1 decimal from 0 to 30.",
        ),
        (DayField(), "31/31/2026", "“31/31/2026” is not a date such as 2026-05-04."),
    ],
)
def test_refusal_quotes_what_was_typed(field: forms.Field, typed: str, sentence: str) -> None:
    with pytest.raises(ValidationError) as refused:
        field.clean(typed)
    assert refused.value.messages == [sentence]


def test_nothing_typed_is_asked_for_in_words() -> None:
    with pytest.raises(ValidationError, match=r"Give a whole number from 1 to 9\."):
        WholeNumberField(min_value=1, max_value=9).clean("")
    assert WholeNumberField(required=False).clean("") is None


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("form_class", "sent", "sentence"),
    [
        (FabricForm, {"shrink_length": "60"}, "decimal from 0 to 49.9."),
        (FabricForm, {"weight": "heavy"}, "“heavy” is not a whole number from 1 to 2000."),
        (FabricForm, {"prewashed_on": "May"}, "“May” is not a date such as 2026-05-04."),
        (ProjectForm, {"reserve": "-1"}, "“-1” is not a number of at most 1 decimal from 0 to"),
    ],
)
def test_forms_of_models_refuse_in_the_same_words(
    form_class: Any, sent: dict[str, str], sentence: str
) -> None:
    (name,) = sent
    (found,) = form_class(sent, units="in").errors[name]
    assert sentence in found
