"""Putting cards on the shelf: fabric, piece and movement in one act, once, and undone whole."""

from __future__ import annotations

import datetime
import uuid

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stash.catalogue import ledger
from stash.colour.similar import Reason
from stash.intake import acts as intake
from stash.intake.likeness import look_alikes
from stash.keeping import identity
from stash.lengths import INCH, YARD
from stash.models import Draft, Fabric, Movement, Photo, Piece, ShopTrip
from stash.photos.appearance import show_reading
from tests.builders import make_fabric, make_stranger
from tests.intake.trips import COLOURS, make_draft, make_trip, tap
from tests.photos.pictures import cloth_photo, stored_photo


@pytest.fixture
def trip(owner: User) -> ShopTrip:
    return make_trip(owner)


def shelve(client: Client, trip: ShopTrip, act: uuid.UUID | None = None) -> str:
    url = reverse("stash:trip_shelve", args=[trip.pk])
    response = client.post(url, {"act": act or uuid.uuid4()}, follow=True)
    return response.content.decode()


def test_ready_cards_become_cloth_and_the_others_stay_and_say_so(
    client: Client, trip: ShopTrip
) -> None:
    drafts = [make_draft(trip, colour) for colour in COLOURS]
    for draft in drafts[:4]:
        tap(draft, "fat-quarter")
    page = shelve(client, trip)
    assert "4 cards are on the shelf; 1 card stays here and needs a size or a count." in page
    assert Fabric.objects.count() == Piece.objects.count() == Movement.objects.count() == 4
    assert Draft.objects.filter(piece=None).get() == drafts[4]
    piece = Piece.objects.get(draft=drafts[0])
    assert (piece.form, piece.width, piece.length) == ("fat quarter", 21 * INCH, 18 * INCH)
    assert (piece.bought_where, piece.bought_on) == (trip.shop, trip.date)
    assert piece.movements.get().note == str(trip)


def test_fabric_looks_like_its_photo(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip, (40, 60, 130))
    tap(draft)
    shelve(client, trip)
    fabric = Fabric.objects.get()
    photo = Photo.objects.get()
    assert photo.appearance is not None
    assert fabric.main_photo == photo
    assert photo.fabric == fabric
    assert fabric.far_lab == photo.appearance.far
    assert fabric.value == photo.appearance.value
    assert "blue" in fabric.colour_name
    assert fabric.is_estimate
    assert fabric.name.endswith("plain")


def test_given_name_is_kept(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    tap(draft)
    intake.edit_drafts(drafts=[draft], changes={"name": "Harbour at Night"})
    shelve(client, trip)
    assert Fabric.objects.get().name == "Harbour at Night"


def test_same_form_sent_twice_catalogues_once(client: Client, trip: ShopTrip) -> None:
    act = uuid.uuid4()
    tap(make_draft(trip))
    shelve(client, trip, act)
    tap(make_draft(trip, COLOURS[1]))
    page = shelve(client, trip, act)
    assert "already done" in page
    assert Fabric.objects.count() == 1


def test_pressing_again_catalogues_nothing_twice(client: Client, trip: ShopTrip) -> None:
    tap(make_draft(trip))
    shelve(client, trip)
    page = shelve(client, trip)
    assert "No card is ready" in page
    assert Fabric.objects.count() == 1


def test_stale_form_asks_to_press_again(client: Client, trip: ShopTrip) -> None:
    url = reverse("stash:trip_shelve", args=[trip.pk])
    page = client.post(url, {"act": "nonsense"}, follow=True).content.decode()
    assert "press the button again" in page


def test_three_alike_are_three_pieces_and_a_pack_is_one(client: Client, trip: ShopTrip) -> None:
    quarters, squares = make_draft(trip, COLOURS[0]), make_draft(trip, COLOURS[1])
    tap(quarters, "fat-quarter")
    tap(squares, "squares-5")
    intake.edit_drafts(drafts=[quarters], changes={"count": 3})
    intake.edit_drafts(drafts=[squares], changes={"count": 42})
    page = shelve(client, trip)
    assert "2 cards are on the shelf as 4 pieces." in page
    assert list(Piece.objects.filter(form="fat quarter").values_list("count", flat=True)) == [1] * 3
    assert Piece.objects.get(form="square").count == 42


def test_ledger_equals_the_shelf(client: Client, trip: ShopTrip) -> None:
    keys = ("yard-1", "fat-quarter", "yard-1-4", "yard-2", "yard-1-2")
    for colour, key in zip(COLOURS, keys, strict=True):
        tap(make_draft(trip, colour), key)
    shelve(client, trip)
    for piece in Piece.objects.all():
        totals = piece.movements.all().totals()
        assert totals == {"count": piece.count, "width": piece.width, "length": piece.length}


def test_removed_card_is_not_catalogued(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    tap(draft)
    intake.remove_draft(draft=draft)
    shelve(client, trip)
    assert not Fabric.objects.exists()


def test_card_on_the_shelf_is_not_edited_any_more(client: Client, trip: ShopTrip) -> None:
    draft = make_draft(trip)
    tap(draft)
    shelve(client, trip)
    before = Draft.objects.values().get()
    client.post(reverse("stash:draft", args=[draft.pk]), {"size": "yard-2", "name": "Late"})
    client.post(reverse("stash:draft_remove", args=[draft.pk]))
    assert Draft.objects.values().get() == before


# --- undo ---


def test_undoing_brings_the_cards_back_and_shelving_again_finds_their_fabric(
    client: Client, owner: User, trip: ShopTrip
) -> None:
    act = uuid.uuid4()
    draft = make_draft(trip)
    tap(draft)
    shelve(client, trip, act)
    fabric = Fabric.objects.get()
    Fabric.objects.filter(pk=fabric.pk).update(notes="Selvage kept")
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    draft.refresh_from_db()
    fabric.refresh_from_db()
    assert draft.piece is None
    assert fabric.removed_at is not None
    tap(draft, "yard-2")
    shelve(client, trip)
    fabric.refresh_from_db()
    assert Fabric.objects.count() == 1
    assert (fabric.removed_at, fabric.notes) == (None, "Selvage kept")
    assert fabric.pieces.on_shelf().get().length == 2 * YARD


def test_undoing_another_piece_leaves_the_known_fabric(
    client: Client, owner: User, trip: ShopTrip
) -> None:
    known = make_fabric(owner)
    draft = make_draft(trip)
    tap(draft)
    intake.mark_same(draft=draft, fabric=known)
    act = uuid.uuid4()
    shelve(client, trip, act)
    ledger.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    known.refresh_from_db()
    draft.refresh_from_db()
    assert known.removed_at is None
    assert (draft.piece, draft.fabric, draft.same_as) == (None, None, known)


# --- you may already own this ---


def test_another_piece_goes_to_the_known_fabric(
    client: Client, owner: User, trip: ShopTrip
) -> None:
    known = make_fabric(owner, "Harbour Rain")
    draft = make_draft(trip)
    tap(draft)
    client.post(reverse("stash:draft_same", args=[draft.pk]), {"fabric": known.pk})
    shelve(client, trip)
    assert Fabric.objects.count() == 1
    assert known.pieces.get().length == YARD
    assert Photo.objects.get().fabric == known


def test_fabric_put_in_the_bin_meanwhile_gets_no_piece(
    client: Client, owner: User, trip: ShopTrip
) -> None:
    known = make_fabric(owner)
    draft = make_draft(trip)
    tap(draft)
    intake.mark_same(draft=draft, fabric=known)
    Fabric.objects.filter(pk=known.pk).update(removed_at=timezone.now())
    shelve(client, trip)
    assert not known.pieces.exists()
    assert Fabric.objects.in_stash().count() == 1


def test_fabric_of_a_stranger_cannot_be_named(client: Client, trip: ShopTrip) -> None:
    foreign = make_fabric(make_stranger())
    draft = make_draft(trip)
    url = reverse("stash:draft_same", args=[draft.pk])
    page = client.post(url, {"fabric": foreign.pk}, follow=True).content.decode()
    assert "no longer in the stash" in page
    draft.refresh_from_db()
    assert draft.same_as is None


def test_saying_it_is_new_takes_the_answer_back(
    client: Client, owner: User, trip: ShopTrip
) -> None:
    draft = make_draft(trip)
    intake.mark_same(draft=draft, fabric=make_fabric(owner))
    client.post(reverse("stash:draft_same", args=[draft.pk]))
    draft.refresh_from_db()
    assert draft.same_as is None


def test_look_alike_is_found_by_appearance_and_the_very_photo_wins(
    client: Client, owner: User, trip: ShopTrip
) -> None:
    tap(make_draft(trip, (40, 60, 130)))
    tap(make_draft(trip, (180, 40, 50)))
    shelve(client, trip)
    blue, red = Fabric.objects.order_by("pk")
    other = make_trip(owner)
    nearly = make_draft(other, (43, 63, 134))
    same = make_draft(other, (180, 40, 50))
    unlike = make_draft(other, (30, 120, 60))
    found = look_alikes(owner=owner, drafts=[nearly, same, unlike])
    assert found[nearly.pk].fabric == blue
    assert not found[nearly.pk].is_same_photo
    assert found[nearly.pk].is_hint
    assert found[same.pk].fabric == red
    assert found[same.pk].is_same_photo
    assert unlike.pk not in found
    page = client.get(other.get_absolute_url()).content.decode()
    assert "The colours are close, but without a card in both photos that says little." in page
    assert "You may already own this:" not in page
    assert "This very photo is in your stash." in page


def test_same_print_in_a_brighter_photo_is_found_by_its_picture(
    owner: User, trip: ShopTrip
) -> None:
    """As a phone that meters anew would show it: 25 of 255 codes brighter, colours shifted."""
    size = (240, 180)
    first = cloth_photo((60, 70, 110), dots=(200, 190, 150), size=size)
    fabric = make_fabric(owner, "Old Dots")
    stored_photo(owner, first, fabric=fabric)
    photo = fabric.photos.get()
    fabric.main_photo = photo
    show_reading(fabric, photo.appearance)  # type: ignore[arg-type]
    fabric.save()
    brighter = cloth_photo((82, 92, 133), dots=(225, 215, 176), size=size)
    draft = intake.receive_photo(trip=trip, data=brighter).draft
    assert draft.photo.picture_hash
    found = look_alikes(owner=owner, drafts=[draft])[draft.pk]
    assert (found.fabric, found.reason) == (fabric, Reason.SAME_PICTURE)
    assert "the same print" in found.sentence


def test_look_alike_needs_a_like_palette(owner: User, trip: ShopTrip) -> None:
    """A print can average to the colour of a plain cloth and still be another cloth."""
    data = cloth_photo((40, 60, 130), dots=(240, 240, 240))
    draft = intake.receive_photo(trip=trip, data=data).draft
    appearance = draft.photo.appearance
    assert appearance is not None
    make_fabric(owner, "Plain", lab=appearance.far)
    assert look_alikes(owner=owner, drafts=[draft]) == {}


def test_fabrics_of_strangers_and_of_the_bin_are_no_look_alikes(
    owner: User, trip: ShopTrip
) -> None:
    draft = make_draft(trip)
    far = draft.photo.appearance.far
    make_fabric(make_stranger(), lab=far)
    make_fabric(owner, lab=far, removed_at=timezone.now())
    assert look_alikes(owner=owner, drafts=[draft]) == {}


# --- cards that were removed ---


def test_removed_cards_are_forgotten_after_a_day(owner: User, trip: ShopTrip) -> None:
    old, young = make_draft(trip, COLOURS[0]), make_draft(trip, COLOURS[1])
    identity.ensure()
    for draft, hours in ((old, 25), (young, 23)):
        intake.remove_draft(draft=draft)
        then = timezone.now() - datetime.timedelta(hours=hours)
        Draft.objects.filter(pk=draft.pk).update(removed_at=then)
    call_command("sweep_photos", "--put-aside")
    assert list(Draft.objects.all()) == [young]
    assert list(Photo.objects.all()) == [young.photo]
