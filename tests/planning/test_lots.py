"""Warnings about lots and near matches in the cloth of a part."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.models import Part
from projects.planning.cloth.lots import lot_warnings
from projects.planning.promises.acts import promise_whole
from stash.models import Draft, Fabric, Photo, Piece, ShopTrip
from tests.planning import builders as b

MAY, JUNE = datetime.date(2026, 5, 4), datetime.date(2026, 6, 8)
Lab = tuple[float, float, float]


@pytest.fixture
def owner(db: None) -> User:
    return b.person()


@pytest.fixture
def part(owner: User) -> Part:
    return b.part(b.project(owner))


def read_as(fabric: Fabric, far: Lab, half: float = 0.05, reference: str = "photo card") -> Fabric:
    fabric.far_l, fabric.far_a, fabric.far_b = far
    fabric.value, fabric.value_uncertainty = far[0] / 10, half
    fabric.reference = reference
    fabric.palette = [{"lab": list(far), "share": 1.0}]
    fabric.save()
    return fabric


def photographed(piece: Piece, far: Lab, half: float = 0.05, reference: str = "photo card") -> None:
    """As if the piece had come in through a trip with this reading."""
    photo = Photo.objects.create(
        owner=piece.owner,
        fabric=piece.fabric,
        sent_sha256="0" * 64,
        sha256="1" * 64,
        width=640,
        height=480,
        reading={"far": list(far), "uncertainty": half, "reference": reference},
    )
    trip = ShopTrip.objects.create(owner=piece.owner)
    Draft.objects.create(owner=piece.owner, trip=trip, photo=photo, piece=piece)


def bought_twice(fabric: Fabric, **second: Any) -> tuple[Piece, Piece]:
    first = b.piece(fabric, bought_where="The Button Loft", bought_on=MAY)
    return first, b.piece(fabric, **{"bought_where": "Pinfold Quay", "bought_on": JUNE, **second})


def promised(part: Part, *pieces: Piece) -> None:
    for piece in pieces:
        part.fabrics.add(piece.fabric)
        promise_whole(part=part, piece=piece)


def warned(part: Part) -> str:
    return " ".join(sentence for _, told in lot_warnings([part]) for sentence in told)


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (1.0, "grey scale 4-5, which still passes as one lot"),
        (1.7, "grey scale 4, close but not one lot"),
        (3.4, "grey scale 3, same family but not one lot"),
        (13.6, "grey scale 1, far apart."),
    ],
)
def test_purchases_that_differ_are_told_in_grey_scale_words(
    owner: User, part: Part, step: float, words: str
) -> None:
    """Chips of ISO 105-A02 differ by 0.8, 1.7, 3.4, 13.6 for grades 4-5, 4, 3, 1."""
    first, second = bought_twice(b.fabric(owner))
    photographed(first, (50.0, 0.0, 0.0))
    photographed(second, (50.0 + step, 0.0, 0.0))
    promised(part, first, second)
    assert "Ink dots comes from 2 purchases whose photos differ by" in warned(part)
    assert words in warned(part)


def test_a_difference_within_the_uncertainty_is_no_warning(owner: User, part: Part) -> None:
    first, second = bought_twice(b.fabric(owner))
    photographed(first, (50.0, 0.0, 0.0), half=0.3)
    photographed(second, (54.0, 0.0, 0.0), half=0.3)
    promised(part, first, second)
    assert warned(part) == ""


@pytest.mark.parametrize("reference", ["none", ""])
def test_purchases_without_measured_photos_are_said_to_be_not_compared(
    owner: User, part: Part, reference: str
) -> None:
    first, second = bought_twice(b.fabric(owner))
    photographed(first, (50.0, 0.0, 0.0))
    if reference:
        photographed(second, (80.0, 0.0, 0.0), half=2.9, reference=reference)
    promised(part, first, second)
    assert "could not be compared" in warned(part)


def test_one_lot_bought_twice_is_one_lot(owner: User, part: Part) -> None:
    fabric = b.fabric(owner)
    first = b.piece(fabric, lot="A12", bought_on=MAY)
    second = b.piece(fabric, lot="A12", bought_on=JUNE)
    promised(part, first, second)
    assert warned(part) == ""
    other = b.piece(fabric, lot="B7", bought_on=JUNE)
    promised(part, other)
    assert "2 purchases or lots" in warned(part)


def test_before_anything_is_promised_only_measured_differences_warn(
    owner: User, part: Part
) -> None:
    first, second = bought_twice(b.fabric(owner))
    part.fabrics.add(first.fabric)
    assert warned(part) == ""
    photographed(first, (50.0, 0.0, 0.0))
    photographed(second, (55.0, 0.0, 0.0))
    assert "differ by" in warned(part)


def test_fabrics_that_almost_match_are_told_and_others_are_not(owner: User, part: Part) -> None:
    near = read_as(b.fabric(owner, "Ink"), (30.0, 5.0, -20.0))
    almost = read_as(b.fabric(owner, "Night"), (32.5, 5.0, -20.0))
    unlike = read_as(b.fabric(owner, "Straw"), (85.0, 0.0, 30.0))
    part.fabrics.add(near, unlike)
    assert warned(part) == ""
    part.fabrics.add(almost)
    assert "Ink and Night look almost alike and differ by" in warned(part)
    read_as(almost, (32.5, 5.0, -20.0), half=0.3)
    assert warned(part) == "", "within the uncertainty"
    read_as(almost, (32.5, 5.0, -20.0), reference="none")
    assert warned(part) == "", "an estimate"


def test_pages_show_the_warning_and_a_part_not_needed_is_left_out(owner: User, part: Part) -> None:
    first, second = bought_twice(b.fabric(owner))
    photographed(first, (50.0, 0.0, 0.0))
    photographed(second, (55.0, 0.0, 0.0))
    promised(part, first, second)
    client = Client()
    client.force_login(owner)
    for page in (part.get_absolute_url(), part.project.get_absolute_url()):
        assert "May not match" in client.get(page).content.decode()
    part.not_needed = True
    assert lot_warnings([part]) == []
