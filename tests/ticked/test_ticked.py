"""Many at once: all or nothing, and one press takes it all back."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.models import Promise
from projects.planning.promises.acts import promise_length
from stash.catalogue import ledger
from stash.finding.columns.store import columns_of
from stash.lengths import INCH
from stash.models import Change, Fabric, Movement, Piece, Place, Tag
from stash.ticked import selection
from tests.access.matrix import fingerprint
from tests.builders import make_fabric, make_owner, make_piece, make_place
from tests.planning import builders as b

TICKED = "/ticked/"

#: What an undoing adds, and what ticks with every change.
RECORDS = {
    "stash.Change",
    "stash.Movement",
    "stash.SpentKey",
    "stash.ShelfClock",
    # Their revisions and keys; looked at apart.
    "stash.Fabric",
    "stash.Fabric_tags",
}


@pytest.fixture
def two(owner: User) -> list[Fabric]:
    """Two fabrics with two pieces and one; the second piece of the first is a pack."""
    rain, fog = make_fabric(owner, "Harbour Rain"), make_fabric(owner, "Fog")
    make_piece(rain, washed=False)
    make_piece(rain, form="strip", count=12, width=42 * INCH, length=5 * INCH // 2)
    make_piece(fog, width=44 * INCH)
    fog.tags.add(Tag.objects.create(owner=owner, name="grey"))
    fog.save()
    return [rain, fog]


def rows(model: Any) -> list[dict[str, Any]]:
    found = list(model.objects.order_by("pk").values())
    for row in found:
        for name in ("revision", "updated_at"):
            row.pop(name, None)
    return found


def state() -> dict[str, Any]:
    told = {name: digest for name, digest in fingerprint().items() if name not in RECORDS}
    tags = list(Fabric.tags.through.objects.order_by("fabric", "tag").values("fabric", "tag"))
    return told | {"fabrics": rows(Fabric), "pieces": rows(Piece), "tags": tags}


def send(client: Client, fabrics: list[Fabric], deed: str, **facts: Any) -> Any:
    return client.post(
        TICKED, {"fabric": [fabric.pk for fabric in fabrics], "deed": deed, **facts}, follow=True
    )


def undo_of(answer: Any) -> str:
    (message,) = answer.context["messages"]
    return str(message.extra_tags).removeprefix("undo:")


def move(owner: User) -> dict[str, Any]:
    return {"place": make_place(owner, "Blue box").pk}


DEEDS = {
    "move": (move, "2 fabrics moved to Blue box."),
    "tag": ({"tags": "rain, Élan"}, "2 fabrics tagged rain, Élan."),
    "untag": ({"tags_off": "grey"}, "grey taken off 1 of 2 fabrics."),
    "washed": (
        {"washed": "true", "washed_on": "2026-05-04"},
        "2 fabrics noted as washed.",
    ),
    "width": ({"width": ""}, "The width of 3 pieces is noted as measured."),
    "give": ({"note": "to the guild"}, "3 pieces given away."),
    "delete": ({}, "2 fabrics deleted."),
}


@pytest.mark.parametrize("deed", DEEDS)
def test_is_one_act_that_one_press_takes_back(
    client: Client, owner: User, two: list[Fabric], deed: str
) -> None:
    facts, sentence = DEEDS[deed]
    asked = facts(owner) if callable(facts) else facts
    if deed == "tag":
        for name in ("rain", "Élan"):  # a tag that nothing has any more stays a word
            Tag.objects.create(owner=owner, name=name)
    before = state()
    answer = send(client, two, deed, **asked)
    assert [str(message) for message in answer.context["messages"]] == [sentence]
    act = undo_of(answer)
    done = Change.objects.filter(act=act).count() + Movement.objects.filter(act=act).count()
    assert done >= 1
    assert state() != before
    client.post(reverse("stash:undo", args=[act]))
    assert state() == before
    sums = {
        piece.pk: Movement.objects.filter(piece=piece).totals() for piece in Piece.objects.all()
    }
    assert sums == {
        piece.pk: {"count": piece.count, "width": piece.width, "length": piece.length}
        for piece in Piece.objects.all()
    }


def test_washed_holds_for_all_pieces_but_precuts(client: Client, two: list[Fabric]) -> None:
    pack = Piece.objects.get(form="strip")
    ledger_free = Piece.objects.filter(pk=pack.pk)
    ledger_free.update(washed=False)
    send(client, two, "washed", washed="true")
    washed = {piece.pk: piece.is_washed for piece in Piece.objects.select_related("fabric")}
    assert washed == {pk: pk != pack.pk for pk in washed}


def test_found_words_follow_a_tag_and_its_undoing(
    client: Client, owner: User, two: list[Fabric]
) -> None:
    answer = send(client, two, "tag", tags="Winter")
    assert all("winter" in text for text in columns_of(owner).fabrics.text)
    client.post(reverse("stash:undo", args=[undo_of(answer)]))
    assert not any("winter" in text for text in columns_of(owner).fabrics.text)


REFUSED = {
    "give": ({}, "promised; release the promise first. Nothing was changed."),
    "delete": ({}, "Some of Fog is promised for Border of Lamplight; release that before"),
    "width": ({"width": "43"}, "strip of Harbour Rain is a pack"),
    "untag": ({"tags_off": "snow"}, "None of these is tagged snow."),
    "washed": ({"washed": "maybe"}, "maybe"),
    "move": ({"place": "999999"}, "not one of the available choices"),
    "promise": ({"part": "999999"}, "not one of the available choices"),
    "tag": ({"tags": ", ,"}, "Write at least one tag."),
}


@pytest.mark.parametrize("deed", REFUSED)
def test_one_that_cannot_is_named_and_nothing_is_done(
    client: Client, owner: User, two: list[Fabric], deed: str
) -> None:
    part = b.part(b.project(owner, name="Lamplight"), title="Border")
    piece = two[1].pieces.get()
    piece.refresh_from_db()
    promise_length(part=part, piece=piece, length=9 * INCH)
    before = fingerprint()
    facts, sentence = REFUSED[deed]
    answer = send(client, two, deed, **facts)
    assert answer.status_code == 422
    assert sentence in answer.content.decode().replace("&#x27;", "'")
    assert fingerprint() == before


def test_pieces_are_promised_and_the_promise_is_taken_back(
    client: Client, owner: User, two: list[Fabric]
) -> None:
    part = b.part(b.project(owner), title="Border")
    before = state()
    answer = send(client, two, "promise", part=part.pk)
    assert Promise.objects.filter(part=part).count() == 3
    assert set(part.fabrics.all()) == set(two)
    assert {(p.promised_count, p.promised_length) for p in Piece.objects.all()} == {(1, 0), (12, 0)}
    client.post(reverse("stash:undo", args=[undo_of(answer)]))
    assert state() == before
    assert not part.fabrics.exists()


def test_a_promise_is_all_or_nothing(client: Client, owner: User, two: list[Fabric]) -> None:
    part = b.part(b.project(owner), title="Border")
    Piece.objects.filter(fabric=two[1]).update(keep_back=36 * INCH)
    before = fingerprint()
    answer = send(client, two, "promise", part=part.pk)
    assert "Nothing of yardage of Fog is free to promise." in answer.content.decode()
    assert fingerprint() == before


def test_pieces_alone_are_ticked_too(client: Client, two: list[Fabric]) -> None:
    keys = list(two[0].pieces.order_by("pk").values_list("pk", flat=True))
    page = client.get(TICKED, {"piece": keys})
    assert page.context["ticked"].words == "2 pieces"
    assert [offer.deed.key for offer in page.context["offered"]] == [
        "move", "washed", "width", "give", "strike", "promise",
    ]  # fmt: skip
    answer = client.post(TICKED, {"piece": keys[:1], "deed": "strike"}, follow=True)
    assert "1 piece taken off the shelf." in answer.content.decode()
    assert Movement.objects.order_by("pk").last().kind == "corrected"
    client.post(reverse("stash:undo", args=[undo_of(answer)]))
    assert Piece.objects.filter(count=0).count() == 0


def test_all_that_a_search_found_is_taken_beyond_the_page(client: Client, owner: User) -> None:
    for i in range(60):
        make_fabric(owner, f"Cloth {i}", lab=(20.0, 5.0, -30.0))
    make_fabric(owner, "Chalk", lab=(95.0, 0.0, 0.0))
    shelf = client.get("/find/", {"words": "dark blue"})
    assert "something with all 60" in " ".join(shelf.content.decode().split())
    page = client.get(TICKED, {"found": "words=dark+blue&page=2"})
    assert page.context["ticked"].size == 60
    answer = client.post(
        TICKED, {"found": "words=dark+blue", "deed": "tag", "tags": "x"}, follow=True
    )
    assert "60 fabrics tagged x." in answer.content.decode()
    assert Fabric.objects.filter(tags__name="x").count() == 60


def test_more_than_the_bound_are_refused_with_it(
    client: Client, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(selection, "MOST", 3)
    for i in range(4):
        make_fabric(owner, f"Cloth {i}")
    answer = client.get(TICKED, {"found": ""}, follow=True)
    assert "4 are too many at once; narrow the search to at most 3." in answer.content.decode()


def test_many_keys_are_sent_in_one_field(client: Client, owner: User) -> None:
    keys = [make_fabric(owner, f"Cloth {i}").pk for i in range(41)]
    page = client.get(TICKED, {"fabric": keys})
    assert page.context["packed"] == ",".join(map(str, keys))
    assert page.context["unshown"] == 1
    send_all = {"fabrics": page.context["packed"], "deed": "tag", "tags": "x"}
    assert "41 fabrics tagged x." in client.post(TICKED, send_all, follow=True).content.decode()


@pytest.mark.parametrize("key", ["theirs", "deleted", "nine", "-1", "9" * 30, "٣"])
def test_what_is_not_on_the_shelf_is_refused_whole(client: Client, owner: User, key: str) -> None:
    mine, theirs = make_fabric(owner), make_fabric(make_owner("stranger"))
    gone = make_fabric(owner, "Gone", removed_at="2026-05-04T10:00Z")
    keys = {"theirs": theirs.pk, "deleted": gone.pk}
    before = fingerprint()
    sent = {"fabric": [mine.pk, keys.get(key, key)], "deed": "tag", "tags": "x"}
    answer = client.post(TICKED, sent, follow=True)
    expected = "1 of the ticked fabrics is not on your shelf" if key in keys else "not the number"
    assert expected in answer.content.decode()
    assert fingerprint() == before


def test_a_change_since_refuses_the_undoing_and_names_the_row(
    client: Client, owner: User, two: list[Fabric]
) -> None:
    answer = send(client, two, "move", **move(owner))
    act = undo_of(answer)
    later = make_place(owner, "Window sill")
    piece = Piece.objects.order_by("pk").first()
    client.post(reverse("stash:piece_keep", args=[piece.pk]), {"place": later.pk})
    before = {p.pk: p.place_id for p in Piece.objects.all()}
    refused = client.post(reverse("stash:undo", args=[act]), follow=True)
    assert "yardage of Harbour Rain was changed again since (place)" in refused.content.decode()
    assert {p.pk: p.place_id for p in Piece.objects.all()} == before


def test_a_place_cleared_away_since_refuses_the_undoing(
    client: Client, owner: User, two: list[Fabric]
) -> None:
    first = make_place(owner, "First")
    send(client, two, "move", place=first.pk)
    act = undo_of(send(client, two, "move", **move(owner)))
    Place.objects.filter(pk=first.pk).delete()
    refused = client.post(reverse("stash:undo", args=[act]), follow=True)
    assert "the place that it had is not there any more" in refused.content.decode()
    assert Piece.objects.filter(place__name="Blue box").count() == 3


def test_an_undoing_is_not_undone_and_nothing_twice(
    client: Client, owner: User, two: list[Fabric]
) -> None:
    act = undo_of(send(client, two, "tag", tags="x"))
    client.post(reverse("stash:undo", args=[act]))
    again = client.post(reverse("stash:undo", args=[act]), follow=True)
    assert "This was undone before" in again.content.decode()
    undoing = Change.objects.filter(undoes__isnull=False).first()
    refused = client.post(reverse("stash:undo", args=[undoing.act]), follow=True)
    assert "An undoing is not undone itself" in refused.content.decode()


def test_a_form_sent_twice_acts_once(client: Client, two: list[Fabric]) -> None:
    sent = {"fabric": two[0].pk, "deed": "give", "act": uuid.uuid4()}
    client.post(TICKED, sent)
    client.post(TICKED, sent)
    assert Movement.objects.filter(kind="given away").count() == 2


def test_lent_cloth_is_neither_given_away_nor_deleted(client: Client, two: list[Fabric]) -> None:
    piece = two[1].pieces.get()
    ledger.lend(piece=piece, to="Ada", act=uuid.uuid4())
    answer = client.post(TICKED, {"piece": piece.pk, "deed": "give"}, follow=True)
    assert "yardage of Fog is lent to Ada" in answer.content.decode()
    answer = send(client, two, "delete")
    assert "Some of Fog is lent to Ada" in answer.content.decode()
    assert Fabric.objects.in_stash().count() == 2
