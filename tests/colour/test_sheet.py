import numpy as np
import pytest

from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.reading import read_picture
from stash.colour.references.correction import mm_per_pixel, project
from stash.colour.references.sheet import SHEETS, shape_misfit, sheet_scale
from tests.colour.rendering import Phone, cloth_reflectances, grey_reflectance
from tests.colour.scenes import Pose, place, shoot, texture

SIZE = (1200, 900)
BLANK = Picture(linear=np.full((900, 1200, 3), 0.3, np.float32), size=SIZE)


def marked(pose: Pose, size: tuple[float, float], told: tuple[float, float]) -> Marks:
    """Return marks on the corners of a sheet of this size that lies so, and the size told."""
    sheet = np.array([[0.0, 0], [size[0], 0], size, [0, size[1]]])
    seen = project(pose.to_pixels(SIZE, *size), sheet) / SIZE
    first, second, third, fourth = ((float(x), float(y)) for x, y in seen)
    return Marks(paper_corners=(first, second, third, fourth), paper_size=told)


@pytest.mark.parametrize("name", ["a4", "letter"])
@pytest.mark.parametrize(("tilt", "turn"), [(0, 0), (20, 100), (35, 30), (35, 250)])
def test_a_sheet_gives_scale_and_perspective_whichever_way_its_size_is_told(
    name: str, tilt: float, turn: float
) -> None:
    size = SHEETS[name]
    pose = Pose(share=0.12, x=0.5, y=0.5, tilt=tilt, axis=2 * turn, turn=turn)
    for told in (size, size[::-1]):
        to_mm, reason = sheet_scale(BLANK, marked(pose, size, told))
        assert to_mm is not None, reason
        true = pose.to_pixels(SIZE, *size)
        for place_mm in ([20.0, 20.0], [150.0, 200.0]):
            steps = np.array([place_mm, np.add(place_mm, [1, 0]), np.add(place_mm, [0, 1])])
            back = project(to_mm, project(true, steps))
            assert np.linalg.norm(back[1] - back[0]) == pytest.approx(1, abs=0.005)
            assert np.linalg.norm(back[2] - back[0]) == pytest.approx(1, abs=0.005)


def test_corners_are_those_of_a_size_only_before_a_camera_that_looks_at_it_from_above() -> None:
    """A square from the side has the sides of a long sheet; geometry."""
    sheet = np.array([[0.0, 0], [210, 0], [210, 297], [0, 297]])
    for tilt, is_like in ((0, True), (35, True), (60, False)):
        pose = Pose(share=0.1, x=0.45, y=0.5, tilt=tilt, axis=20, turn=30)
        seen = project(pose.to_pixels(SIZE, 210, 297), sheet)
        assert (shape_misfit(BLANK, seen, SHEETS["a4"]) < 0.01) == is_like
        assert shape_misfit(BLANK, seen, (210, 210)) > 0.05


def test_corners_two_pixels_off_keep_the_scale_within_two_percent() -> None:
    rng = np.random.default_rng(1)
    pose = Pose(share=0.12, x=0.5, y=0.5, tilt=20, axis=40)
    marks = marked(pose, SHEETS["a4"], SHEETS["a4"])
    assert marks.paper_corners is not None
    exact, _ = sheet_scale(BLANK, marks)
    for _ in range(20):
        off = np.array(marks.paper_corners) + rng.uniform(-2, 2, (4, 2)) / SIZE
        first, second, third, fourth = ((float(x), float(y)) for x, y in off)
        found, reason = sheet_scale(
            BLANK, Marks(paper_corners=(first, second, third, fourth), paper_size=SHEETS["a4"])
        )
        assert found is not None, reason
        assert exact is not None
        here = mm_per_pixel(found, 600, 450)
        assert here == pytest.approx(mm_per_pixel(exact, 600, 450), rel=0.02)


def test_corners_of_another_size_and_crossed_corners_are_told() -> None:
    pose = Pose(share=0.12, x=0.5, y=0.5)
    to_mm, reason = sheet_scale(BLANK, marked(pose, (200.0, 200.0), SHEETS["a4"]))
    assert to_mm is None
    assert "210 × 297" in reason[0]
    first, second, third, fourth = (0.2, 0.2), (0.5, 0.2), (0.5, 0.6), (0.2, 0.6)
    crossed = Marks(paper_corners=(first, third, second, fourth), paper_size=SHEETS["a4"])
    to_mm, reason = sheet_scale(BLANK, crossed)
    assert to_mm is None
    assert "cross" in reason[0]
    assert sheet_scale(BLANK, Marks()) == (None, ())


def test_a_sheet_gives_the_scale_even_where_it_is_overexposed() -> None:
    """Then it is no reference for light, but still as large as it is."""
    rng = np.random.default_rng(2)
    phone = Phone(headroom=2.0)
    pose, size = Pose(share=0.09, x=0.25, y=0.3, turn=8), SHEETS["a4"]
    scene = phone.raw(cloth_reflectances()[20])[None, None] * texture(rng, SIZE)[..., None] * 0.05
    sheet = phone.raw(grey_reflectance(0.85)) * np.ones((297, 210, 1))
    scene = place(scene, sheet, pose.to_pixels(SIZE, *size), 1)
    photo = decode_photo(shoot(phone, scene, rng))
    region = Region(x0=0.6, y0=0.2, x1=0.9, y1=0.9)
    appearance = read_picture(photo, region=region, marks=marked(pose, size, size))
    assert appearance.is_estimate
    assert any("overexposed" in note for note in appearance.notes)
    pixels = np.sqrt(abs(np.linalg.det(pose.to_pixels(SIZE, *size)[:2, :2])))
    assert appearance.mm_per_pixel == pytest.approx(1 / pixels, rel=0.01)
