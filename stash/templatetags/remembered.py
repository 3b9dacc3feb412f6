"""Parts of pages that are remembered as they were drawn.

A part whose template shows nothing but the values that it is given looks the same whenever they
are equal: then it is not drawn again. The values must be hashable and hold everything that is
shown; the template sees neither the request nor the page around it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from functools import lru_cache

from django import template
from django.template.loader import get_template
from django.utils.safestring import SafeString

register = template.Library()

#: A card of the shelf takes some 2 kB.
_MOST_REMEMBERED = 3_000


@register.simple_tag
def remembered(path: str, **shown: Hashable) -> SafeString:
    """The template of this path with these values."""
    return _drawn(path, tuple(shown.items()))


@register.simple_tag
def remembered_each(
    path: str, name: str, values: Iterable[Hashable], **shown: Hashable
) -> SafeString:
    """The template once for each value, by this name, beside what is the same for all."""
    same = tuple(shown.items())
    return SafeString("".join(_drawn(path, ((name, value), *same)) for value in values))


@lru_cache(maxsize=_MOST_REMEMBERED)
def _drawn(path: str, shown: tuple[tuple[str, Hashable], ...]) -> SafeString:
    return SafeString(get_template(path).render(dict(shown)))
