"""Two fabrics that are one: nothing is lost, and one press takes all of it back."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from projects.coverage.answering import ask_coverage
from projects.coverage.status import standings
from projects.models import Audition, LaidFabric, LaidSquare, Part, SquareSet
from projects.planning.promises.acts import promise_length
from stash.catalogue.merging.acts import MergeError, merge
from stash.lengths import INCH
from stash.models import Change, Fabric, Movement, Piece, SavedSearch, Tag
from tests.access.matrix import fingerprint
from tests.builders import deleted, make_fabric, make_owner, make_photo, make_piece
from tests.planning import builders as b

#: What only grows, or ticks; tags, chosen fabrics and fabrics are looked at apart.
GROWS = {
    "stash.Change",
    "stash.SpentKey",
    "stash.ShelfClock",
    "stash.Fabric",
    "stash.Fabric_tags",
    "projects.Part_fabrics",
}


@pytest.fixture
def two(owner: User) -> tuple[Fabric, Fabric]:
    """Two that are one, used in every way there is."""
    kept = make_fabric(owner, "Harbour Rain", notes="from Ada", maker="Loom")
    gone = make_fabric(
        owner, "Rain", notes="see the blue one", maker="Mill", care="cold", prewashed=True
    )
    for fabric, name in ((kept, "blue"), (gone, "rain")):
        fabric.tags.add(Tag.objects.create(owner=owner, name=name))
        photo = make_photo(owner, fabric)
        fabric.main_photo = photo
        fabric.save()
    make_piece(kept)
    piece = make_piece(gone, length=54 * INCH, lot="")
    project = b.project(owner)
    part, both = b.part(project, title="Stars", split={str(gone.pk): 3}), b.part(project)
    part.fabrics.add(gone)
    both.fabrics.add(kept, gone)
    both.split = {str(kept.pk): 2, str(gone.pk): 5}
    both.save()
    promise_length(part=part, piece=piece, length=9 * INCH)
    b.cut(both, 8, 5, 5, done=2, done_of={str(gone.pk): 2})
    table = Audition.objects.create(owner=owner, name="Table")
    LaidFabric.objects.create(audition=table, fabric=kept, position=1)
    LaidFabric.objects.create(audition=table, fabric=gone, position=2, folded=True)
    LaidFabric.objects.create(audition=table, arrangement=2, fabric=gone, position=1)
    squares = SquareSet.objects.create(owner=owner, name="Squares", rows=1, columns=2)
    LaidSquare.objects.create(squares=squares, fabric=gone, piece=piece, position=1)
    SavedSearch.objects.create(owner=owner, name="Like rain", address=f"like={gone.pk}&by=far")
    return kept, gone


def state() -> dict[str, Any]:
    told: dict[str, Any] = {k: v for k, v in fingerprint().items() if k not in GROWS}
    fabrics = list(Fabric.objects.order_by("pk").values())
    for row in fabrics:
        row.pop("revision")
        row.pop("updated_at")
    links = Part.fabrics.through.objects.order_by("part", "fabric").values_list("part", "fabric")
    tags = Fabric.tags.through.objects.order_by("fabric", "tag").values_list("fabric", "tag")
    return told | {"fabrics": fabrics, "links": list(links), "tags": list(tags)}


def test_nothing_is_lost_and_one_press_takes_it_back(
    client: Client, owner: User, two: tuple[Fabric, Fabric]
) -> None:
    kept, gone = two
    before = state()
    moved = list(Movement.objects.order_by("pk").values_list("pk", "piece"))
    answer = client.post(
        reverse("stash:fabric_same_as", args=[kept.pk]),
        {"other": gone.pk, "lot": "0316", "lot_of_other": "0420"},
        follow=True,
    )
    assert "Rain and Harbour Rain are one fabric now." in answer.content.decode()
    kept.refresh_from_db()
    assert kept.pieces.count() == 2
    assert kept.photos.count() == 2
    assert sorted(kept.pieces.values_list("lot", flat=True)) == ["0316", "0420"]
    assert {tag.name for tag in kept.tags.all()} == {"blue", "rain"}
    assert kept.notes == "from Ada\nAlso kept as Rain; maker: Mill.\nsee the blue one"
    assert (kept.maker, kept.care, kept.prewashed) == ("Loom", "cold", True)
    assert list(Movement.objects.order_by("pk").values_list("pk", "piece")) == moved
    assert kept.pieces.get(length=54 * INCH).promised_length == 9 * INCH
    parts = Part.objects.order_by("position")
    assert [list(part.fabrics.all()) for part in parts] == [[kept], [kept]]
    assert [part.split for part in parts] == [{str(kept.pk): 3}, {str(kept.pk): 7}]
    assert parts[1].cuts.get().done_of == {str(kept.pk): 2}
    laid = LaidFabric.objects.order_by("arrangement", "position")
    assert [(row.arrangement, row.fabric_id) for row in laid] == [(1, kept.pk), (2, kept.pk)]
    assert LaidSquare.objects.get().fabric == kept
    assert SavedSearch.objects.get().address == f"like={kept.pk}&by=far"
    assert client.get(gone.get_absolute_url()).headers["location"] == kept.get_absolute_url()
    assert "Rain<" not in client.get(reverse("stash:deleted")).content.decode()
    assert list(Fabric.objects.owned_by(owner).in_stash()) == [kept]

    (message,) = answer.context["messages"]
    client.post(reverse("stash:undo", args=[message.extra_tags.removeprefix("undo:")]))
    assert state() == before


#: What leads to a fabric, and where merging leads it; a model that comes later must be named here.
LED_OVER = {
    "Draft.fabric",
    "Draft.same_as",
    "LaidFabric.fabric",
    "LaidSquare.fabric",
    "Part.fabrics",
    "Photo.fabric",
    "Piece.fabric",
}
#: What stays with the row that is merged: its own tags, and those that were merged into it before.
STAYS = {"Fabric.merged_into", "Fabric_tags.fabric", "Part_fabrics.fabric"}


def test_whatever_leads_to_a_fabric_is_known_to_be_led_over() -> None:
    relations = {
        f"{relation.related_model.__name__}.{relation.field.name}"
        for relation in Fabric._meta.get_fields(include_hidden=True)
        if relation.auto_created and relation.is_relation
    }
    assert relations == LED_OVER | STAYS


def test_of_what_leads_to_a_fabric_nothing_is_left(two: tuple[Fabric, Fabric]) -> None:
    kept, gone = two
    merge(kept=kept, gone=gone, act=uuid.uuid4())
    for relation in Fabric._meta.get_fields(include_hidden=True):
        if relation.auto_created and relation.is_relation:
            name = f"{relation.related_model.__name__}.{relation.field.name}"
            left = relation.related_model._base_manager.filter(**{relation.field.name: gone.pk})
            assert name == "Fabric_tags.fabric" or not left.exists(), name


def test_without_a_photo_the_other_s_colour_is_taken(owner: User) -> None:
    kept, gone = make_fabric(owner, "Typed", lab=None), make_fabric(owner, "Seen")
    gone.main_photo = make_photo(owner, gone)
    gone.save()
    merge(kept=kept, gone=gone, act=uuid.uuid4())
    kept.refresh_from_db()
    assert (kept.far_l, kept.value, kept.main_photo) == (32.0, 3.2, gone.main_photo)


@pytest.mark.parametrize("case", ["itself", "deleted", "theirs", "tags", "notes"])
def test_what_cannot_be_merged_is_refused_whole(owner: User, case: str) -> None:
    kept, gone = make_fabric(owner, "Rain"), make_fabric(owner, "Fog", notes="x" * 2500)
    make_piece(gone)
    sentences = {
        "itself": "is one fabric already",
        "deleted": "Fog is deleted",
        "theirs": "belong to two people",
        "tags": "Together they have 22 tags; 20 at most",
        "notes": "letters; 4000 at most",
    }
    if case == "itself":
        gone = kept
    elif case == "deleted":
        deleted(gone)
    elif case == "theirs":
        gone = make_fabric(make_owner("stranger"))
    elif case == "tags":
        for number in range(22):
            tag = Tag.objects.create(owner=owner, name=f"tag {number}")
            (kept if number % 2 else gone).tags.add(tag)
    else:
        Fabric.objects.filter(pk=kept.pk).update(notes="y" * 2500)
    before = fingerprint()
    with pytest.raises(MergeError, match=sentences[case]):
        merge(kept=kept, gone=gone, act=uuid.uuid4())
    assert fingerprint() == before


def test_a_plan_on_merged_cloth_is_asked_anew_and_still_knows_it(owner: User) -> None:
    kept, gone = b.fabric(owner, "Kept"), b.fabric(owner, "Gone")
    b.piece(kept, 42, 5)
    b.piece(gone, 42, 5)
    part = b.part(b.project(owner))
    part.fabrics.add(gone)
    b.cut(part, 12, 5, 5)
    ask_coverage(project=part.project)

    def standing() -> Any:
        return standings(part.project, list(part.project.parts.whole()), units="in")[0][0]

    assert standing().state == "short"
    merge(kept=kept, gone=gone, act=uuid.uuid4())
    assert standing().is_stale
    ask_coverage(project=part.project)
    assert standing().state == "covered"
    assert Change.objects.filter(table="projects.part").exists()
    assert Piece.objects.filter(fabric=kept).count() == 2
