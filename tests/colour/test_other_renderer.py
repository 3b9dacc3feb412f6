"""The second renderer tells the truth about itself, and its judge can say no."""

from dataclasses import replace

import numpy as np

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
