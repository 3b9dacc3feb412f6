"""The second renderer tells the truth about itself, and its judge can say no."""

import warnings
from dataclasses import replace

import cv2
import numpy as np
import pytest

from stash.colour.picture.photo import decode_photo
from stash.colour.spaces.srgb import P3_TO_XYZ
from tests.benchmarks.colour.other import rooms
from tests.benchmarks.colour.other.cameras import Camera, take
from tests.benchmarks.colour.other.cloths import random_surface
from tests.benchmarks.colour.other.conditions import CONDITIONS, plan_of
from tests.benchmarks.colour.other.draped import draped_scene
from tests.benchmarks.colour.other.judge import FIRST, outcome_of
from tests.benchmarks.colour.other.judging import INFORMATIVE, Outcome, row_of
from tests.benchmarks.colour.other.local_curves import bilateral, local_laplacian
from tests.benchmarks.colour.other.printed import (
    PER_MM,
    Drawing,
    Press,
    coverage_of,
    spread_in_paper,
    yule_nielsen,
)
from tests.benchmarks.colour.other.scenes import (
    CARD,
    CLOTH,
    OTHER,
    Lamp,
    Scene,
    Thing,
    look_at,
    placed,
    render,
)
from tests.benchmarks.colour.other.sheets import CHART, chart_surface
from tests.benchmarks.colour.other.shots import scene_of
from tests.benchmarks.colour.other.spectra import (
    XYZ_TO_SRGB,
    Sensor,
    lab,
    light,
    observer,
    science,
    xyz,
)

GOOD = Outcome(
    condition="plain curve",
    found=True,
    reference="photo card",
    true_l=50.0,
    read_l=51.0,
    half_width=2.0,
    notes=INFORMATIVE,
    clean=1.0,
    colour_error=1.0,
)


def test_yule_nielsen_of_1_is_murray_davies():
    """R = a Rs + (1 - a) Rp (Murray and Davies 1936)."""
    coverage = np.linspace(0, 1, 11)
    solid, paper = np.float64(0.04), np.float64(0.86)
    assert np.allclose(
        yule_nielsen(coverage, solid, paper, 1.0), coverage * solid + (1 - coverage) * paper
    )
    assert (yule_nielsen(coverage, solid, paper, 2.0)[1:-1] < 0.9 * coverage[::-1][1:-1]).all()


def test_every_line_is_widened_by_the_same_amount():
    """Coverage of a screen grows by widening / pitch, also where one dot lies between two lines."""
    for pitch in (4, 8):  # dots
        for covered in (1, 2, 3):
            step = pitch / PER_MM
            lines = tuple((0, i * step, 9, i * step + covered / 4 * step) for i in range(40))
            drawing = Drawing(width=9, height=40 * step, black=lines)
            press = Press(density=np.full(31, 1.4), paper=np.full(31, 0.85), widening=0.02)
            middle = coverage_of(drawing, press)[5 * pitch : -5 * pitch, 50:-50]
            assert abs(middle.mean() - covered / 4 - 0.02 / step) < 0.002


def test_light_in_paper_spreads_as_published():
    """(1 + (2 pi d f)^2)^(-3/2) of a line screen's contrast is left (Inoue and others 1997)."""
    x = np.arange(480)
    for period, depth in ((12, 1.2), (8, 1.2), (24, 2.4)):
        wave = np.tile(0.5 + 0.5 * np.cos(2 * np.pi * x / period), (64, 1)).astype(np.float32)
        left = np.ptp(spread_in_paper(wave, depth)[32, 120:360])
        wanted = (1 + (2 * np.pi * depth / period) ** 2) ** -1.5
        assert abs(left - wanted) < 0.03


def test_local_laplacian_of_slope_1_changes_nothing():
    rng = np.random.default_rng(3)
    plane = np.cumsum(rng.normal(0, 0.2, (96, 128)), axis=1).astype(np.float32)
    assert np.abs(local_laplacian(plane, 1.0, 1.0, 1.0) - plane).max() < 1e-3
    squeezed = local_laplacian(plane, 0.4, 1.0, 0.3)
    assert np.ptp(squeezed) < 0.8 * np.ptp(plane)


def test_bilateral_keeps_an_edge_and_smooths_grain():
    rng = np.random.default_rng(3)
    plane = np.where(np.arange(128) < 64, -3.0, 0.0) + rng.normal(0, 0.1, (96, 128))
    base = bilateral(plane.astype(np.float32), 8, 1.2)
    assert np.ptp(base[:, 62:66].mean(axis=0)) > 2.4
    assert base[:, :40].std() < 0.05


def test_a_wrong_interval_is_called_wrong():
    wrong = replace(GOOD, read_l=55.0)
    warned = replace(wrong, notes=("The picture is blurred.",))
    row = row_of("all", [GOOD, wrong, warned, replace(GOOD, read_l=52.5)])
    assert row.inside == 0.25
    assert row.silent == 0.25  # 2.5 is outside, but within one and a half half widths
    assert row_of("all", [GOOD]).inside == 1
    assert row_of("all", [GOOD]).silent == 0


class Eye(Sensor):
    """A sensor that sees as the CIE 1931 observer."""

    def matrix(self, source):
        """Return the exact way to linear sRGB."""
        return XYZ_TO_SRGB * (np.linalg.inv(XYZ_TO_SRGB) @ np.ones(3))


def test_a_perfect_camera_shows_a_chart_as_colour_science_computes_it():
    """CIEDE2000 0.5 on average after light, lens, curve, 8 bits and JPEG.

    Reference: colour-science, XYZ of the same measured reflectances under D65.
    """
    colour = science()
    rng = np.random.default_rng(1)
    chart = Thing(chart_surface(rng), placed(0, 0, 0, (CHART[0] / 2, CHART[1] / 2)), CARD)
    pose = look_at((0, 0), 2.6, size=(800, 600), tilt=0.2, towards=0.5, turn=0.1)
    scene = Scene((chart,), pose, (Lamp(light("D65"), np.zeros(2)),))
    camera = Camera(
        sensor=Eye("eye", observer()),
        matrix_light=light("D65"),
        balance=np.ones(3),
        flare=0,
        shot=0,
        read=0,
        sharpening=(0, 1),
        quality=98,
    )
    rendered = render(scene, camera.sensor)
    picture = decode_photo(take(rendered, camera, rng))
    seen = []
    for patch in range(24):
        at = np.array([[(patch % 6 - 2.5) * 33.6, (patch // 6 - 1.5) * 33.6]])
        x, y = np.rint(pose.pixels(at)[0]).astype(int)
        seen.append(picture.linear[y - 8 : y + 9, x - 8 : x + 9].mean(axis=(0, 1)) @ P3_TO_XYZ.T)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that it interpolates
        wanted = np.stack(
            [
                colour.sd_to_XYZ(sd, illuminant=colour.SDS_ILLUMINANTS["D65"]) / 100
                for sd in colour.SDS_COLOURCHECKERS["cc_ohta"].values()
            ]
        )
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    gains = wanted[18:24, 1] / np.array(seen)[18:24, 1]
    assert np.ptp(gains) / gains.mean() < 0.03  # the exposure, the same for all greys
    both = [colour.XYZ_to_Lab(seen_xyz, white) for seen_xyz in (wanted, np.array(seen) * gains[1])]
    worst = colour.difference.delta_E_CIE2000(*both)
    shown = np.delete(worst, 17)  # 17, cyan, lies outside sRGB
    assert shown.mean() < 0.5
    assert shown.max() < 2.0  # 8 bits and JPEG round a dark grey by one code


def test_cloth_is_seen_through_the_holes_of_another_edition():
    plan = replace(
        plan_of("plain curve", np.random.default_rng(4)), things=0, on_cloth=True, size=(800, 600)
    )
    drawing = Drawing(width=180, height=120, black=((5, 5, 20, 20),), holes=((60, 40, 120, 80),))
    scene = scene_of(plan, drawing, np.random.default_rng(4))
    kinds = render(scene, plan.camera.sensor).kinds
    for at, kind in (((0, 0), CLOTH), ((-70, 0), CARD), ((40, 0), CARD), ((20, 10), CLOTH)):
        x, y = (scene.pose.pixels(np.array([at]))[0] / 2).astype(int)
        assert kinds[y, x] == kind


@pytest.mark.parametrize("condition", ["plain curve", "far and tilted"])
def test_the_card_is_found(condition):
    outcome = outcome_of(condition, 0, seed=9, card=FIRST)
    assert outcome.found
    assert 0 < outcome.true_l < 100


def test_every_condition_changes_the_plan():
    plain = plan_of("plain curve", np.random.default_rng(2))
    for name in CONDITIONS:
        plan = plan_of(name, np.random.default_rng(2))
        assert plan is not plain
        assert 0.1 < plan.share < 0.6


def test_fingers_and_selvage_are_no_cloth():
    for way in ("fingered", "selvage"):
        plan, scene = draped_scene(way, np.random.default_rng(3))
        kinds = render(scene, plan.camera.sensor).kinds
        assert (kinds == OTHER).mean() > 0.005
        assert (kinds == CLOTH).mean() > 0.1


def test_dark_cloth_is_dark_and_light_cloth_light():
    for tone, low, high in (("dark", 5, 32), ("light", 81, 99)):
        for seed in range(8):
            surface = random_surface(np.random.default_rng(seed), (40, 40), "checks", 2.0, tone)
            lightness = lab(xyz(surface.shares))[:, 0]
            assert ((lightness > low) & (lightness < high)).all()


def test_rooms_differ():
    looks = [
        cv2.resize(kind(np.random.default_rng(5)), (8, 6), interpolation=cv2.INTER_AREA)
        for kind in rooms.KINDS[:6]
    ]
    for index, look in enumerate(looks):
        assert all(np.abs(look - other).mean() > 0.01 for other in looks[:index])
