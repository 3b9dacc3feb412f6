"""Access to the pages of finding; each shows only the asking person's cloth."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User

from stash.models import SavedSearch
from tests.access.matrix import Row


def a_saved_search(owner: User) -> dict[str, Any]:
    return {
        "pk": SavedSearch.objects.create(owner=owner, name="Dark blues", address="words=blue").pk
    }


ROWS = [
    Row(
        "stash:search_keep",
        methods=("GET", "POST"),
        post={"name": "Dark blues", "address": "words=blue"},
    ),
    Row("stash:search_forget", make=a_saved_search, methods=("POST",), post={}),
    Row("stash:like_photo", methods=("POST",)),
    Row("stash:goes_with"),
    Row("stash:map"),
    Row("stash:map_picture"),
    Row("stash:value_line"),
]
