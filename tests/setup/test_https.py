"""A site behind a proxy with https on another machine: a person signs in, and nobody is fooled.

The other machine is another address of loopback: the proxy asks from 127.0.0.9, and the site
is told to believe that address alone.
"""

from __future__ import annotations

import http.client
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode

import pytest

from tests.builders import PASSWORD
from tests.reliability.site import Site, empty_database
from tests.setup.https_proxy import NAME, Proxy, https_proxy

pytestmark = pytest.mark.django_db

PROXY = "127.0.0.9"
TOKEN = "seen-from-the-sewing-room"


@dataclass(frozen=True)
class Behind:
    site: Site
    proxy: Proxy


@pytest.fixture(scope="module")
def behind(
    tmp_path_factory: pytest.TempPathFactory, django_db_setup: None, django_db_blocker: Any
) -> Iterator[Behind]:
    folder = tmp_path_factory.mktemp("https")
    data = folder / "data"
    with (
        django_db_blocker.unblock(),
        empty_database(data) as database,
        Site(data, database, starts=False) as site,
    ):
        site.env |= {"STASH_HTTPS": "1", "STASH_HOSTS": NAME, "STASH_PROXIES": PROXY}
        site.env |= {"STASH_LOG": "json", "STASH_METRICS_TOKEN": TOKEN}
        site.env |= {"STASH_SECRET_KEY": "".join(chr(48 + number) for number in range(60))}
        site.ask("seed", clients=1)
        site.start()
        with https_proxy(folder, site_port=site.port, own_address=PROXY) as proxy:
            yield Behind(site, proxy)


@dataclass
class Browser:
    """One person's, at an address of their own."""

    proxy: Proxy
    address: str
    cookies: dict[str, str] = field(default_factory=dict)
    flags: str = ""

    def ask(
        self, method: str, path: str, fields: dict[str, str] | None = None, **headers: str
    ) -> http.client.HTTPResponse:
        sent = {name.replace("_", "-"): text for name, text in headers.items()}
        sent["Cookie"] = "; ".join(f"{name}={text}" for name, text in self.cookies.items())
        # What browsers send with every form, and Django holds against the host.
        sent |= {"Origin": f"https://{NAME}", "Referer": f"https://{NAME}{path}"}
        body = b""
        if fields is not None:
            told = fields | {"csrfmiddlewaretoken": self.cookies.get("csrftoken", "")}
            body = urlencode(told).encode()
            sent["Content-Type"] = "application/x-www-form-urlencoded"
        answer = self.proxy.ask(method, path, body, sent, source=self.address)
        for line in answer.headers.get_all("Set-Cookie") or ():
            self.flags += line.lower()
            for name, morsel in SimpleCookie(line).items():
                self.cookies[name] = morsel.value
        return answer

    def sign_in(self, name: str, password: str, **headers: str) -> http.client.HTTPResponse:
        self.ask("GET", "/account/sign-in/")
        return self.ask(
            "POST", "/account/sign-in/", {"username": name, "password": password}, **headers
        )


def direct(port: int, path: str, source: str, **headers: str) -> http.client.HTTPResponse:
    """Ask the site past its proxy."""
    connection = http.client.HTTPConnection(
        "127.0.0.1", port, timeout=120, source_address=(source, 0)
    )
    connection.request("GET", path, headers={k.replace("_", "-"): v for k, v in headers.items()})
    answer = connection.getresponse()
    answer.text = answer.read().decode()  # type: ignore[attr-defined]
    connection.close()
    return answer


def test_a_person_signs_in_through_the_proxy(behind: Behind) -> None:
    browser = Browser(behind.proxy, "127.0.0.20")
    answer = browser.sign_in("maren", PASSWORD)
    assert answer.status == 302, answer.text
    assert answer.headers["Location"] == "/"
    assert "secure" in browser.flags
    assert "httponly" in browser.flags
    shelf = browser.ask("GET", "/find/?q=private+words")
    assert shelf.status == 200
    assert "max-age=" in shelf.headers["Strict-Transport-Security"]
    assert f"ready: https://{NAME}/ through a proxy" in behind.site.log.read_text()


def test_who_is_no_proxy_cannot_say_that_it_was_https(behind: Behind) -> None:
    told = {"Host": NAME, "X_Forwarded_Proto": "https", "X_Forwarded_For": "127.0.0.20"}
    answer = direct(behind.site.port, "/account/sign-in/", "127.0.0.1", **told)
    assert (answer.status, answer.headers["Location"]) == (301, f"https://{NAME}/account/sign-in/")
    assert direct(behind.site.port, "/account/sign-in/", PROXY, **told).status == 200


def test_guesses_are_counted_by_the_true_address(behind: Behind) -> None:
    """Who guesses names another address each time; the proxy writes the true one behind it."""
    guesser = Browser(behind.proxy, "127.0.0.30")
    told = []
    for number in range(22):
        made_up = f"203.0.113.{number}"
        answer = guesser.sign_in(f"name-{number}", "wrong guess", X_Forwarded_For=made_up)
        told.append("Too many tries" in answer.text)
    assert told == [False] * 20 + [True] * 2
    owner = Browser(behind.proxy, "127.0.0.31")
    assert owner.sign_in("maren", PASSWORD).status == 302


def test_programs_ask_past_the_proxy(behind: Behind) -> None:
    assert direct(behind.site.port, "/health/", "127.0.0.1").status == 200
    ready = direct(behind.site.port, "/ready/", "127.0.0.1")
    assert (ready.status, json.loads(ready.text)["ready"]) == (200, True)
    assert direct(behind.site.port, "/metrics/", "127.0.0.1").status == 404
    answer = direct(behind.site.port, "/metrics/", "127.0.0.1", Authorization=f"Bearer {TOKEN}")
    assert 'clothlight_requests_total{route="accounts:sign_in",method="POST"' in answer.text


def test_the_log_is_objects_that_tell_no_one(behind: Behind) -> None:
    Browser(behind.proxy, "127.0.0.32").ask("GET", "/find/?q=private+words", X_Request_ID="abc-7")
    written = behind.site.log.read_text()
    objects = [json.loads(line) for line in written.splitlines() if line.startswith("{")]
    assert any(line["request"] == "abc-7" and line["status"] == 302 for line in objects)
    told = "\n".join(line for line in written.splitlines() if line.startswith("{"))
    for private in ("maren", "private", "name-", "/find", "127.0.0.", "203.0.113."):
        assert private not in told, private
    rest = [line for line in written.splitlines() if not line.startswith("{")]
    assert not [line for line in rest if re.search(r"private|127\.0\.0\.[23]\d", line)]
