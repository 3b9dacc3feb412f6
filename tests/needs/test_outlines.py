"""Cut sizes against outlines moved out by the seam allowance, in floating point.

Source: geometry. Each finished shape's edges are moved out by s and intersected anew; this
shares nothing with the formulas under test.
"""

from decimal import Decimal
from math import cos, dist, hypot, pi, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.needs.sewing_rules import Sewing
from projects.needs.units.kinds import (
    corner_setting_triangles,
    eight_point_star,
    flying_geese_by_four,
    half_square_triangles,
    hexagon_size,
    quarter_square_triangles,
    side_setting_triangles,
    slanting_strip,
    triangle_side,
    triangles_per_strip,
)
from stash.lengths import CM, INCH

Point = tuple[float, float]
SEAMS = [INCH // 4, 6 * CM // 10, 3 * CM // 4]
FINISHED = [INCH, 3 * INCH, 12 * INCH]
ROUNDING = 3.0


def moved_out(corners: list[Point], seam: float) -> list[Point]:
    """Return the outline (counter-clockwise) with every edge moved out by the seam."""
    edges = list(zip(corners, corners[1:] + corners[:1], strict=True))
    lines = []
    for (x0, y0), (x1, y1) in edges:
        long = hypot(x1 - x0, y1 - y0)
        nx, ny = (y1 - y0) / long, (x0 - x1) / long
        lines.append((nx, ny, nx * x0 + ny * y0 + seam))
    outline = []
    for (a, b, c), (d, e, f) in zip(lines[-1:] + lines[:-1], lines, strict=True):
        det = a * e - b * d
        outline.append(((c * e - b * f) / det, (a * f - c * d) / det))
    return outline


def right_triangle(leg: float) -> list[Point]:
    return [(0, 0), (leg, 0), (0, leg)]


@pytest.mark.parametrize("seam", SEAMS)
@pytest.mark.parametrize("finished", FINISHED)
def test_right_triangles(finished: int, seam: int) -> None:
    exact = Sewing(seam=seam, rule="exact")
    by_leg = moved_out(right_triangle(finished), seam)
    leg = dist(by_leg[0], by_leg[1])
    assert half_square_triangles(finished, 2, sewing=exact).cuts[0].width == pytest.approx(
        leg, abs=ROUNDING
    )
    by_long_side = moved_out(right_triangle(finished / sqrt(2)), seam)
    long_side = dist(by_long_side[1], by_long_side[2])
    assert quarter_square_triangles(finished, 2, sewing=exact).cuts[0].width == pytest.approx(
        long_side, abs=ROUNDING
    )
    goose, sky = flying_geese_by_four(2 * finished, 4, sewing=exact).cuts
    goose_outline = moved_out(right_triangle(2 * finished / sqrt(2)), seam)
    assert goose.width == pytest.approx(dist(*goose_outline[1:]), abs=ROUNDING)
    assert sky.width == pytest.approx(leg, abs=ROUNDING)


@pytest.mark.parametrize("seam", SEAMS)
@pytest.mark.parametrize("block", FINISHED)
def test_setting_triangles(block: int, seam: int) -> None:
    exact = Sewing(seam=seam, rule="exact")
    side = moved_out(right_triangle(block), seam)
    corner = moved_out(right_triangle(block / sqrt(2)), seam)
    assert side_setting_triangles(block, 4, sewing=exact).cuts[0].width == pytest.approx(
        dist(side[1], side[2]), abs=ROUNDING
    )
    assert corner_setting_triangles(block, 2, sewing=exact).cuts[0].width == pytest.approx(
        dist(corner[0], corner[1]), abs=ROUNDING
    )


@pytest.mark.parametrize("seam", SEAMS)
@pytest.mark.parametrize(
    ("outline", "both_ends"),
    [
        ([(0, 0), (9, 0), (9, 2), (2, 2)], False),
        ([(0, 0), (9, 0), (7, 2), (2, 2)], True),  # the ends slant towards each other
        ([(0, 0), (7, 0), (9, 2), (2, 2)], True),  # they run alike
    ],
)
def test_strips_with_slanting_ends(outline: list[Point], both_ends: bool, seam: int) -> None:
    exact = Sewing(seam=seam, rule="exact")
    finished = [(x * INCH, y * INCH) for x, y in outline]
    out = moved_out(finished, seam)
    (cut,) = slanting_strip(2 * INCH, 9 * INCH, 1, both_ends=both_ends, sewing=exact).cuts
    along, high = zip(*out, strict=True)
    assert cut.length == pytest.approx(max(along) - min(along), abs=ROUNDING)
    assert cut.width == pytest.approx(max(high) - min(high), abs=ROUNDING)


@pytest.mark.parametrize("seam", SEAMS)
@pytest.mark.parametrize("finished", FINISHED)
def test_equilateral_triangles_and_hexagons(finished: int, seam: int) -> None:
    exact = Sewing(seam=seam, rule="exact")
    base = 2 * finished / sqrt(3)
    triangle = moved_out([(0, 0), (base, 0), (base / 2, finished)], seam)
    assert triangle_side(finished, sewing=exact) == pytest.approx(
        dist(triangle[0], triangle[1]), abs=ROUNDING
    )
    hexagon = moved_out(
        [(finished * cos(k * pi / 3), finished * sin(k * pi / 3)) for k in range(6)], seam
    )
    points, flats = hexagon_size(finished, sewing=exact)
    assert points == pytest.approx(dist(hexagon[0], hexagon[3]), abs=ROUNDING)
    assert flats == pytest.approx(
        max(y for _, y in hexagon) - min(y for _, y in hexagon), abs=ROUNDING
    )


@pytest.mark.parametrize("seam", SEAMS)
def test_star_diamonds(seam: int) -> None:
    exact = Sewing(seam=seam, rule="exact")
    side = 3 * INCH
    rise = side / sqrt(2)
    diamond = moved_out([(0, 0), (side, 0), (side + rise, rise), (rise, rise)], seam)
    strip = max(y for _, y in diamond) - min(y for _, y in diamond)
    run = max(x for x, _ in diamond) - min(x for x, _ in diamond)
    star = eight_point_star(side, 1, usable_width=round(run) + 20, sewing=exact)
    assert star.cuts[0].length == pytest.approx(strip, abs=ROUNDING)
    assert star.cuts[0].count == 8
    tight = eight_point_star(side, 1, usable_width=10 * round(run), sewing=exact)
    assert tight.cuts[0].width == pytest.approx(
        8 * dist(diamond[0], diamond[1]) + strip, abs=10 * ROUNDING
    )


@given(st.integers(INCH // 2, 20 * INCH), st.integers(21 * INCH, 120 * INCH))
def test_triangles_per_strip_is_the_exact_floor(height: int, usable_width: int) -> None:
    side = 2 * Decimal(height + 3 * INCH // 4) / Decimal(3).sqrt()
    expected = int(2 * Decimal(usable_width) / side) - 1
    assert triangles_per_strip(height, usable_width=usable_width) == max(0, expected)
