"""What lists are narrowed by: filters with a sentence for each wrong value, order and pages.

A list's address is its whole question. A value that means nothing narrows nothing, and is told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any

import django_filters
from django import forms
from django.core.paginator import Page, Paginator
from django.db.models import QuerySet

from stash.fields import AnyOfField, DayField, OneOfField, OwnRowField, TextField
from stash.text import fold, quoted

__all__ = [
    "MOST_AT_ONCE",
    "AnyOf",
    "Contains",
    "ContainsUnfolded",
    "Day",
    "ListFilter",
    "OneOf",
    "Order",
    "OwnRow",
    "page_of",
    "sentences",
]


#: Of all that a list finds, so many rows can be ticked and done with in one go.
MOST_AT_ONCE = 1_000


class AnyOf(django_filters.Filter):
    """Ticked choices, any of which may hold."""

    field_class = AnyOfField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("lookup_expr", "in")
        super().__init__(*args, **kwargs)


class OneOf(django_filters.Filter):
    """One choice; without one everything is shown."""

    field_class = OneOfField

    def __init__(self, *args: Any, choices: Sequence[Any], empty: str = "any", **kwargs: Any):
        super().__init__(*args, choices=[("", empty), *choices], **kwargs)


class Day(django_filters.Filter):
    field_class = DayField


class Contains(django_filters.Filter):
    """Folded text that a folded field contains: capitals and accents make no difference."""

    field_class = TextField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 80)
        kwargs.setdefault("lookup_expr", "contains")
        super().__init__(*args, **kwargs)

    def filter(self, qs: QuerySet[Any], value: str) -> QuerySet[Any]:
        return super().filter(qs, fold(value or ""))


class ContainsUnfolded(Contains):
    """The same of a field that is kept as it was written; for lists that fit in memory."""

    def filter(self, qs: QuerySet[Any], value: str) -> QuerySet[Any]:
        if not value:
            return qs
        asked, kept = fold(value), qs.order_by().values_list("pk", self.field_name)
        return qs.filter(pk__in=[key for key, text in kept if asked in fold(text)])


class OwnRow(django_filters.Filter):
    """One row, by its number, which a link carries; its rows are set for each person."""

    field_class = OwnRowField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("queryset", None)
        kwargs.setdefault("widget", forms.HiddenInput)
        super().__init__(*args, **kwargs)


class Order(OneOf):
    """One of the named orders; the first is the usual one. Each is total."""

    def __init__(self, orders: Mapping[str, tuple[str, tuple[Any, ...]]], **kwargs: Any) -> None:
        self.orders = orders
        (_, (usual, _)), *others = orders.items()
        named = [(key, label) for key, (label, _) in others]
        super().__init__(label="Order", choices=named, empty=usual, **kwargs)

    def filter(self, qs: QuerySet[Any], value: str) -> QuerySet[Any]:
        return qs.order_by(*self.orders[value or next(iter(self.orders))][1])


class _NarrowForm(forms.Form):
    """Stands beside other forms on its page."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.auto_id = "narrow_%s"


class ListFilter(django_filters.FilterSet):
    """A list that is narrowed, ordered and paged by its address.

    ``qs`` are the rows by all that is understood; ``wrong`` are sentences about the rest.
    """

    PAGE_SIZE = 30

    class Meta:
        form = _NarrowForm

    def choice_of(self, name: str) -> Any:
        """What was answered to one question, as far as it is understood."""
        self.form.is_valid()
        return self.form.cleaned_data.get(name)

    @property
    def is_open(self) -> bool:
        """Whether anything is asked, so that the form is shown unfolded."""
        return any(any(self.data.getlist(name)) for name in self.filters)

    @property
    def is_used(self) -> bool:
        """Whether the list may be shorter than the whole."""
        return any(self.choice_of(name) for name in self.filters if name != "order")

    @property
    def rows(self) -> Any:
        """What the pages are made of; a list where the order is no query's."""
        return self.qs

    @cached_property
    def _paged(self) -> tuple[Page[Any], str]:
        return page_of(self.rows, self.data.get("page", ""), self.PAGE_SIZE)

    @property
    def page(self) -> Page[Any]:
        return self._paged[0]

    @property
    def wrong(self) -> tuple[str, ...]:
        """Sentences about what has no visible field to stand beside."""
        hidden = [str(error) for field in self.form.hidden_fields() for error in field.errors]
        return (*hidden, *filter(None, [self._paged[1]]))


def sentences(form: forms.Form) -> tuple[str, ...]:
    """What a form refuses, each sentence with the label that it is about."""
    return tuple(
        f"{form.fields[name].label or name.capitalize()}: {sentence}"
        for name, refusals in form.errors.items()
        for sentence in refusals
    )


def page_of(rows: Any, asked: str | None, size: int) -> tuple[Page[Any], str]:
    """Return the asked page, or the nearest, and a sentence where there is no such page."""
    pages = Paginator(rows, size)
    page = pages.get_page(asked or 1)
    page.object_list = list(page.object_list)
    if not asked or asked == str(page.number):
        return page, ""
    last = pages.num_pages
    taken = "a page; there is only page 1" if last == 1 else f"a page from 1 to {last}"
    return page, f"{quoted(asked)} is not {taken}."
