import json
from dataclasses import replace

import cv2
import numpy as np
import pytest

from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from stash.colour.references.calibration import calibrate_print
from stash.colour.references.card_print import ANY_PRINT, CardPrint, CardPrintError
from tests.benchmarks.colour.prints import measure
from tests.colour.scenes import (
    CHART_HEIGHT,
    CHART_WIDTH,
    Pose,
    card_scene,
)
from tests.colour.side_by_side import CHART, CLOTH, PHONE, PRINTER, SIZE, beside


def chart_corners() -> Marks:
    grid = np.array([[[5.5, 5.5], [199.5, 5.5], [199.5, 133.5], [5.5, 133.5]]])
    to_pixels = CHART.to_pixels(SIZE, CHART_WIDTH, CHART_HEIGHT)
    corners = cv2.perspectiveTransform(grid, to_pixels)[0] / SIZE
    first, second, third, fourth = ((float(x), float(y)) for x, y in corners)
    return Marks(chart_corners=(first, second, third, fourth))


def test_a_chart_beside_the_card_tells_how_it_was_printed() -> None:
    picture = decode_photo(beside(np.random.default_rng(1), chart=True))
    for marks in (None, chart_corners()):
        found, notes = calibrate_print(picture, marks=marks)
        assert found is not None, notes
        paper, black = found.numbers[:2]
        assert paper == pytest.approx(PRINTER[0], abs=0.02)
        assert black == pytest.approx(PRINTER[1], abs=0.01)
        assert found.found_by == "colour chart"
        assert "chart" in notes[0]


def test_a_grey_card_beside_the_card_narrows_how_it_was_printed() -> None:
    picture = decode_photo(beside(np.random.default_rng(2), grey=0.18))
    found, notes = calibrate_print(picture, marks=Marks(grey_point=(CHART.x, CHART.y)))
    assert found is not None, notes
    off = np.abs(np.array(found.numbers) - PRINTER) / found.deviations
    assert (off < 3).all()
    assert (np.array(found.deviations) <= ANY_PRINT.deviations).all()
    assert found.found_by == "grey card"


def test_a_calibrated_print_is_used_and_said() -> None:
    rng = np.random.default_rng(3)
    found, _ = calibrate_print(decode_photo(beside(rng, chart=True)))
    assert found is not None
    photo = card_scene(rng, phone=PHONE, cloth=CLOTH[60], pose=Pose(), size=SIZE, printer=PRINTER)
    usual = read_picture(decode_photo(photo))
    better = read_picture(decode_photo(photo), card_print=found)
    assert better.uncertainty < usual.uncertainty
    assert any("calibrated with a colour chart" in note for note in better.notes)
    assert any("estimated" in note for note in usual.notes)


def test_calibrating_makes_values_better() -> None:
    """Small version of tests/benchmarks/colour/prints.py."""
    figures = measure(12)
    assert figures["by a chart"]["dL"] < 0.85 * figures["not calibrated"]["dL"]
    assert figures["by a grey card"]["dL"] < figures["not calibrated"]["dL"]
    for way in figures.values():
        assert way["inside interval %"] >= 80


def test_what_cannot_calibrate_is_said() -> None:
    rng = np.random.default_rng(4)
    found, notes = calibrate_print(decode_photo(beside(rng)))
    assert found is None
    assert "colour chart" in notes[0]
    bare = card_scene(rng, phone=PHONE, cloth=CLOTH[60], pose=None, size=SIZE)
    found, notes = calibrate_print(decode_photo(bare))
    assert found is None
    assert "No photo card" in notes[0]


def test_a_print_survives_json_and_nonsense_is_refused() -> None:
    known = replace(ANY_PRINT, found_by="grey card")
    assert CardPrint.from_dict(json.loads(json.dumps(known.to_dict()))) == known
    assert not ANY_PRINT.is_calibrated
    with pytest.raises(CardPrintError, match=r"0\.9"):
        replace(known, numbers=(0.05, 0.9, 0.1, 0.5, 0.5))
    with pytest.raises(CardPrintError, match="eye"):
        replace(known, found_by="eye")
    with pytest.raises(CardPrintError, match="no print"):
        replace(known, numbers=(0.8, 0.05))
