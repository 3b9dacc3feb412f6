"""The hidden field that makes a form act once; every template has it without loading."""

import uuid

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag
def act_key() -> SafeString:
    """A fresh key; each form of a page needs one of its own."""
    return format_html('<input type="hidden" name="act" value="{}">', uuid.uuid4())
