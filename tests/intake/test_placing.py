"""Placing a value by eye between measured neighbours."""

from __future__ import annotations

import re
import uuid

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from stash.intake import placing as by_eye
from stash.intake import shelving
from stash.models import Fabric, Tag
from stash.photos import appearance
from stash.photos.acts import reread
from tests.builders import make_fabric, make_stranger
from tests.intake.trips import ladder, make_draft, make_trip, measured, tap
from tests.photos.pictures import cloth_photo, stored_photo


def estimated(owner: User) -> Fabric:
    """A cloth from a bare photo: the phone says 5.2 or so, whatever it is."""
    fabric = make_fabric(owner, "Unknown Dark")
    photo = stored_photo(owner, cloth_photo((120, 120, 120)), fabric=fabric)
    fabric.main_photo = photo
    fabric.save()
    appearance.copy_reading(fabric=fabric, photo=photo)
    fabric.refresh_from_db()
    return fabric


def asked(fabric: Fabric, **keys: int) -> str:
    return (
        reverse("stash:fabric_by_eye", args=[fabric.pk])
        + "?"
        + "&".join(f"{name}={key}" for name, key in keys.items())
    )


def place_truly(owner: User, fabric: Fabric, truth: float) -> tuple[by_eye.Placing, int]:
    """Choose the slot where a cloth of this value lies until there is nothing to choose."""
    fields: dict[str, Fabric | None] = {"lighter_than": None, "darker_than": None}
    for steps in range(10):
        placing = by_eye.place(
            owner=owner,
            appearance=fabric.main_photo.appearance,  # type: ignore[union-attr]
            leave_out=fabric.pk,
            **fields,
        )
        if not placing.slots:
            return placing, steps
        fabrics = Fabric.objects.in_bulk()
        lighter = [s.lighter_than for s in placing.slots if s.lighter_than]
        below = [fabrics[key] for key in lighter if (fabrics[key].value or 0) <= truth]
        darker = [s.darker_than for s in placing.slots if s.darker_than]
        above = [fabrics[key] for key in darker if (fabrics[key].value or 0) > truth]
        fields["lighter_than"] = max(below, key=lambda item: item.value or 0, default=None)
        fields["darker_than"] = min(above, key=lambda item: item.value or 0, default=None)
    raise AssertionError("the eye was asked ten times")


@pytest.mark.parametrize("truth", [2.7, 3.6, 4.9, 6.2, 7.8])
def test_a_true_eye_ends_within_the_stated_room_in_few_steps(owner: User, truth: float) -> None:
    ladder(owner)
    fabric = estimated(owner)
    assert fabric.value_uncertainty == pytest.approx(2.9)
    placing, steps = place_truly(owner, fabric, truth)
    assert steps <= 3
    assert placing.uncertainty < 0.8
    assert abs(placing.placed - truth) <= placing.uncertainty


def test_three_neighbours_are_measured_on_the_shelf_and_the_persons_own(owner: User) -> None:
    rungs = ladder(owner)
    fabric = estimated(owner)
    make_fabric(owner, "An estimate", lab=(50, 0, 0))
    measured(owner, 5.05, value_by_hand=True)
    measured(make_stranger(), 5.06)
    used_up = make_fabric(
        owner, "Used up", lab=(50, 0, 0), reference="photo card", value_uncertainty=0.1
    )
    assert used_up.pieces.count() == 0
    placing = by_eye.place(
        owner=owner,
        appearance=fabric.main_photo.appearance,
        leave_out=fabric.pk,  # type: ignore[union-attr]
    )
    shown = [slot.neighbour for slot in placing.slots if slot.neighbour]
    assert len(shown) == 3
    assert set(shown) <= set(rungs)
    assert [fabric.value for fabric in shown] == sorted(fabric.value for fabric in shown)  # type: ignore[type-var]


def test_kept_value_is_by_eye_survives_reading_again_and_can_be_taken_back(
    client: Client, owner: User
) -> None:
    rungs = ladder(owner)
    fabric = estimated(owner)
    sent = {"lighter_than": rungs[2].pk, "darker_than": rungs[3].pk}
    page = client.get(asked(fabric, **sent)).content.decode()
    assert "Keep 2.8 ± 0.6" in page
    page = client.post(asked(fabric), sent, follow=True).content.decode()
    assert "Placed by eye: value 2.8 ± 0.6." in page
    assert "placed by eye</span>" in page
    assert ", estimate" not in page.partition("Colour and value")[2].partition("On the shelf")[0]
    fabric.refresh_from_db()
    assert (fabric.value, fabric.value_by_hand) == (pytest.approx(2.75), True)
    assert not fabric.is_estimate
    reread(photo=fabric.main_photo)  # type: ignore[arg-type]
    fabric.refresh_from_db()
    assert fabric.value == pytest.approx(2.75)
    client.post(asked(fabric), {})
    fabric.refresh_from_db()
    assert fabric.is_estimate
    assert fabric.value_uncertainty == pytest.approx(2.9)


def test_looking_just_as_light_claims_no_less_than_half_a_step(owner: User) -> None:
    rung = measured(owner, 3.5, 0.2)
    placing = by_eye.place(owner=owner, appearance=None, lighter_than=rung, darker_than=rung)
    assert (placing.placed, placing.uncertainty) == (pytest.approx(3.5), 0.5)
    assert placing.is_narrow


@pytest.mark.parametrize("key", ["stranger", "estimate"])
def test_only_own_measured_fabrics_count(client: Client, owner: User, key: str) -> None:
    fabric = estimated(owner)
    other = measured(make_stranger(), 4.0) if key == "stranger" else make_fabric(owner, "Guess")
    page = client.get(asked(fabric, lighter_than=other.pk), follow=True).content.decode()
    assert "no longer there to compare with" in page


def test_neighbours_the_wrong_way_round_are_told(client: Client, owner: User) -> None:
    dark, light = measured(owner, 2.0), measured(owner, 8.0)
    fabric = estimated(owner)
    url = asked(fabric, lighter_than=light.pk, darker_than=dark.pk)
    assert "swap the two" in client.get(url, follow=True).content.decode()


def test_without_measured_fabrics_the_page_says_what_helps(client: Client, owner: User) -> None:
    page = client.get(asked(estimated(owner))).content.decode()
    assert "nothing to lay it beside" in page


def test_card_placed_by_eye_brings_its_value_to_the_shelf(client: Client, owner: User) -> None:
    rungs = ladder(owner)
    trip = make_trip(owner)
    draft = make_draft(trip, (120, 120, 120))
    url = reverse("stash:draft_by_eye", args=[draft.pk])
    page = client.get(url).content.decode()
    assert len(re.findall('class="eye-neighbour"', page)) == 3
    response = client.post(url, {"lighter_than": rungs[2].pk, "darker_than": rungs[3].pk})
    assert response["Location"].endswith(f"#draft-{draft.pk}")
    assert "Placed by eye." in client.get(trip.get_absolute_url()).content.decode()
    draft.refresh_from_db()
    tap(draft)
    shelving.put_on_shelf(trip=trip, act=uuid.uuid4())
    draft.refresh_from_db()
    fabric = draft.fabric
    assert fabric is not None
    assert (fabric.value, fabric.value_by_hand) == (pytest.approx(2.75), True)
    assert fabric.value_uncertainty == pytest.approx(0.6)


def test_placing_on_a_card_can_be_taken_back(client: Client, owner: User) -> None:
    rung = measured(owner, 4.0)
    draft = make_draft(make_trip(owner), (120, 120, 120))
    url = reverse("stash:draft_by_eye", args=[draft.pk])
    client.post(url, {"lighter_than": rung.pk})
    draft.refresh_from_db()
    assert draft.value_by_eye is not None
    client.post(url)
    draft.refresh_from_db()
    assert draft.value_by_eye is None


def test_tags_added_anywhere_are_found_by_their_words(owner: User) -> None:
    fabric, other = make_fabric(owner), make_fabric(owner, "Other")
    tag = Tag.objects.create(owner=owner, name="Hérons")
    fabric.tags.add(tag)
    tag.fabrics.add(other)
    for tagged in (fabric, other):
        tagged.refresh_from_db()
        assert "herons" in tagged.search_text
    fabric.tags.remove(tag)
    fabric.refresh_from_db()
    assert "herons" not in fabric.search_text
