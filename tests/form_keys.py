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

#: What searches and doors keep for themselves: no act of a person, and the same however often.
KEPT_WITHOUT_A_KEY = {
    "projects_coverage",  # answers to questions, found again
    "projects_openquestion",  # questions being looked into
    "stash_signinfailure",
    "stash_setuplink",
}
_WRITES = re.compile(r'^\s*(?:INSERT INTO|UPDATE|DELETE FROM)\s+"?((?:stash|projects)_\w+)"?', re.I)
_SPENT = "stash_spentkey"


def without_key(client: Client) -> Client:
    """Return the client, posting as it is told from now on: without a key unless one is given."""
    client.adds_key = False  # type: ignore[attr-defined]
    return client


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
