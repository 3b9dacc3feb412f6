"""The colour chart as reference: found or told, evened, and with an interval from the photo."""

import cv2
import numpy as np
import pytest

from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.region import Region
from stash.colour.reading import read_picture
from stash.colour.references.chart import find_chart, read_chart
from stash.colour.references.chart_colours import chart_xyz
from stash.colour.references.chart_fit import ChartFit, fit_chart
from stash.colour.spaces.cielab import lightness
from stash.colour.spaces.srgb import SRGB_TO_XYZ, decode_srgb, encode_srgb
from tests.benchmarks.colour.chart_forms import JUDGING
from tests.benchmarks.colour.chart_forms import take as photograph
from tests.benchmarks.colour.chart_found import KINDS, charted, chartless, lies_at
from tests.benchmarks.colour.charts import judged
from tests.colour.rendering import Floats, Phone, cloth_reflectances, grey_reflectance, true_lab
from tests.colour.scenes import (
    CHART_HEIGHT,
    CHART_WIDTH,
    Pose,
    chart_scene,
    drawn_chart,
    place,
    shoot,
    texture,
)

SIZE = (1000, 750)
CLOTH = cloth_reflectances()
CALM = Phone(light="LED-B3", contrast=2.0)
ROW, COLUMN = np.divmod(np.arange(24), 6)
STEPS = np.stack([(COLUMN - 2.5) / 9, (ROW - 1.5) / 9], axis=1)


def published(plane: tuple[float, float] = (0.0, 0.0), *, curve: float = 1.0) -> Floats:
    """Return linear sRGB of the published colours in light that falls off, by a power of codes.

    Source: the measured reflectances in colour-science, by way of ``chart_xyz``, which
    test_references checks against the coordinates published for D50.
    """
    linear = chart_xyz() @ np.linalg.inv(SRGB_TO_XYZ).T * 0.8
    lit = np.clip(linear * np.exp(STEPS @ np.array(plane))[:, None], 0, 1)
    return decode_srgb(encode_srgb(lit) ** curve)


def test_light_that_falls_off_over_the_chart_is_told_from_its_colours() -> None:
    even = fit_chart(published(), STEPS)
    assert np.abs(even.light).max() < 0.03
    for plane in ((0.5, 0.0), (-0.3, 0.4), (0.0, -0.6)):
        fit = fit_chart(published(plane, curve=1.1), STEPS)
        assert np.abs(fit.light - STEPS @ np.array(plane)).max() < 0.05, plane
        assert fit.misfit < 1.5, plane


def test_uneven_light_no_longer_spoils_the_cloth() -> None:
    """Source of the truth: a measured reflectance in colour-science, in D65."""
    rng = np.random.default_rng(11)
    width, height = SIZE
    x, y = np.meshgrid(np.arange(width) / width, np.arange(height) / width)
    labels, reflectances = drawn_chart()
    pose = Pose(share=0.12, turn=-6, x=0.3, y=0.5)
    off = []
    for direction in (0.0, 2.0, 4.0):
        light = np.exp(0.5 * (np.cos(direction) * (x - 0.3) + np.sin(direction) * (y - 0.37)))
        scene = CALM.raw(CLOTH[60])[None, None] * texture(rng, SIZE)[..., None]
        to_pixels = pose.to_pixels(SIZE, CHART_WIDTH, CHART_HEIGHT)
        scene = place(scene, CALM.raw(reflectances)[labels], to_pixels, 4) * light[..., None]
        appearance = read_picture(
            decode_photo(shoot(CALM, scene, rng)), region=Region(x0=0.7, y0=0.3, x1=0.95, y1=0.7)
        )
        assert appearance.reference == "colour chart"
        off.append(abs(appearance.far[0] - true_lab(CLOTH[60])[0]))
    assert max(off) < 2.5, off


def test_a_patch_is_judged_by_the_others() -> None:
    """A patch that is made 10 L* lighter than published is told to be about that far off."""
    patches = published(curve=1.1)
    dirty = patches.copy()
    luminance = patches[14] @ SRGB_TO_XYZ[1] / 0.8
    lighter = ((lightness(luminance) + 10 + 16) / 116) ** 3
    dirty[14] *= float(lighter / luminance)
    off = fit_chart(dirty, STEPS).left_out
    assert off[14] == pytest.approx(10, abs=3)
    assert np.abs(np.delete(off, 14)).max() < 0.6 * off[14]


def half_widths(fit: ChartFit, *seen: tuple[float, float, float]) -> list[float]:
    return [fit.half_width(np.array(pixel)) for pixel in seen]


def test_the_interval_widens_beyond_the_patches() -> None:
    fit = fit_chart(published(curve=1.1), STEPS)
    grey, black, red = half_widths(fit, (0.2, 0.2, 0.2), (0.002,) * 3, (0.6, 0.0, 0.02))
    assert black > 1.3 * grey
    assert red > 1.3 * grey


def test_the_interval_widens_with_patches_that_contradict_each_other() -> None:
    rng = np.random.default_rng(4)
    calm = fit_chart(published(), STEPS)
    torn = fit_chart(published() * np.exp(rng.normal(0, 0.15, (24, 1))), STEPS)
    seen = (0.2, 0.2, 0.2)
    assert half_widths(torn, seen)[0] > 1.8 * half_widths(calm, seen)[0]
    assert torn.at_odds > 3 * calm.at_odds


def test_cloth_far_from_the_chart_is_less_certain() -> None:
    rng = np.random.default_rng(12)
    pose = Pose(share=0.06, x=0.2, y=0.3)
    photo = chart_scene(rng, phone=CALM, cloth=CLOTH[60], pose=pose, size=SIZE)
    picture = decode_photo(photo)
    near, far = (
        read_picture(picture, region=Region(x0=x, y0=y, x1=x + 0.04, y1=y + 0.04)).uncertainty
        for x, y in ((0.38, 0.3), (0.95, 0.95))
    )
    assert far > 1.2 * near


def test_the_interval_holds_on_phones_that_no_number_was_fitted_to() -> None:
    """Source of the truth: measured reflectances in colour-science; at most 1 in 9 unwarned."""
    rng = np.random.default_rng(13)
    photos = [judged(photograph(form, rng)) for form in JUDGING.values() for _ in range(3)]
    assert not [photo for photo in photos if photo.end == "missed"]
    silent = [
        photo for photo in photos if abs(photo.off) > 1.5 * photo.half and photo.end == "read"
    ]
    assert len(silent) <= 1, silent


def test_charts_in_any_pose_are_found() -> None:
    rng = np.random.default_rng(14)
    for number in range(6):
        taken, pose = charted(rng, number)
        corners = find_chart(decode_photo(taken.data))
        assert corners is not None, pose
        assert lies_at(corners, taken), pose


@pytest.mark.parametrize("kind", KINDS)
def test_patchwork_and_prints_are_no_chart(kind: str) -> None:
    rng = np.random.default_rng(15)
    for _ in range(3):
        assert find_chart(decode_photo(chartless(kind, rng))) is None


def test_an_overexposed_chart_is_told_without_a_mark() -> None:
    rng = np.random.default_rng(16)
    bright = Phone(light="LED-B3", contrast=2.0, headroom=3.0)
    pose = Pose(share=0.1, x=0.3, y=0.5)
    photo = chart_scene(rng, phone=bright, cloth=grey_reflectance(0.05), pose=pose, size=SIZE)
    appearance = read_picture(decode_photo(photo))
    assert appearance.reference != "colour chart"
    assert any("seems to lie in the picture" in note for note in appearance.notes)
    assert any("overexposed" in note for note in appearance.notes)
    told = read_picture(decode_photo(photo), marks=Marks(ignore=("colour chart",)))
    assert not any("chart" in note for note in told.notes)


def test_a_chart_cut_off_by_the_edge_is_told() -> None:
    rng = np.random.default_rng(17)
    pose = Pose(share=0.15, x=0.15, y=0.5, turn=3)
    photo = chart_scene(rng, phone=CALM, cloth=CLOTH[60], pose=pose, size=SIZE)
    appearance = read_picture(decode_photo(photo))
    assert appearance.reference != "colour chart"
    assert any("reaches out of the picture" in note for note in appearance.notes)


def test_a_shadow_across_the_chart_is_told() -> None:
    rng = np.random.default_rng(18)
    pose = Pose(share=0.15, x=0.4, y=0.5)
    labels, reflectances = drawn_chart()
    scene = CALM.raw(CLOTH[60])[None, None] * texture(rng, SIZE)[..., None]
    to_pixels = pose.to_pixels(SIZE, CHART_WIDTH, CHART_HEIGHT)
    scene = place(scene, CALM.raw(reflectances)[labels], to_pixels, 4)
    scene[:, : round(0.4 * SIZE[0])] *= 0.4
    picture = decode_photo(shoot(CALM, scene, rng))
    corners = cv2.perspectiveTransform(
        np.array([[[5.5, 5.5], [199.5, 5.5], [199.5, 133.5], [5.5, 133.5]]]), to_pixels
    )[0]
    correction, notes = read_chart(picture, corners)
    assert notes
    assert correction is None or correction.uncertainty > 0.5
