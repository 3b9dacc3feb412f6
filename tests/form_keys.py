"""Every form of the tests carries a key as on the pages, and nothing is changed without one.

Posting by Django's test client adds a fresh key where the form sent has none, and watches what the
request writes: a row of ours written before a key was spent fails the test.
"""

import re
import uuid
from collections.abc import Callable
from contextlib import ExitStack
from functools import wraps
from typing import Any

from django.db import connections
from django.test import Client
from django.urls import resolve

#: What searches and doors keep for themselves: no act of a person, and the same however often.
KEPT_WITHOUT_A_KEY = {
    "projects_coverage",  # answers to questions, found again
    "projects_openquestion",  # questions being looked into
    "stash_signinfailure",
    "stash_setuplink",
}
_WRITES = re.compile(r'^\s*(?:INSERT INTO|UPDATE|DELETE FROM)\s+"?((?:stash|projects)_\w+)"?', re.I)
_SPENT = "stash_spentkey"
_FORM = re.compile(r"<form\b.*?</form>", re.DOTALL)
_POSTS = re.compile(r"""\bmethod=.?post\b|\bhx-post=""", re.I)
_ACTION = re.compile(r'\baction="([^"]*)"')
_KEY = re.compile(r'<input type="hidden" name="act" value="([0-9a-f-]{36})"')


def without_key(client: Client) -> Client:
    """Return the client, posting as it is told from now on: without a key unless one is given."""
    client.adds_key = False  # type: ignore[attr-defined]
    return client


def check_forms(page: str, path: str) -> None:
    """Fail where a form of the page that changes something has no key, or another form's."""
    keys = []
    for form in _FORM.findall(page):
        head = form.partition(">")[0]
        if not _POSTS.search(head):
            continue
        there = _ACTION.search(head)
        address = (there[1] if there else path).partition("?")[0].partition("#")[0]
        if hasattr(resolve(address).func, "changes_nothing"):
            continue
        found = _KEY.findall(form)
        assert len(found) == 1, f"on {path} the form to {address} has {len(found)} keys"
        keys += found
    assert len(set(keys)) == len(keys), f"on {path} two forms share a key"


class Watch:
    """Writes of one request, in order."""

    def __init__(self) -> None:
        self.has_spent = False
        self.before: list[str] = []

    def __call__(self, execute: Callable[..., Any], sql: str, *rest: Any) -> Any:
        written = _WRITES.match(sql)
        if written:
            table = written[1].lower()
            if table == _SPENT:
                self.has_spent |= sql.lstrip().upper().startswith("INSERT")
            elif not self.has_spent and table not in KEPT_WITHOUT_A_KEY:
                self.before.append(sql[:200])
        return execute(sql, *rest)


def install() -> None:
    """Let every test client post with keys and under watch."""
    plain = Client.request

    @wraps(plain)
    def request(self: Client, **environ: Any) -> Any:
        response = _watched(self, environ)
        if response.headers.get("Content-Type", "").startswith("text/html"):
            check_forms(response.content.decode(), environ["PATH_INFO"])
        return response

    def _watched(self: Client, environ: dict[str, Any]) -> Any:
        if environ.get("REQUEST_METHOD") != "POST":
            return plain(self, **environ)
        if getattr(self, "adds_key", True):
            environ.setdefault("HTTP_X_ACT", str(uuid.uuid4()))
        watch = Watch()
        with ExitStack() as stack:
            for connection in connections.all():
                stack.enter_context(connection.execute_wrapper(watch))
            response = plain(self, **environ)
        assert watch.before == [], f"{environ['PATH_INFO']} changes rows without spending a key"
        return response

    Client.request = request  # type: ignore[method-assign]
