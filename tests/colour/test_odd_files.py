"""Files that are sound but odd: profiles that describe no picture, shades that are transparent."""

import warnings

import numpy as np
import pytest

from stash.colour.batch import is_same_sitting
from stash.colour.picture.capture import Capture
from stash.colour.picture.photo import PhotoError, decode_photo
from stash.colour.reading import read_picture
from tests.colour.photo_corpus import after_soi, chunk, sof_size
from tests.reliability.photo_files import Case, all_cases
from tests.reliability.photo_files.cases import encode, flat, jpeg

CASES = all_cases()
UNBELIEVABLE = (
    "of a gamma of nought",
    "of a gamma in a formula of nought",
    "of a gamma below nought",
    "of a formula that starts too high",
    "of a formula far below nought",
    "of a curve that falls",
    "of a curve that is flat",
    "of light of a thousand",
    "of light beyond all",
    "of light below nought",
)


@pytest.mark.parametrize("name", UNBELIEVABLE)
def test_profile_that_describes_no_picture_is_not_believed(name: str) -> None:
    """Any light came of them before: L* of minus 27 million, or no reading at all."""
    odd = next(case for case in CASES if case.name == f"profile {name}")
    plain = next(case for case in CASES if case.name == "profile of text")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        picture = decode_photo(odd.make())
    assert np.array_equal(picture.linear, decode_photo(plain.make()).linear)
    assert any("colour profile" in note for note in picture.notes)
    assert 0 < read_picture(picture).far[0] < 100


def test_profile_that_divides_by_nought_costs_its_colours_and_not_the_photo() -> None:
    odd = next(case for case in CASES if "divides by nought" in case.name)
    assert any("colour profile" in note for note in decode_photo(odd.make()).notes)


@pytest.mark.parametrize("taken", ["2026-13-45T99:61:61", "0000-00-00T00:00:00"])
def test_day_that_no_calendar_has_is_no_sitting(taken: str) -> None:
    """As stored by earlier versions; comparing two of them failed."""
    capture = Capture(taken=taken, camera="0123456789ab")
    assert not is_same_sitting(capture, capture)


@pytest.mark.parametrize("day", ["a day that no calendar has", "the day nought"])
def test_day_that_no_calendar_has_is_not_kept(day: str) -> None:
    case = next(case for case in CASES if case.name == f"EXIF of {day}")
    picture = decode_photo(case.make())
    assert picture.capture is None
    assert picture.size == case.size


CLEAR = [
    case
    for case in CASES
    if case.kind == "PNG" and ("clear shade" in case.name or "a clear colour" in case.name)
]


@pytest.mark.parametrize("case", CLEAR, ids=lambda case: case.name)
def test_shade_that_is_transparent_shows_white_paper(case: Case) -> None:
    """By the PNG specification, 11.3.1.1: one grey or colour, compared at the file's own depth."""
    linear = decode_photo(case.make()).linear
    height, width = linear.shape[:2]
    found = linear[height // 4, width // 4]
    if case.quarters or "colour with" in case.name:
        assert np.allclose(found, 1, atol=1e-3)
    opaque = linear[height // 4, width * 3 // 4]
    if case.quarters and case.quarters[1] != (255, 255, 255):
        assert opaque.max() < 0.9


def many_parts() -> dict[str, bytes]:
    good = jpeg()
    scan = good[good.index(b"\xff\xda") : -2]
    png = encode("PNG")
    return {
        "segments": after_soi(good, b"\xff\xfe\0\2" * 6_000),
        "fill bytes": after_soi(good, (b"\xff" * 40 + b"\xfe\0\2") * 6_000),
        "scans": good[:-2] + scan * 300 + good[-2:],
        "chunks": png[:33] + chunk(b"prVt", b"") * 120_000 + png[33:],
    }


@pytest.mark.parametrize("name", ["segments", "fill bytes", "scans", "chunks"])
def test_file_of_very_many_parts_is_refused_before_it_takes_minutes(name: str) -> None:
    with pytest.raises(PhotoError, match="more parts than a photo may have at most"):
        decode_photo(many_parts()[name])


@pytest.mark.parametrize(("mode", "size"), [("RGB", (12_000, 4_300)), ("CMYK", (6_000, 4_300))])
def test_progressive_jpeg_has_a_lower_limit(mode: str, size: tuple[int, int]) -> None:
    """Its decoder holds all of it before the first row comes out: 6 or 8 bytes a pixel."""
    small = encode("JPEG", mode, progressive=True)
    with pytest.raises(PhotoError, match=r"progressive JPEG may have (50|25) megapixels at most"):
        decode_photo(sof_size(small, *size))


def test_avif_has_a_lower_limit() -> None:
    large = flat("AVIF", (8_200, 5_000), speed=10)
    with pytest.raises(PhotoError, match="AVIF may have 40 megapixels at most"):
        decode_photo(large)
