"""Helpers for tests in a real browser."""

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client


def sign_in(page: Any, user: User) -> None:
    """Give the page's browser a session of this person without going through the form."""
    client = Client()
    client.force_login(user)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": page.site}]
    )


def accessibility_violations(page: Any) -> list[str]:
    """Return what axe-core finds wrong on the page as it stands, one sentence a finding."""
    found = Axe().run(page)
    return [
        f"{rule['id']}: {rule['help']} ({node['html'][:120]})"
        for rule in found.response["violations"]
        for node in rule["nodes"]
    ]


PHONE = {"width": 360, "height": 740}


def files(*photos: bytes) -> list[dict[str, Any]]:
    return [
        {"name": f"IMG_{number}.jpg", "mimeType": "image/jpeg", "buffer": data}
        for number, data in enumerate(photos)
    ]
