"""Access to the start page and to *See together*."""

from __future__ import annotations

from tests.access.matrix import Row

ROWS = [
    Row("stash:home"),
    Row("stash:together"),
]
