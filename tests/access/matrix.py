"""Who may do what on which route: the rows of the access matrix, and where they are found.

Each area says what is true of its routes in `tests/<area>/access_rows.py`, as a list ROWS:

    ROWS = [
        Row("stash:shelf"),
        Row("stash:fabric", make=lambda owner: {"pk": make_fabric(owner).pk}),
        Row("stash:photo", make=..., anonymous=401),
        Row("stash:discard_draft", make=..., methods=("POST",)),
    ]

`tests/access/test_matrix.py` tries every route of the site against its row.
"""

import hashlib
import importlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from django.apps import apps
from django.contrib.auth.models import User
from django.db import connection
from django.urls import URLPattern, URLResolver, get_resolver

TESTS = Path(__file__).resolve().parent.parent
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE")


def no_objects(owner: User) -> dict[str, Any]:
    return {}


#: What a person sends, or what makes it ready from the person and the route's arguments. Bytes
#: are sent as a photo.
Post = Mapping[str, Any] | Callable[[User, dict[str, Any]], dict[str, Any]]


@dataclass(frozen=True)
class Row:
    """What must be true of one route.

    `make` builds what the route is about, owned by this person, and returns the route's keyword
    arguments; then a stranger must get 404 by every method. `methods` are those that are allowed
    (HEAD comes with GET); all others must get 405. `owner` are the statuses a GET by the owner
    may have. `anonymous` is "sign in" (redirect to that page), "public", or a status. `post` is
    a form that the route acts on when the owner sends it; `tests/access/test_form_keys.py` sends
    it twice.
    """

    route: str
    make: Callable[[User], dict[str, Any]] = no_objects
    methods: tuple[str, ...] = ("GET",)
    query: str = ""
    owner: tuple[int, ...] = (200,)
    anonymous: int | Literal["sign in", "public"] = "sign in"
    stranger: int = 404
    post: Post | None = None

    @property
    def has_objects(self) -> bool:
        return self.make is not no_objects

    def sent_by(self, owner: User, kwargs: dict[str, Any]) -> dict[str, Any]:
        """What the owner sends, with what it is about made ready."""
        assert self.post is not None, f"{self.route} has no form to send in its access row"
        return self.post(owner, kwargs) if callable(self.post) else dict(self.post)

    @property
    def allowed(self) -> tuple[str, ...]:
        return (*self.methods, "HEAD") if "GET" in self.methods else self.methods

    @property
    def refused(self) -> tuple[str, ...]:
        return tuple(method for method in METHODS if method not in self.allowed)


def all_rows() -> list[Row]:
    """Return the rows of every area, in the order of their files."""
    rows: list[Row] = []
    for file in sorted(TESTS.glob("*/access_rows.py")):
        rows += importlib.import_module(f"tests.{file.parent.name}.access_rows").ROWS
    return rows


def all_routes() -> list[str]:
    """Return the full name of every route; a route without a name appears as its pattern."""
    return sorted(name for name, _ in _named(get_resolver().url_patterns, ""))


def view_of(route: str) -> Callable[..., Any]:
    """Return the view of a route by its full name."""
    return dict(_named(get_resolver().url_patterns, ""))[route].callback


def arguments_of(route: str) -> set[str]:
    """Return the names of the arguments that the address of a route holds."""
    return set(dict(_named(get_resolver().url_patterns, ""))[route].pattern.converters)


def _named(
    patterns: list[URLPattern | URLResolver], prefix: str
) -> Iterator[tuple[str, URLPattern]]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{prefix}{pattern.namespace}:" if pattern.namespace else prefix
            yield from _named(pattern.url_patterns, inner)
        elif pattern.name:
            yield f"{prefix}{pattern.name}", pattern
        else:
            yield f"{prefix}({pattern.pattern})", pattern


def fingerprint() -> dict[str, str]:
    """Return a digest of all rows of each of our tables, and of the people.

    The rows are asked for as the tables hold them: building a query of the site's for each of the
    tables takes ten times as long.
    """
    models = [*apps.get_app_config("stash").get_models(include_auto_created=True), User]
    models += apps.get_app_config("projects").get_models(include_auto_created=True)
    found = {}
    with connection.cursor() as cursor:
        for model in models:
            table, key = model._meta.db_table, model._meta.pk.column
            cursor.execute(f'SELECT * FROM "{table}" ORDER BY "{key}"')
            found[model._meta.label] = hashlib.sha256(repr(cursor.fetchall()).encode()).hexdigest()
    return found
