"""Access to the pages of finding; each shows only the asking person's cloth."""

from __future__ import annotations

from tests.access.matrix import Row

ROWS = [
    Row("stash:like_photo", methods=("POST",)),
    Row("stash:goes_with"),
    Row("stash:map"),
    Row("stash:map_picture"),
    Row("stash:value_line"),
]
