"""Pictures of extreme proportions: read without a reference, in a memory that is bounded."""

import io
import json
import resource
import subprocess
import sys

import cv2
import numpy as np
import pytest
from PIL import Image

from stash.colour import reading
from stash.colour.cloth import finding as cloth
from stash.colour.cloth import surroundings
from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import PhotoError, decode_photo
from stash.colour.picture.region import CENTRE
from stash.colour.reading import read_picture
from stash.colour.references import choosing as references
from stash.colour.references import sheet
from stash.colour.references.correction import Correction, always
from tests.reliability.photo_files import all_cases

NARROW = "more than 8 times as long as it is wide"
SIZES = ("9000x12", "12x9000", "400x4", "1x5000", "3000x40", "60000x1")
SQUARE_ENOUGH = ("2x2", "1x1", "800x100", "100x800")
MOST = 450 * 1024  # kB above what the interpreter and the libraries take
ROOM = 4_000_000_000  # bytes of addresses: a fault ends the child, not the machine

CHILD = """
import json, sys
from stash.colour.references.chart_colours import chart_xyz
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
chart_xyz()  # its library is large, and is loaded once for all photos
def most():
    # Not ru_maxrss: that begins with the most that the parent ever had.
    return next(int(line.split()[1]) for line in open("/proc/self/status") if "VmHWM" in line)
idle = most()
picture = decode_photo(sys.stdin.buffer.read())
notes = read_picture(picture).notes
picture.working_file(), picture.view_file(1280), picture.view_file(480, grey=True)
peak = most()
print(json.dumps({"notes": notes, "above": peak - idle, "long": max(picture.linear.shape)}))
"""


def noise(size: str) -> bytes:
    """Return a PNG of coloured noise; a finder has the most to look at there."""
    width, height = map(int, size.split("x"))
    pixels = np.random.default_rng(7).integers(0, 255, (height, width, 3), dtype=np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "PNG")
    return buffer.getvalue()


def bounded() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (ROOM, ROOM))


@pytest.mark.parametrize("size", [*SIZES, *SQUARE_ENOUGH])
def test_reading_stays_within_its_memory(size: str) -> None:
    run = subprocess.run(
        [sys.executable, "-c", CHILD], input=noise(size), capture_output=True, preexec_fn=bounded
    )
    assert run.returncode == 0, run.stderr.decode()[-600:]
    told = json.loads(run.stdout)
    assert told["above"] < MOST
    assert told["long"] <= 2048
    assert any(NARROW in note for note in told["notes"]) == (size in SIZES)


def picture(kind: str, mode: str, width: int, height: int) -> bytes:
    """A picture of coarse noise, so that its file stays small."""
    coarse = np.random.default_rng(7).integers(0, 255, (60, 80, len(mode)), dtype=np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(coarse, mode).resize((width, height)).save(buffer, kind, quality=70)
    return buffer.getvalue()


@pytest.mark.skipif(sys.platform != "linux", reason="reads the peak where Linux tells it")
def test_large_picture_with_a_profile_of_tables_stays_within_its_memory() -> None:
    case = next(case for case in all_cases() if "JPEG of 50 megapixels, a profile" in case.name)
    run = subprocess.run([sys.executable, "-c", CHILD], input=case.make(), capture_output=True)
    assert run.returncode == 0, run.stderr.decode()[-600:]
    assert json.loads(run.stdout)["above"] < MOST


@pytest.mark.skipif(sys.platform != "linux", reason="reads the peak where Linux tells it")
@pytest.mark.parametrize(
    ("kind", "mode", "width", "height"),
    [("WEBP", "RGB", 6200, 4000), ("JPEG", "CMYK", 8000, 6000)],
    ids=["webp", "four inks"],
)
def test_large_pictures_of_dear_kinds_stay_within_their_memory(
    kind: str, mode: str, width: int, height: int
) -> None:
    """The largest WebP that is read, and a JPEG of four inks that is reduced while it is read."""
    run = subprocess.run(
        [sys.executable, "-c", CHILD], input=picture(kind, mode, width, height), capture_output=True
    )
    assert run.returncode == 0, run.stderr.decode()[-600:]
    assert json.loads(run.stdout)["above"] < MOST


def test_larger_webp_is_refused_with_its_limit() -> None:
    with pytest.raises(PhotoError, match="WebP may have 25 megapixels at most"):
        decode_photo(picture("WEBP", "RGB", 6400, 4000))


def test_a_side_beyond_what_a_photo_has_is_refused() -> None:
    with pytest.raises(PhotoError, match=r"70000 × 1 pixels; a side may have 65535 at most"):
        decode_photo(noise("70000x1"))


@pytest.mark.parametrize("fault", [cv2.error("no room"), MemoryError(), ValueError()])
@pytest.mark.parametrize("finder", ["find_card", "find_chart", "suggest_sheet"])
def test_a_finder_that_fails_has_found_nothing(
    fault: Exception, finder: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object) -> None:
        raise fault

    picture = decode_photo(noise("60x40"))
    monkeypatch.setattr(references, finder, fail)
    appearance = read_picture(picture, marks=Marks())
    assert appearance.reference == "none"


FAULTS = [cv2.error("no room"), MemoryError(), ValueError(), IndexError(), ZeroDivisionError()]


@pytest.mark.parametrize("fault", FAULTS)
def test_cloth_that_cannot_be_looked_for_is_the_middle(
    fault: Exception, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(*args: object) -> None:
        raise fault

    monkeypatch.setattr(cloth, "_grow", fail)
    assert read_picture(decode_photo(noise("60x40"))).region == CENTRE
    assert "cloth" in caplog.text


@pytest.mark.parametrize("fault", FAULTS)
def test_sheet_that_cannot_be_measured_gives_no_scale_and_says_so(
    fault: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object) -> None:
        raise fault

    corners = ((0.1, 0.1), (0.8, 0.1), (0.8, 0.9), (0.1, 0.9))
    marks = Marks(paper_corners=corners, paper_size=(210.0, 297.0), ignore=("paper",))
    monkeypatch.setattr(sheet, "_to_pixels", fail)
    appearance = read_picture(decode_photo(noise("60x80")), marks=marks)
    assert appearance.mm_per_pixel is None
    assert any("corners of the sheet" in note for note in appearance.notes)


@pytest.mark.parametrize("fault", FAULTS)
def test_light_that_cannot_be_compared_is_no_other_light(
    fault: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object) -> None:
        raise fault

    picture = decode_photo(noise("60x40"))
    outline = np.array([[5.0, 5.0], [20.0, 5.0], [20.0, 15.0], [5.0, 15.0]])
    lent = Correction(reference="paper", apply=np.asarray, half_width=always(0.2), outline=outline)
    monkeypatch.setattr(surroundings, "_inside", fail)
    monkeypatch.setattr(reading, "find_correction", lambda *args: (lent, ()))
    assert read_picture(picture).reference == "paper"
