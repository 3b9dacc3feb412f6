from dataclasses import replace

import numpy as np
import pytest

from stash.colour.batch import exposure_of, is_same_sitting, read_batch
from stash.colour.picture.capture import Capture
from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture
from stash.colour.reading import find_reference, read_with
from stash.colour.spaces.value import place_by_eye
from tests.colour.rendering import MeteredPhone, cloth_reflectances, true_lab
from tests.colour.scenes import Pose, card_scene

CLOTH = cloth_reflectances()
SIZE = (900, 675)
SHOT = Capture(
    taken="2026-05-04T10:11:12",
    exposure_time=0.01,
    f_number=1.8,
    iso=100,
    white_balance="manual",
    flash=False,
    camera="abc",
)


def sitting(numbers: tuple[int, ...]) -> list[Picture]:
    """Return the first cloth with a card and the others alone, each metered by itself."""
    phone = MeteredPhone(light="LED-B3", balance=0.8)
    pictures = []
    for order, number in enumerate(numbers):
        pose = Pose(share=0.15, turn=10) if order == 0 else None
        rng = np.random.default_rng(order)
        photo = card_scene(rng, phone=phone, cloth=CLOTH[number], pose=pose, size=SIZE)
        capture = replace(SHOT, exposure_time=0.01 * phone.exposures[-1])
        pictures.append(replace(decode_photo(photo), capture=capture))
    return pictures


def test_one_card_measures_all_photos_of_a_sitting() -> None:
    numbers = (40, 12, 100, 230, 180)
    pictures = sitting(numbers)
    readings = read_batch(pictures)
    assert {reading.reference for reading in readings} == {"photo card"}
    errors = [
        abs(reading.far[0] - true_lab(CLOTH[number])[0])
        for reading, number in zip(readings, numbers, strict=True)
    ]
    assert np.mean(errors) < 2.5
    alone = read_with(pictures[1], find_reference(pictures[0], None, Marks())[0])
    assert readings[1].uncertainty > alone.uncertainty
    assert "another photo" in readings[1].notes[0]
    assert readings[1].mm_per_pixel is None


@pytest.mark.parametrize(
    ("changed", "word"),
    [
        ({"exposure_time": None}, "no exposure data"),
        ({"camera": "other"}, "another camera"),
        ({"taken": "2026-05-04T11:11:12"}, "another time"),
        ({"flash": True}, "flash"),
    ],
)
def test_a_photo_of_another_sitting_stays_an_estimate_and_says_why(
    changed: dict[str, object], word: str
) -> None:
    first, second = sitting((40, 100))
    assert second.capture is not None
    strange = replace(second, capture=replace(second.capture, **changed))
    reading = read_batch([first, strange])[1]
    assert reading.is_estimate
    assert any(word in note for note in reading.notes)


def test_automatic_white_balance_is_told_and_costs_certainty() -> None:
    pictures = sitting((40, 100))
    calm = read_batch(pictures)[1]
    automatic = [
        replace(p, capture=replace(p.capture or SHOT, white_balance="auto")) for p in pictures
    ]
    drifting = read_batch(automatic)[1]
    assert drifting.uncertainty > calm.uncertainty
    assert any("white balance" in note for note in drifting.notes)


def test_exposure_follows_time_sensitivity_and_aperture() -> None:
    """Photographic exposure: time x ISO / f-number squared (ISO 12232, from memory)."""
    once = exposure_of(SHOT)
    assert once is not None
    assert exposure_of(replace(SHOT, exposure_time=0.02)) == pytest.approx(2 * once)
    assert exposure_of(replace(SHOT, iso=50)) == pytest.approx(once / 2)
    assert exposure_of(replace(SHOT, f_number=3.6)) == pytest.approx(once / 4)
    assert exposure_of(None) is None
    assert not is_same_sitting(None, SHOT)


def test_placing_by_eye_narrows_an_estimate() -> None:
    found, half = place_by_eye(estimate=(5.0, 2.9), lighter_than=(5.5, 0.2), darker_than=(6.5, 0.2))
    assert found == pytest.approx(6.0)
    assert half == pytest.approx(0.7)
    assert place_by_eye(estimate=(5.0, 2.9), lighter_than=(9.0, 0.2))[0] == pytest.approx(9.4)
    with pytest.raises(ValueError, match="swap"):
        place_by_eye(estimate=(5.0, 2.9), lighter_than=(8.0, 0.1), darker_than=(2.0, 0.1))
