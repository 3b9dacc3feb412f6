"""Deeds of a person by http, and whether each of them is whole in the stash or not there at all."""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.photos.pictures import cloth_photo
from tests.reliability.page_forms import forms_of
from tests.reliability.site import Person

__all__ = ["Deed", "Device", "wrongs"]

#: A page on which messages show and little else.
_QUIET_PAGE = "/deleted/"


@dataclass
class Deed:
    """One form that was sent; ``answer`` is what the person was told, if she was."""

    kind: str
    key: str = field(default_factory=lambda: str(uuid.uuid4()))
    #: What it leaves in the stash, under its mark: its key unless something else is named.
    effect: dict[str, int] = field(default_factory=dict)
    mark: str = ""
    answer: str = ""
    words: str = ""
    status: int = 0

    def wrong(self, spent: set[str], effects: Mapping[str, dict[str, int]]) -> str:
        """Say how the stash and the answer disagree, if they do."""
        there = effects.get(self.mark or self.key, {})
        is_spent = self.key in spent
        if there != (self.effect if is_spent else {}):
            return f"half there: {there}, key {'spent' if is_spent else 'not spent'}: {self}"
        if self.answer in ("done", "repeated") and not is_spent:
            return f"acknowledged and not there: {self}"
        if self.answer == "refused" and is_spent:
            return f"refused and there: {self}"
        return ""


def wrongs(deeds: Iterable[Deed], told: Mapping[str, Any]) -> list[str]:
    """Return what is wrong with the stash after these deeds, in a line each."""
    spent = set(told["spent"])
    found = [deed.wrong(spent, told["effects"]) for deed in deeds]
    return [*told["breaches"], *(wrong for wrong in found if wrong)]


class Device:
    """A browser with which a person acts; every deed is noted before it is sent."""

    def __init__(self, person: Person) -> None:
        self.person = person
        self.deeds: list[Deed] = []

    def send(self, deed: Deed, path: str, fields: Mapping[str, object] | None = None) -> Deed:
        """Send a form, and read the page after it: a refusal leads on as a deed does."""
        self.deeds.append(deed)
        answer = self.person.post(path, {**(fields or {}), "act": deed.key})
        deed.status = answer.status
        if answer.status != 302:
            deed.answer, deed.words = "refused", answer.text[:2000]
            return deed
        deed.answer = "done"
        messages = self.person.get(_QUIET_PAGE).messages
        deed.words = " ".join(words for _, words in messages)
        if "This was already done" in deed.words:
            deed.answer = "repeated"
        elif any(level != "success" for level, _ in messages):
            deed.answer = "refused"
        return deed

    def give(self, piece: int) -> Deed:
        deed = Deed("give", effect={"given away": 1})
        return self.send(deed, f"/pieces/{piece}/give-away/", {"length": "1"})

    def promise(self, part: str, piece: int, inches: int = 1, key: str = "") -> Deed:
        deed = Deed("promise", key=key or str(uuid.uuid4()))
        return self.send(deed, f"{part}promise/", {"piece": piece, "length": f"{inches} in"})

    def undo(self, undone: Deed) -> Deed:
        rows = sum(undone.effect.get(kind, 0) for kind in ("given away", "cut", "returned"))
        rows += undone.effect.get("acquired", 0)
        effect = {"undone": rows}
        if "cutting" in undone.effect:
            effect["cutting taken back"] = 1
        return self.send(Deed("undo", effect=effect), f"/undo/{undone.key}/")

    def sheet(self, project: int) -> tuple[str, dict[str, list[object]]]:
        """Return where the form of a cut sheet goes, and what it says with everything ticked."""
        address = f"/projects/{project}/cut-sheet/"
        page = self.person.get(address).text
        forms = forms_of(page, address)
        (form,) = (form for form in forms if form.route == "projects:cutting_done")
        sent = form.filled()
        del sent["act"]
        for name in ("piece", "remnant"):
            ticked = re.findall(rf'name="{name}"\s+value="([^"]+)"', page)
            if ticked:
                sent[name] = [*ticked]
        return form.action, sent

    def book(self, action: str, sent: dict[str, list[object]], key: str = "") -> Deed:
        effect = {"cutting": 1, "cut": len(sent["piece"])}
        if "remnant" in sent:
            effect["returned"] = len(sent["remnant"])
        deed = Deed("book", key=key or str(uuid.uuid4()), effect=effect)
        return self.send(deed, action, sent)

    def start_trip(self) -> int:
        """Begin a shop trip and return its number; its shop is called by the key of the form."""
        deed = Deed("start a trip", effect={"trip": 1})
        self.deeds.append(deed)
        fields = {"shop": deed.key, "date": "2026-05-04", "width": "42", "act": deed.key}
        answer = self.person.post("/add/", fields)
        deed.status, deed.words = answer.status, answer.text[:2000]
        deed.answer = "done" if answer.status == 302 else "refused"
        return int(answer.location.strip("/").rpartition("/")[2])

    def upload(self, trip: int, colour: tuple[int, int, int]) -> tuple[Deed, list[int]]:
        """Send a photo as the page's script does; return the numbers of its cards, too."""
        # What follows the end of a JPEG is no part of its picture, and makes it another file.
        photo = cloth_photo(colour, size=(120, 90)) + uuid.uuid4().bytes
        sent, form = hashlib.sha256(photo).hexdigest(), uuid.uuid4()
        key = str(uuid.uuid5(form, f"{trip} {sent}"))
        deed = Deed("upload", key=key, mark=sent, effect={"photo": 1})
        self.deeds.append(deed)
        answer = self.person.post(f"/add/{trip}/photos/", {"act": form}, photo)
        deed.status, deed.words = answer.status, answer.text[:2000]
        deed.answer = "done" if answer.status == 201 else "refused"
        cards = json.loads(answer.text)["cards"] if answer.status == 201 else []
        return deed, [card["id"] for card in cards]

    def tap(self, trip: int, cards: list[int]) -> Deed:
        """Say of each card that it is a yard."""
        fields = {"draft": cards, "size": "yard-1"}
        return self.send(Deed("tap a size"), f"/add/{trip}/chosen/", fields)

    def shelve(self, trip: int, cards: int) -> Deed:
        deed = Deed("shelve", effect={"acquired": cards})
        return self.send(deed, f"/add/{trip}/shelve/")

    def keep_place(self, name: str, key: str = "") -> Deed:
        """The key of the form is noted with the place."""
        deed = Deed("keep a place", key=key or str(uuid.uuid4()), effect={"place": 1})
        return self.send(deed, "/places/", {"name": name, "note": deed.key})

    def put_on_shelf(self, bought: int, name: str, key: str = "") -> Deed:
        deed = Deed("put on shelf", key=key or str(uuid.uuid4()))
        deed.effect = {"acquired": 1, "purchase": 1}
        fields = {"name": name, "width": "42", "length": "36"}
        return self.send(deed, f"/projects/bought/{bought}/shelf/", fields)
