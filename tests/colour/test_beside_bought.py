"""One photo read by the photo card and by a bought reference: both read the same cloth."""

from __future__ import annotations

import numpy as np
import pytest

from stash.colour.beside_bought import read_twice
from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from tests.colour.rendering import true_lab
from tests.colour.side_by_side import CHART, CLOTH, beside
from tests.photos.phone_photos import with_chart, with_grey
from tests.photos.pictures import cloth_photo

TRUE = float(true_lab(CLOTH[40])[0]) / 10


def test_chart_is_found_by_itself_and_reads_the_truth() -> None:
    twice = read_twice(decode_photo(with_chart()), chart=True)
    assert twice.card.reference == "photo card"
    assert twice.bought is not None
    assert twice.bought.reference == "colour chart"
    assert twice.bought.region == twice.card.region
    assert twice.bought.value == pytest.approx(TRUE, abs=0.3)
    assert abs(twice.card.value - TRUE) < twice.card.uncertainty + 0.3


def test_grey_card_that_was_tapped_reads_within_its_interval() -> None:
    twice = read_twice(decode_photo(with_grey()), marks=Marks(grey_point=(CHART.x, CHART.y)))
    assert twice.bought is not None
    assert twice.bought.reference == "grey card"
    assert twice.bought.value == pytest.approx(TRUE, abs=twice.bought.uncertainty)


def test_card_alone_where_nothing_else_was_asked_for() -> None:
    twice = read_twice(decode_photo(with_chart()))
    assert twice.bought is None
    assert not twice.why_not


def test_photo_without_the_card_is_told() -> None:
    twice = read_twice(decode_photo(cloth_photo()))
    assert "No photo card was found" in twice.why_not


def test_chart_that_is_not_there_is_told() -> None:
    photo = decode_photo(beside(np.random.default_rng(4)))
    assert "No colour chart was found" in read_twice(photo, chart=True).why_not
