"""Who changed what and when, and going back to what was said before."""

from __future__ import annotations

import re
import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.planning.projects.acts import change_project
from projects.planning.promises.acts import promise_length
from stash.catalogue.pieces.keeping import set_keeping
from stash.catalogue.places.acts import clear_away, keep_place
from stash.lengths import INCH
from stash.models import Change, Fabric, Place
from tests.access.matrix import fingerprint
from tests.builders import make_fabric, make_piece, make_place
from tests.planning import builders as b


def history(client: Client, kind: str, pk: int) -> str:
    answer = client.get(reverse("stash:history", args=[kind, pk]))
    return re.sub(r">\s+<", "><", " ".join(answer.content.decode().split()))


def go_back(client: Client, change: Change) -> str:
    answer = client.post(
        reverse("stash:history_back", args=[change.pk]), {"back": "/places/"}, follow=True
    )
    return " ".join(answer.content.decode().split())


def changed(row: Any) -> Change:
    found = Change.objects.filter(table=row._meta.label_lower, row=row.pk).order_by("-pk").first()
    assert found is not None
    return found


def edit(client: Client, fabric: Fabric, **facts: Any) -> Any:
    usual = {"name": fabric.name, "direction": "none", "prewashed": "unknown"}
    address = reverse("stash:fabric_edit", args=[fabric.pk])
    return client.post(address, {**usual, **facts}, follow=True)


def test_history_tells_who_changed_what_from_what(client: Client, owner: User) -> None:
    fabric = make_fabric(owner, "Rain")
    edit(client, fabric, name="Harbour Rain", tag_names="blue", nominal_width="44", weave="lawn")
    told = history(client, "fabric", fabric.pk)
    assert "by maren" in told
    for line in (
        "Name</th><td>Rain</td><td>Harbour Rain</td>",
        "Tags</th><td>nothing</td><td>blue</td>",
        "Nominal width</th><td>nothing</td><td>44 in</td>",
        "Weave</th><td>nothing</td><td>lawn</td>",
    ):
        assert line in told


def test_an_edit_that_changes_nothing_leaves_no_history(client: Client, owner: User) -> None:
    fabric = make_fabric(owner)
    edit(client, fabric)
    assert not Change.objects.exists()


def test_back_to_before_takes_later_edits_of_the_same_with_it(client: Client, owner: User) -> None:
    fabric = make_fabric(owner, "First")
    edit(client, fabric, name="Second", maker="Loom")
    second = changed(fabric)
    edit(client, fabric, name="Third", maker="Loom", tag_names="kept")
    assert "It says again what it said before." in go_back(client, second)
    fabric.refresh_from_db()
    assert (fabric.name, fabric.maker) == ("First", "")
    assert [tag.name for tag in fabric.tags.all()] == []
    assert "first" in fabric.search_text
    # Going back is an act as well, which one press takes back.
    client.post(reverse("stash:undo", args=[changed(fabric).act]))
    fabric.refresh_from_db()
    assert (fabric.name, fabric.maker) == ("Third", "Loom")
    assert [tag.name for tag in fabric.tags.all()] == ["kept"]
    assert "third" in fabric.search_text
    assert "kept" in fabric.search_text


def test_a_fabric_s_history_tells_of_its_pieces(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    set_keeping(piece=piece, facts={"place": make_place(owner, "Blue box"), "keep_back": 9 * INCH})
    told = history(client, "fabric", piece.fabric_id)
    assert ": yardage of Harbour Rain" in told
    assert "Place</th><td>nothing</td><td>Blue box</td>" in told
    assert "Keep back</th><td>0 in</td><td>9 in</td>" in told


def test_back_respects_what_is_promised_by_now(client: Client, owner: User) -> None:
    piece = make_piece(make_fabric(owner))
    set_keeping(piece=piece, facts={"keep_back": 30 * INCH})
    set_keeping(piece=piece, facts={"keep_back": 0})
    promise_length(part=b.part(b.project(owner)), piece=piece, length=18 * INCH)
    before = fingerprint()
    assert "cannot go back: what came since" in go_back(client, changed(piece))
    assert fingerprint() == before


def test_a_place_goes_back_with_all_in_it_but_never_into_itself(
    client: Client, owner: User
) -> None:
    room, box = make_place(owner, "Room"), make_place(owner, "Box")
    lid = make_place(owner, "Lid", inside=box)
    lid_piece = make_piece(make_fabric(owner), place=lid)
    box.inside = room
    keep_place(place=box)
    first = changed(box)
    assert "It says again" in go_back(client, first)
    box.refresh_from_db()
    assert box.inside is None
    lid_piece.refresh_from_db()
    assert lid_piece.place == lid
    room.inside = box
    keep_place(place=room)
    assert "it would lie inside itself" in go_back(client, changed(box))
    assert Place.objects.get(pk=box.pk).inside is None


def test_a_place_cleared_away_comes_back_with_what_was_used_up_there(
    client: Client, owner: User
) -> None:
    place = Place(owner=owner, name="Box", note="blue")
    keep_place(place=place)
    piece = make_piece(make_fabric(owner))
    set_keeping(piece=piece, facts={"place": place})
    client.post(reverse("stash:piece_deed", args=[piece.pk, "use"]), {"act": uuid.uuid4()})
    number = place.pk
    clear_away(place=place)
    act = Change.objects.order_by("-pk")[0].act
    client.post(reverse("stash:undo", args=[act]))
    back = Place.objects.get()
    assert (back.pk, back.name, back.note) == (number, "Box", "blue")
    piece.refresh_from_db()
    assert piece.place == back


def test_a_project_s_history(client: Client, owner: User) -> None:
    project = b.project(owner, name="Lamplight")
    project.name, project.note = "Lantern", "for the long table"
    change_project(project=project)
    told = history(client, "project", project.pk)
    assert "Name</th><td>Lamplight</td><td>Lantern</td>" in told
    go_back(client, changed(project))
    project.refresh_from_db()
    assert (project.name, project.note) == ("Lamplight", "")


@pytest.mark.parametrize("kind", ["snow", "tag"])
def test_there_is_no_history_of_anything_else(client: Client, owner: User, kind: str) -> None:
    assert client.get(reverse("stash:history", args=[kind, 1])).status_code == 404
