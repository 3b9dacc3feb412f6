"""The main navigation: its places in their order, and which of them a page belongs to."""

from __future__ import annotations

from dataclasses import dataclass

from django import template
from django.urls import reverse

register = template.Library()

_PLACES = (
    ("stash", "stash:shelf", "Find"),
    ("add", "stash:add", "Add"),
    ("together", "stash:together", "See together"),
    ("projects", "projects:list", "Make"),
    ("to_buy", "projects:to_buy", "Buy"),
)


@dataclass(frozen=True)
class NavPlace:
    address: str
    label: str
    is_here: bool


@register.filter
def nav_places(section: str) -> list[NavPlace]:
    return [NavPlace(reverse(route), label, key == section) for key, route, label in _PLACES]


@register.filter
def is_account(section: str) -> bool:
    """Whether a page is about the person and the site."""
    return section == "account"
