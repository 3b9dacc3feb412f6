"""Odd values in every form and every address: whatever comes, no answer is a fault of ours.

The short run takes each once; STASH_TEST_ODD_ROUNDS says how often (see DEVELOPERS.md).
"""

from __future__ import annotations

import os
import random
import re
import uuid
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.keeping import identity
from tests.access.matrix import Row
from tests.reliability.page_forms import PageForm, all_forms, is_page, ways

ROUNDS = int(os.environ.get("STASH_TEST_ODD_ROUNDS", "1"))

ODD = [
    "",
    " ",
    "\x00",
    "a\x00b",
    "\r\nSet-Cookie: a=b",
    "/\x0b\x7f",
    "//elsewhere.example/",
    "\ud800",
    "x\udfff",
    "\u202e\ufeff",
    "x" * 5000,
    "9" * 400,
    str(2**31),
    str(2**63),
    str(-(2**63) - 1),
    "0",
    "-1",
    "1e309",
    "nan",
    "inf",
    "1/0",
    "½⅞",
    "٣",
    "²",
    "1_000",
    "2026-02-30",
    "0000-00-00",
    "99999-01-01",
    "not-a-uuid",
    str(uuid.UUID(int=0)),
    str(uuid.UUID(int=2**128 - 1)),
    "[]",
    '{"a": 1e999}',
    "null",
    "'; --",
    "%s%n{0}{{ x }}",
    "<script>",
    "block:", "1,2,3,4,5,6,7,8,9", "0,0 0,0", "1e308,1e308",
]  # fmt: skip

#: Bodies that are no form at all.
BODIES = [
    ("application/json", b'{"act": [1]}'),
    ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data\r\n\r\n"),
    ("multipart/form-data", b"--x--"),
    ("application/x-www-form-urlencoded", b"a=%ff%fe&act=%00&=&&&%=%&\xff=\xc3"),
    ("application/x-www-form-urlencoded; charset=utf-7", b"a=+AGE-"),
    ("text/plain", b"\x00" * 100),
    ("", b"act=1"),
]


#: Fields of forms that stand on no page of the access matrix.
FIELDS = (
    "place other right down across part fabrics arrangement tap size draft square most limits "
    "view offer answer fabric piece width length count form edge note value by corners lender "
    "region marks username password columns rows side seam border name text"
).split()

#: What addresses may ask for.
NAMES = (
    "words sort page view at with or for project part fabric like value colour harmony place x y "
    "what kind width length count side lightness strip middle seam patches edge layout setting "
    "block border sashing columns rows paper units after from to back next set"
).split()
_NAMED = re.compile(r'(?:name="|[?&;])([a-z][a-z0-9_-]*)[="]')

Made = list[tuple[Row, dict[str, Any]]]
#: What `Client.generic` takes, and the fields of a form.
Request = tuple[dict[str, Any], dict[str, list[object]] | None]


def as_sent(text: str) -> bytes:
    """Half a character cannot be sent by a browser, but by a script."""
    return text.encode("utf-8", errors="surrogatepass")


def spoilt(form: PageForm, chance: random.Random) -> dict[str, list[object]]:
    """The form as a person would send it, with some fields spoilt, doubled or missing."""
    sent = form.filled(chance.choice(form.buttons) if form.buttons else None)
    names = [name for name in sent if name not in ("act", "csrfmiddlewaretoken", *form.files)]
    for name in chance.sample(names, min(len(names), chance.choice((1, 1, 1, 2, 9)))):
        match chance.randrange(5):
            case 0:
                del sent[name]
            case 1:
                sent[name] = [*sent[name], chance.choice(ODD)]
            case _:
                sent[name] = [chance.choice(ODD)]
    if form.files and chance.random() < 0.5:
        sent.pop(form.files[0])
    sent[chance.choice(("back", "next", "view", "words"))] = [chance.choice(ODD)]
    return {
        name: [as_sent(text) if isinstance(text, str) else text for text in texts]
        for name, texts in sent.items()
    }


def sending(made: Made, client: Client) -> Iterator[PageForm]:
    """A form for each route that is posted to; signing out would end the test."""
    forms = all_forms(made, client)
    yield from (form for form in forms if form.route != "accounts:sign_out")
    met = {form.route for form in forms}
    for row, kwargs in made:
        if "POST" in row.methods and row.route not in met:
            fields = [("act", str(uuid.uuid4())), *((field, "1") for field in FIELDS)]
            yield PageForm(reverse(row.route, kwargs=kwargs), fields)


def odd_forms(forms: list[PageForm], chance: random.Random) -> Iterator[Request]:
    for form in forms:
        for _ in range(ROUNDS):
            yield {"method": "POST", "path": form.action}, spoilt(form, chance)


def odd_bodies(made: Made, chance: random.Random) -> Iterator[Request]:
    for row, kwargs in made:
        if "POST" in row.methods and row.route != "accounts:sign_out":
            for kind, body in BODIES if ROUNDS > 1 else chance.sample(BODIES, 1):
                address = reverse(row.route, kwargs=kwargs)
                yield {"method": "POST", "path": address, "data": body, "content_type": kind}, None


def odd_addresses(made: Made, client: Client, chance: random.Random) -> Iterator[Request]:
    """What the page itself puts into addresses, and what other pages do, with odd values."""
    for row, kwargs in made:
        if "GET" not in row.methods:
            continue
        plain = reverse(row.route, kwargs=kwargs)
        page = client.get(plain + row.query)
        own = sorted(set(_NAMED.findall(page.content.decode()))) if is_page(page) else []
        b"".join(page)
        for _ in range(2 * ROUNDS):
            names = chance.sample(NAMES, 2) + chance.sample(own, min(len(own), 3))
            texts = [quote(as_sent(chance.choice(ODD))) for _ in names]
            query = "&".join(f"{name}={text}" for name, text in zip(names, texts, strict=True))
            yield {"method": "GET", "path": f"{plain}?{query}"}, None


@pytest.mark.django_db(transaction=True)
def test_odd_values_are_never_answered_with_a_fault(owner: User, monkeypatch: Any) -> None:
    # A spoilt form comes back as it was sent; tests/access judges the keys of whole ones.
    monkeypatch.setattr("tests.form_keys.check_forms", lambda page, path: None)
    identity.join()  # a stash that nobody began is not ready, and says so with 503
    chance = random.Random(int(os.environ.get("STASH_TEST_SEED", "11")))
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    made = ways(owner)
    asked = [
        *odd_addresses(made, client, chance),
        *odd_bodies(made, chance),
        *odd_forms(list(sending(made, client)), chance),
    ]
    faults = []
    for request, fields in asked:
        if fields is None:
            response = client.generic(**request)
        else:
            response = client.post(request["path"], fields)
        b"".join(response)  # type: ignore[call-overload]
        if response.status_code >= 500:
            faults.append((response.status_code, request, fields))
            client.force_login(owner)
    assert faults == []
