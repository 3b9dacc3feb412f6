"""The forms of a page as a browser would send them, and a plausible word for each empty field."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin

from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponseBase
from django.test import Client
from django.urls import Resolver404, resolve, reverse

from tests.access.matrix import Row, all_rows
from tests.photos.pictures import cloth_photo

#: What a person would type, by the name of the field; for others its kind decides.
WORDS = {
    "count": "2",
    "finished_length": "60",
    "finished_width": "48",
    "length": "12",
    "lines": "12 squares 3 1/2",
    "name": "Another name",
    "shop": "The Button Loft",
    "text": "12 squares 3 1/2",
    "width": "10",
}
_UNTYPED = {"submit", "button", "image", "reset"}


@dataclass
class PageForm:
    """One form that posts: where to, its fields, and its buttons with names."""

    action: str
    fields: list[tuple[str, str]] = field(default_factory=list)
    buttons: list[tuple[str, str]] = field(default_factory=list)
    files: list[str] = field(default_factory=list)

    @property
    def route(self) -> str:
        """The name of the route it is sent to, or nothing."""
        try:
            return resolve(self.action.partition("?")[0]).view_name
        except Resolver404:
            return ""

    def filled(self, button: tuple[str, str] | None = None) -> dict[str, list[object]]:
        """What is sent when a person fills in what is empty and presses the button."""
        sent: dict[str, list[object]] = {}
        for name, text in [*self.fields, *([button] if button else [])]:
            sent.setdefault(name, []).append(text)
        for name in self.files:
            sent[name] = [SimpleUploadedFile("cloth.jpg", cloth_photo((70, 90, 60)), "image/jpeg")]
        return sent


def forms_of(page: str, address: str) -> list[PageForm]:
    """Return the forms of the page that post, with fields that lie elsewhere in it."""
    reader = _Reader(address)
    reader.feed(page)
    for owner, name, text in reader.elsewhere:
        if owner in reader.by_id:
            reader.by_id[owner].fields.append((name, text))
    return reader.forms


def ways(owner: User) -> list[tuple[Row, dict[str, Any]]]:
    """Return each route with its arguments; routes about the same kind of thing share one."""
    made: dict[object, dict[str, Any]] = {}
    for row in all_rows():
        if row.make not in made:
            made[row.make] = row.make(owner)
    return [(row, made[row.make]) for row in all_rows()]


def all_forms(made: list[tuple[Row, dict[str, Any]]], client: Client) -> list[PageForm]:
    """Return one form of each kind: those on the pages of these routes."""
    found: dict[tuple[str, ...], PageForm] = {}
    for row, kwargs in made:
        if "GET" not in row.methods:
            continue
        address = reverse(row.route, kwargs=kwargs) + row.query
        page: Any = client.get(address)
        if not is_page(page):
            b"".join(page)
            continue
        for form in forms_of(page.content.decode(), address):
            names = sorted({name for name, _ in form.fields} | {name for name, _ in form.buttons})
            found.setdefault((form.route, *names), form)
    return list(found.values())


def is_page(response: HttpResponseBase) -> bool:
    return not response.streaming and response.headers.get("Content-Type", "").startswith(
        "text/html"
    )


class _Reader(HTMLParser):
    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.forms: list[PageForm] = []
        self.by_id: dict[str, PageForm] = {}
        self.elsewhere: list[tuple[str, str, str]] = []
        self._form: PageForm | None = None
        self._select: tuple[str, list[str], list[str]] | None = None
        self._area: tuple[str, list[str]] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: text or "" for name, text in attrs}
        if tag == "form":
            form = PageForm(urljoin(self.address, given.get("action") or self.address))
            self._form = form if given.get("method", "").lower() == "post" else None
            if self._form:
                self.forms.append(form)
                self.by_id[given.get("id", "")] = form
        elif tag == "select":
            self._select = (given.get("name", ""), [], [])
        elif tag == "option" and self._select:
            text = given.get("value", "")
            self._select[1].append(text)
            if "selected" in given:
                self._select[2].append(text)
        elif tag == "textarea":
            self._area = (given.get("name", ""), [])
        elif tag in ("input", "button"):
            self._one(tag, given)

    def handle_data(self, data: str) -> None:
        if self._area:
            self._area[1].append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "select" and self._select:
            name, options, selected = self._select
            for text in selected or [option for option in options if option][:1] or options[:1]:
                self._add(name, text)
            self._select = None
        elif tag == "textarea" and self._area:
            name, parts = self._area
            self._add(name, "".join(parts).strip() or WORDS.get(name, "Some words"))
            self._area = None

    def _one(self, tag: str, given: dict[str, str]) -> None:
        name, text = given.get("name", ""), given.get("value", "")
        kind = given.get("type", "submit" if tag == "button" else "text")
        if not name or "disabled" in given:
            return
        if kind in _UNTYPED:
            form = self.by_id.get(given["form"]) if "form" in given else self._form
            if form:
                form.buttons.append((name, text))
        elif kind == "file":
            if self._form:
                self._form.files.append(name)
        elif kind == "checkbox":
            self._add(name, text or "on", given.get("form"))
        elif kind == "radio":
            taken = self._form is not None and any(field == name for field, _ in self._form.fields)
            if "checked" in given or not taken:
                self._add(name, text, given.get("form"))
        else:
            self._add(name, text or _plausible(name, kind), given.get("form"))

    def _add(self, name: str, text: str, owner: str | None = None) -> None:
        if owner is not None:
            self.elsewhere.append((owner, name, text))
        elif self._form is not None and name:
            self._form.fields.append((name, text))


def _plausible(name: str, kind: str) -> str:
    if kind == "hidden":
        return ""
    for word, text in WORDS.items():
        if name == word or name.endswith(f"_{word}"):
            return text
    return {"number": "2", "date": "2026-05-04"}.get(kind, "3")
