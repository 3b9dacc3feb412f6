"""Photo files that are missing or broken spoil no page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from tests.reliability.page_forms import PageForm, all_forms, ways

pytestmark = pytest.mark.django_db

#: What is left of a file, or that nothing is.
WAYS: dict[str, Callable[[bytes], bytes | None]] = {
    "missing": lambda data: None,
    "empty": lambda data: b"",
    "another kind": lambda data: b"%PDF-1.7\n" + b"x" * 1000,
    "cut off": lambda data: data[: len(data) // 2],
}
#: Routes about photos; the rest of the site shows pictures only as addresses of these.
PARTS = ("photo", "fabric", "draft", "trip", "picture", "card", "audition", "squares", "quilt")


def test_no_page_and_no_act_fails_for_a_spoilt_photo(owner: User, photo_dir: Path) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    made = [way for way in ways(owner) if any(part in way[0].route for part in PARTS)]
    pages = [
        reverse(row.route, kwargs=kwargs) + row.query
        for row, kwargs in made
        if "GET" in row.methods
    ]
    forms = all_forms(made, client)
    met = {form.route for form in forms}
    forms += [
        PageForm(reverse(row.route, kwargs=kwargs))
        for row, kwargs in made
        if "POST" in row.methods and row.route not in met
    ]
    files = {path: path.read_bytes() for path in photo_dir.rglob("*.jpg") if path.is_file()}
    assert len(files) > 3
    faults: list[tuple[str, int, str]] = []
    for way, spoil in WAYS.items():
        for path, data in files.items():
            path.unlink(missing_ok=True)
            left = spoil(data)
            if left is not None:
                path.write_bytes(left)
        for address in pages:
            response = client.get(address)
            b"".join(response)  # type: ignore[call-overload]
            if response.status_code >= 500:
                faults.append((way, response.status_code, address))
    for form in forms:
        response = client.post(form.action, form.filled(form.buttons[0] if form.buttons else None))
        if response.status_code >= 500:
            faults.append((way, response.status_code, form.action))
    assert faults == []
