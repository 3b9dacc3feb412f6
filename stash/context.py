"""What every page needs to know about the person who looks at it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from stash.lengths import InchesOrCm, Unit, inches_or_cm
from stash.models import Preferences

__all__ = ["default_unit", "preferences", "units_of"]


def default_unit(user: Any) -> Unit:
    """The unit of a bare number that this person types: inches unless they chose metric."""
    chosen: Preferences | None = getattr(user, "preferences", None)
    return "cm" if chosen is not None and chosen.units == "cm" else "in"


def units_of(context: Mapping[str, Any]) -> InchesOrCm:
    """The units of a page that is drawn, as its context names them; else inches."""
    return inches_or_cm(str(context.get("units", "in")))


def preferences(request: HttpRequest) -> dict[str, Any]:
    """``units`` for the templates' length tags; whether an undone act may lead back here.

    Only a view that shows lengths has the units looked up, and passes them on.
    """
    return {
        "units": SimpleLazyObject(lambda: default_unit(request.user)),
        "can_come_back": request.method == "GET",
    }
