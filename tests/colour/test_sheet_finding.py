"""What is taken for white paper unasked, what is asked about, and what is left alone.

Truth is where a sheet was drawn. Sizes: ISO 216 and ANSI/ASME Y14.1, from memory.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture
from stash.colour.reading import Marks, read_picture
from stash.colour.references.sheet import SHEETS
from stash.colour.references.sheet_finding import find_sheet
from tests.benchmarks.colour.papers import answer, ordinary_answers, sheet_answers
from tests.colour.rendering import Floats, Phone, cloth_reflectances, grey_reflectance
from tests.colour.scenes import Pose, place, shoot, slope, texture

SIZE = (1000, 750)
CLOTH = cloth_reflectances()
CALM = Phone(light="LED-B3", contrast=2.0)
USUAL = Pose(share=0.07, x=0.25, y=0.28, turn=17, tilt=15, axis=40)


def on_cloth(
    size: tuple[float, float] = SHEETS["a4"],
    *,
    pose: Pose = USUAL,
    luminance: float | Floats = 0.85,
    drawn: Floats | None = None,
    light: Floats | None = None,
    beside: Floats | None = None,
    under: Floats | None = None,
    bend: float = 0.0,
    quality: int = 90,
) -> Picture:
    """Return a photo of cloth with a sheet of this size, or with what is drawn as one."""
    rng = np.random.default_rng(4)
    scene = CALM.raw(CLOTH[20])[None, None] * texture(rng, SIZE, 0.04)[..., None]
    if under is not None:
        scene = scene * under[..., None]
    if beside is not None:
        scene = np.where(beside[..., None] > 0, CALM.raw(grey_reflectance(0.9)), scene)
    shape = (round(size[1]), round(size[0]), 1)
    white = np.ones(shape) if drawn is None else drawn
    grain = 1 + 0.015 * rng.normal(size=shape)
    sheet = CALM.raw(grey_reflectance(1.0)) * white * luminance * grain
    scene = place(scene, sheet, pose.to_pixels(SIZE, *size), 1)
    if light is not None:
        scene = scene * light[..., None]
    if bend:
        scene = cv2.remap(scene, *lens(bend), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    return decode_photo(shoot(CALM, scene, rng, quality=quality))


def lens(bend: float) -> tuple[Floats, Floats]:
    """Return where a lens that bends lines looks for each pixel, x and y (h, w)."""
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]].astype(np.float32)
    x, y = x / SIZE[0] * 2 - 1, (y - SIZE[1] / 2) / SIZE[0] * 2
    far = 1 + bend * (x**2 + y**2)
    return np.float32((x * far + 1) * SIZE[0] / 2), np.float32(y * far * SIZE[0] / 2 + SIZE[1] / 2)


def corners_of(pose: Pose, size: tuple[float, float], bend: float = 0.0) -> Floats:
    """Return where the corners of a sheet are seen (4, 2)."""
    to_pixels = pose.to_pixels(SIZE, *size)
    edges = np.array([[0, 0, 1], [size[0], 0, 1], [*size, 1], [0, size[1], 1]]) @ to_pixels.T
    drawn = edges[:, :2] / edges[:, 2:]
    if not bend:
        return np.asarray(drawn)
    x, y = lens(bend)
    found = [
        np.unravel_index(np.hypot(x + 0.5 - corner[0], y + 0.5 - corner[1]).argmin(), x.shape)
        for corner in drawn
    ]
    return np.array([[column + 0.5, row + 0.5] for row, column in found])


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize(("tilt", "turn"), [(0, 5), (20, 130), (35, 260)])
def test_a_sheet_of_a_known_size_is_found_where_it_lies(
    name: str, tilt: float, turn: float
) -> None:
    size = SHEETS[name]
    pose = replace(USUAL, tilt=tilt, turn=turn, share=0.06, x=0.3, y=0.35)
    sheet = find_sheet(on_cloth(size, pose=pose))
    assert sheet is not None
    assert sheet.is_sure
    for corner in corners_of(pose, size):
        assert np.linalg.norm(sheet.corners - corner, axis=1).min() < 2


def test_light_that_falls_off_does_not_hide_it() -> None:
    sheet = find_sheet(on_cloth(light=slope(SIZE, 0.3, 1.0)))
    assert sheet is not None
    assert sheet.is_sure


def half(angle: float, x: float, y: float) -> Floats:
    """Return 1 on this side of a line through a place in the picture and 0 beyond it (h, w)."""
    down, across = np.mgrid[0 : SIZE[1], 0 : SIZE[0]]
    turn = np.radians(angle)
    off = np.cos(turn) * (across - x * SIZE[0]) + np.sin(turn) * (down - y * SIZE[1])
    return np.asarray(1.0 * (off < 0))


def stripes(wide: float) -> Floats:
    return np.broadcast_to(1.0 * (np.arange(SIZE[0]) % (2 * wide) < wide), SIZE[::-1])


@pytest.mark.parametrize("angle", [0, 35, 100, 170])
def test_a_sheet_may_lie_across_the_edge_of_cloth_and_table(angle: float) -> None:
    """A boundary that passes under it is no reason to doubt a sheet."""
    under = np.where(half(angle, USUAL.x, USUAL.y) > 0, 1.0, 0.35)
    sheet = find_sheet(on_cloth(under=under))
    assert sheet is not None
    assert sheet.is_sure


@pytest.mark.parametrize("wide", [12, 45])
def test_stripes_beside_it_do_not_pass_for_its_edge(wide: float) -> None:
    sheet = find_sheet(on_cloth(under=np.where(stripes(wide) > 0, 1.0, 0.3)))
    assert sheet is not None
    assert sheet.is_sure
    for corner in corners_of(USUAL, SHEETS["a4"]):
        assert np.linalg.norm(sheet.corners - corner, axis=1).min() < 2


@pytest.mark.parametrize("bend", [-0.02, 0.02])
def test_a_lens_may_bend_its_sides(bend: float) -> None:
    """By 2 % at the middle of the picture's short sides; limits of phones from memory."""
    pose = replace(USUAL, share=0.12, x=0.35, y=0.4)
    sheet = find_sheet(on_cloth(pose=pose, bend=bend, quality=75))
    assert sheet is not None
    assert sheet.is_sure
    for corner in corners_of(pose, SHEETS["a4"], bend):
        assert np.linalg.norm(sheet.corners - corner, axis=1).min() < 3


def half_dark(size: tuple[float, float]) -> Floats:
    drawn = np.ones((round(size[1]), round(size[0]), 1))
    drawn[: len(drawn) // 2] *= 0.8
    return drawn


def framed(size: tuple[float, float]) -> Floats:
    drawn = np.ones((round(size[1]), round(size[0]), 1))
    drawn[40:-40, 40:-40] *= 0.87
    return drawn


def rounded(size: tuple[float, float], radius: float = 25) -> Floats:
    """The cloth shows through at the corners."""
    y, x = np.mgrid[0 : round(size[1]), 0 : round(size[0])]
    off_x = np.maximum(np.abs(x - size[0] / 2) - size[0] / 2 + radius, 0)
    off_y = np.maximum(np.abs(y - size[1] / 2) - size[1] / 2 + radius, 0)
    return np.where(np.hypot(off_x, off_y) <= radius, 1.0, 0.1)[..., None]


def woven(size: tuple[float, float]) -> Floats:
    """Light and dark by 2 % every few millimetres, as cloth is and paper is not."""
    fine = np.random.default_rng(6).normal(size=(round(size[1]), round(size[0])))
    soft = cv2.GaussianBlur(fine, (0, 0), 4)
    return np.asarray((1 + 0.02 * soft / soft.std())[..., None])


def neighbours() -> Floats:
    """Patches of four tones round the usual sheet, each as long as its side."""
    to_pixels = USUAL.to_pixels(SIZE, *SHEETS["a4"])
    wide, high = SHEETS["a4"]
    under = np.ones(SIZE[::-1])
    for tone, (x, y) in zip((0.2, 1.6, 0.5, 1.0), [(0, -1), (1, 0), (0, 1), (-1, 0)], strict=True):
        patch = np.array([[0, 0, 1], [wide, 0, 1], [wide, high, 1], [0, high, 1.0]])
        seen = (patch + [x * wide, y * high, 0]) @ to_pixels.T
        cv2.fillPoly(under, [np.rint(seen[:, :2] / seen[:, 2:]).astype(np.int32)], tone)
    return under


def others(count: int) -> Floats:
    """More of the same white in the picture, as tiles and fronts of cupboards are."""
    found = np.zeros(SIZE[::-1])
    for number in range(count):
        found[480:700, 40 + 230 * number : 220 + 230 * number] = 1
    return found


@pytest.mark.parametrize(
    "picture",
    [
        pytest.param(on_cloth(drawn=woven(SHEETS["a4"])), id="woven"),
        pytest.param(on_cloth(under=neighbours()), id="a patch of a block"),
        pytest.param(on_cloth(beside=others(4)), id="of many alike"),
        pytest.param(on_cloth((180, 180)), id="a square"),
        pytest.param(on_cloth((180, 220)), id="18 by 22"),
        pytest.param(on_cloth((100, 250)), id="a strip"),
        pytest.param(on_cloth(drawn=half_dark(SHEETS["a4"])), id="two tones"),
        pytest.param(on_cloth(drawn=framed(SHEETS["a4"])), id="a frame inside"),
        pytest.param(on_cloth(drawn=rounded(SHEETS["a4"])), id="round corners"),
        pytest.param(on_cloth(pose=replace(USUAL, x=0.02)), id="cut off by the picture's edge"),
        pytest.param(on_cloth(luminance=0.3, beside=np.eye(750, 1000, 400)), id="grey"),
        pytest.param(
            on_cloth(luminance=0.55, beside=(np.mgrid[0:750, 0:1000][1] > 700) * 1.0),
            id="something brighter beside it",
        ),
    ],
)
def test_what_is_no_sheet_is_never_measured_by(picture: Picture) -> None:
    appearance = read_picture(picture)
    assert appearance.reference == "none"
    assert appearance.uncertainty > 2


def test_what_may_be_paper_is_asked_about_until_the_person_says() -> None:
    picture = on_cloth((180, 180))
    asked = read_picture(picture)
    assert answer(picture) == "asked"
    assert asked.paper_asked is not None
    assert any("Is the bright sheet" in note for note in asked.notes)
    believed = read_picture(picture, marks=Marks(paper_corners=asked.paper_asked))
    assert believed.reference == "paper"
    assert believed.uncertainty < asked.uncertainty
    assert believed.paper_asked is None
    left = read_picture(picture, marks=Marks(ignore=("paper",)))
    assert left.paper_asked is None
    assert type(asked).from_dict(asked.to_dict()) == asked


def test_a_size_that_the_person_says_is_looked_for_instead() -> None:
    square = find_sheet(on_cloth((150, 150)), (150, 150))
    assert square is not None
    assert square.is_sure
    sheet = find_sheet(on_cloth(), (150, 150))
    assert sheet is None or not sheet.is_sure


def test_ordinary_pictures_are_left_alone_and_sheets_are_found() -> None:
    """A small draw of tests/benchmarks/colour/papers.py; of 8 at 90 % at least 5 are found."""
    told = ordinary_answers(22, seed=101)
    assert sum(found["read"] for found in told.values()) == 0
    sheets = sheet_answers(8, seed=102)["all"]
    assert sheets["read"] >= 5
