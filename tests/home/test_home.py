"""The page that the site opens on."""

from __future__ import annotations

import pytest
from django.test import Client

pytestmark = pytest.mark.django_db


def test_a_question_of_old_is_asked_on_the_shelf(client: Client) -> None:
    """The shelf lay at the root: what was kept of its addresses leads on."""
    response = client.get("/?words=dark+blue&value=dark")
    assert response.status_code == 301
    assert response["Location"] == "/find/?words=dark+blue&value=dark"
