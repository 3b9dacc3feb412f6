"""How forms are drawn: the templates are told what kind of field they draw."""

from __future__ import annotations

from django.forms.boundfield import BoundField
from django.forms.renderers import DjangoTemplates

__all__ = ["PageField", "PageRenderer"]


class PageField(BoundField):
    @property
    def is_checkbox(self) -> bool:
        return self.widget_type == "checkbox"

    @property
    def is_long_text(self) -> bool:
        return self.widget_type == "textarea"


class PageRenderer(DjangoTemplates):
    bound_field_class = PageField
