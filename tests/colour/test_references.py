import cv2
import numpy as np
import pytest

from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.reading import read_picture
from stash.colour.references.chart_colours import chart_xyz
from stash.colour.references.science import colour_science
from stash.colour.spaces.cielab import xyz_to_lab
from stash.colour.spaces.difference import delta_e_2000
from tests.colour.rendering import (
    Floats,
    Phone,
    cloth_reflectances,
    grey_reflectance,
    random_phone,
    true_lab,
)
from tests.colour.scenes import CHART_HEIGHT, CHART_WIDTH, Pose, chart_scene, place, shoot, texture

SIZE = (1000, 750)
CLOTH = cloth_reflectances()
CALM = Phone(light="LED-B3", contrast=2.0)


def sheet_scene(
    rng: np.random.Generator, *, luminance: float, cloth: Floats, phone: Phone
) -> bytes:
    """Return a photo of cloth with a plain sheet of this luminance, 210 x 148 mm, upper left."""
    scene = phone.raw(cloth)[None, None] * texture(rng, SIZE)[..., None]
    sheet = phone.raw(grey_reflectance(luminance)) * np.ones((148, 210, 1))
    pose = Pose(share=0.09, x=0.23, y=0.25, turn=8)
    return shoot(phone, place(scene, sheet, pose.to_pixels(SIZE, 210, 148), 1), rng)


def test_patches_of_the_chart_agree_with_published_values() -> None:
    """Source: the averaged chart coordinates in colour-science, given there for D50."""
    colour = colour_science()
    published = colour.CCS_COLOURCHECKERS["BabelColor Average"]
    xyz_d50 = colour.xyY_to_XYZ(list(published.data.values()))
    adapted = colour.chromatic_adaptation(
        xyz_d50, colour.xy_to_XYZ(published.illuminant), colour.xy_to_XYZ([0.3127, 0.3290])
    )
    difference = delta_e_2000(xyz_to_lab(chart_xyz()), xyz_to_lab(adapted))
    # Adaptation is an approximation of the other light, worst for the saturated patches.
    assert np.median(difference) < 0.7
    assert difference.max() < 4


@pytest.mark.parametrize("turn", [0, 95, 180])
def test_a_chart_is_found_and_measures(turn: float) -> None:
    rng = np.random.default_rng(1)
    errors = []
    for number in (12, 150, 230):
        pose = Pose(share=0.2, tilt=12, axis=50, turn=turn, x=0.4, y=0.45)
        photo = chart_scene(rng, phone=CALM, cloth=CLOTH[number], pose=pose, size=SIZE)
        appearance = read_picture(
            decode_photo(photo), region=Region(x0=0.85, y0=0.1, x1=0.98, y1=0.9)
        )
        assert appearance.reference == "colour chart"
        errors.append(abs(appearance.far[0] - true_lab(CLOTH[number])[0]))
    assert np.mean(errors) < 1.2


def test_four_tapped_corners_stand_in_for_the_finder() -> None:
    rng = np.random.default_rng(2)
    pose = Pose(share=0.15, turn=20, x=0.4, y=0.45)
    photo = chart_scene(rng, phone=CALM, cloth=CLOTH[60], pose=pose, size=SIZE)
    to_pixels = pose.to_pixels(SIZE, CHART_WIDTH, CHART_HEIGHT)
    grid = np.array([[[5.5, 5.5], [199.5, 5.5], [199.5, 133.5], [5.5, 133.5]]])
    tapped = cv2.perspectiveTransform(grid, to_pixels)[0] / SIZE
    corners = tuple((float(x), float(y)) for x, y in tapped)
    appearance = read_picture(decode_photo(photo), marks=Marks(chart_corners=corners))
    assert appearance.reference == "colour chart"
    upside_down = corners[2:] + corners[:2]
    again = read_picture(decode_photo(photo), marks=Marks(chart_corners=upside_down))
    assert float(delta_e_2000(appearance.far, again.far)) < 0.5


def test_wrong_corners_are_told_and_fall_back() -> None:
    rng = np.random.default_rng(3)
    photo = chart_scene(rng, phone=CALM, cloth=CLOTH[60], pose=Pose(share=0.15), size=SIZE)
    corners = ((0.6, 0.6), (0.9, 0.6), (0.9, 0.9), (0.6, 0.9))
    appearance = read_picture(decode_photo(photo), marks=Marks(chart_corners=corners))
    assert appearance.reference != "colour chart"
    assert any("corners" in note for note in appearance.notes)


def test_white_paper_is_suggested_and_said() -> None:
    rng = np.random.default_rng(4)
    cloth = CLOTH[20]
    photo = sheet_scene(rng, luminance=0.85, cloth=cloth, phone=CALM)
    appearance = read_picture(decode_photo(photo))
    assert appearance.reference == "paper"
    assert any("white paper" in note for note in appearance.notes)
    assert abs(appearance.far[0] - true_lab(cloth)[0]) < 6


def test_a_tapped_grey_card_is_believed() -> None:
    rng = np.random.default_rng(5)
    errors = []
    for number in (20, 100, 200):
        photo = sheet_scene(rng, luminance=0.18, cloth=CLOTH[number], phone=random_phone(rng))
        appearance = read_picture(decode_photo(photo), marks=Marks(grey_point=(0.23, 0.25)))
        assert appearance.reference == "grey card"
        errors.append(abs(appearance.far[0] - true_lab(CLOTH[number])[0]))
    assert np.mean(errors) < 4


def test_a_sheet_of_known_size_gives_the_scale() -> None:
    rng = np.random.default_rng(6)
    photo = sheet_scene(rng, luminance=0.85, cloth=CLOTH[20], phone=CALM)
    to_pixels = Pose(share=0.09, x=0.23, y=0.25, turn=8).to_pixels(SIZE, 210, 148)
    sheet = np.array([[[0.0, 0], [210, 0], [210, 148], [0, 148]]])
    corners = tuple(
        (float(x), float(y)) for x, y in cv2.perspectiveTransform(sheet, to_pixels)[0] / SIZE
    )
    marks = Marks(paper_corners=corners, paper_size=(210, 148))
    appearance = read_picture(decode_photo(photo), marks=marks)
    assert appearance.reference == "paper"
    pixel = 1 / np.sqrt(abs(np.linalg.det(to_pixels[:2, :2])))
    assert appearance.mm_per_pixel == pytest.approx(pixel, rel=0.01)


def test_cloth_that_fills_the_picture_is_no_paper() -> None:
    rng = np.random.default_rng(7)
    scene = CALM.raw(grey_reflectance(0.8)) * texture(rng, SIZE)[..., None]
    appearance = read_picture(decode_photo(shoot(CALM, scene, rng)))
    assert appearance.reference == "none"


def picture_of(linear: Floats) -> Picture:
    return Picture(linear=linear.astype(np.float32), size=(linear.shape[1], linear.shape[0]))


def test_black_and_white_pictures_and_blur_are_told() -> None:
    rng = np.random.default_rng(8)
    grey = np.repeat(rng.uniform(0.05, 0.9, (30, 40, 1)), 3, axis=2)
    sharp = np.kron(grey, np.ones((20, 20, 1)))
    notes = read_picture(picture_of(sharp)).notes
    assert any("black and white" in note for note in notes)
    assert not any("blurred" in note for note in notes)
    soft = cv2.GaussianBlur(sharp, (0, 0), 18)
    assert any("blurred" in note for note in read_picture(picture_of(soft)).notes)


def test_the_usual_reading_does_not_load_the_colour_library() -> None:
    import subprocess
    import sys

    code = (
        "import sys, numpy as np; from stash.colour.picture.upright import Picture;"
        "from stash.colour.reading import read_picture;"
        "read_picture(Picture(linear=np.full((90, 120, 3), .3, np.float32), size=(120, 90)));"
        "sys.exit('colour' in sys.modules or 'django' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
