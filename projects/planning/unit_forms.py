"""What the forms of projects share: lengths in the person's units."""

from __future__ import annotations

from typing import Any

from django import forms

from stash.fields import LengthFormField
from stash.lengths import METRE, Unit

__all__ = ["LARGEST_SIDE", "UnitsForm", "UnitsModelForm"]

LARGEST_SIDE = 20 * METRE
"""The longest side that a project's quilt can have."""


class _InUnits:
    """Bare numbers are in the person's unit; errors come from the server, in whole sentences."""

    use_required_attribute = False

    def __init__(self, *args: Any, units: Unit = "in", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():  # type: ignore[attr-defined]
            if isinstance(field, LengthFormField):
                field.default_unit = units


class UnitsForm(_InUnits, forms.Form):
    pass


class UnitsModelForm(_InUnits, forms.ModelForm):  # type: ignore[type-arg]
    pass
