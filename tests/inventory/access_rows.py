"""Access to the stash in numbers."""

from __future__ import annotations

from tests.access.matrix import Row

ROWS = [
    Row("stash:my_stash"),
    Row("stash:value_report"),
    Row("stash:budget", methods=("POST",), post={"year": "2026", "amount": "250"}),
]
