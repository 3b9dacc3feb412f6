"""Pages that show the best answer so far, and ask for a better one until there is none."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping

from django.http import HttpRequest, HttpResponse

from projects.coverage.status import PartStanding

__all__ = ["WAIT_SECONDS", "is_unchanged", "seen_of", "unchanged"]

#: How long a request waits for a first answer before it shows what there is.
WAIT_SECONDS = 1.0


def seen_of(rows: Iterable[PartStanding]) -> str:
    """What tells one state of these answers from another."""
    facts = [(row.part.pk, row.state, row.is_stale, row.is_looking, row.asked_at) for row in rows]
    return hashlib.sha256(repr(facts).encode()).hexdigest()[:16]


def is_unchanged(request: HttpRequest, context: Mapping[str, object]) -> bool:
    """Whether the page that asks shows this state already."""
    return request.GET.get("seen") == context["seen"]


def unchanged() -> HttpResponse:
    """No content: the page stays as it is and asks again."""
    return HttpResponse(status=204)
