"""Bias from squares, against polygons that are cut, sewn and measured (geometry)."""

from __future__ import annotations

import random
from math import sqrt

import pytest

from projects.needs.finishing.bias import BiasWay, bias_from, least_square
from projects.needs.finishing.bias_binding import bias_binding
from projects.needs.sewing_rules import Sewing
from stash.lengths import INCH, MM

CASES = 120


Point = tuple[float, float]
#: What lies on the side of a line where a x + b y <= c.
Side = tuple[float, float, float]


def cut(shape: list[Point], *sides: Side) -> list[Point]:
    """A convex shape cut at lines; what lies on their far sides is gone."""
    for a, b, c in sides:
        kept: list[Point] = []
        for (x, y), (u, v) in zip(shape, [*shape[1:], *shape[:1]], strict=True):
            here, there = a * x + b * y - c, a * u + b * v - c
            if here <= 0:
                kept.append((x, y))
            if here * there < 0:
                share = here / (here - there)
                kept.append((x + share * (u - x), y + share * (v - y)))
        shape = kept
    return shape


def area(shape: list[Point]) -> float:
    turns = zip(shape, [*shape[1:], *shape[:1]], strict=True)
    return abs(sum(x * v - u * y for (x, y), (u, v) in turns)) / 2


def band(low: float, high: float) -> tuple[Side, Side]:
    """Between two lines along the bias, where x - y is from low to high."""
    return (-1, 1, -low), (1, -1, high)


def strips_by_polygons(side: float, strip: float, seam: float, least: float) -> float:
    """Strips of a square along its diagonal: each sewn end lies a seam inside the square's edge."""
    low, high = seam, side - seam
    sewn = [(low, low), (high, low), (high, high), (low, high)]
    total, number = 0.0, 0
    while True:
        near, far = number * strip * sqrt(2), (number + 1) * strip * sqrt(2)
        # The short edge of the strip, measured along its line.
        if (side - far) * sqrt(2) < max(least, 2 * seam * sqrt(2)):
            break
        total += area(cut(sewn, *band(near, far))) / strip
        total += area(cut(sewn, *band(-far, -near))) / strip
        number += 1
    # The two outer ends are not sewn, and are cut square.
    return total + 2 * seam * sqrt(2) - strip if number else 0.0


def tube_by_polygons(side: float, strip: float, seam: float) -> float:
    """Two triangles sewn to a slanted band, then its straight edges with an offset of a line."""
    below: list[Point] = [(0, 0), (side, 0), (side, side)]
    above: list[Point] = [(0, 0), (side, side), (0, side)]
    # The right edge of one on the left edge of the other, each a seam inside; then the edges.
    moved = [(x + side - 2 * seam, y) for x, y in above]
    edges: tuple[Side, Side] = ((0, -1, -seam), (0, 1, side - seam))
    cloth = [cut(below, (1, 0, side - seam), *edges), cut(moved, (-1, 0, seam - side), *edges)]
    whole = (side - 2 * seam) * sqrt(2) * strip
    total, number = 0.0, 0
    while True:
        line = band(number * strip * sqrt(2), (number + 1) * strip * sqrt(2))
        here = sum(area(cut(half, *line)) for half in cloth if half)
        if here < whole - 1e-6:
            return max(0.0, total - strip)
        total += here / strip
        number += 1


def exactly(side: int, strip: int, way: BiasWay, seam: int, least: int) -> float:
    given = bias_from(side, strip, way=way, least=least, sewing=Sewing(seam=seam))
    return given / INCH


@pytest.mark.parametrize("way", ["strips", "tube"])
def test_bias_is_what_polygons_give(way: BiasWay) -> None:
    chance = random.Random(f"{way}")
    for _ in range(CASES):
        side = chance.randint(6 * 8, 45 * 8) * INCH // 8
        strip = chance.randint(8, 28) * INCH // 8
        seam = chance.choice((INCH // 4, 6 * MM, INCH // 8))
        least = chance.choice((0, 4, 12)) * INCH
        given = [length / INCH for length in (side, strip, seam, least)]
        if way == "strips":
            other = strips_by_polygons(*given)
        else:
            other = tube_by_polygons(*given[:3])
        assert exactly(side, strip, way, seam, least) == pytest.approx(max(0, other), abs=1e-3)


@pytest.mark.parametrize("way", ["strips", "tube"])
@pytest.mark.parametrize("squares", [1, 2])
def test_the_least_square_gives_it_and_one_mark_less_does_not(way: BiasWay, squares: int) -> None:
    chance = random.Random(f"{way} {squares}")
    for _ in range(CASES // 2):
        total, strip = chance.randint(50, 900) * INCH, chance.randint(8, 28) * INCH // 8
        given = {"way": way, "squares": squares, "least": 12 * INCH if way == "strips" else 0}
        side = least_square(total, strip, sewing=Sewing(ruler=INCH // 8), **given)
        assert side % (INCH // 8) == 0
        assert bias_from(side, strip, **given) >= total
        assert bias_from(side - INCH // 8, strip, **given) < total


def test_a_square_by_area_and_an_inch_often_falls_short_as_a_tube() -> None:
    """290 in of 2 1/2 in: by area 27 in, and an inch more; a tube of that gives under 270 in."""
    assert bias_from(28 * INCH, 5 * INCH // 2, way="tube") // INCH == 269


@pytest.mark.parametrize(
    ("width", "way", "told"),
    [
        (42, "strips", "As one tube a square of 28 13/16 in would do."),
        (29, "strips", "As one tube 2 squares of 21 1/4 in would do."),
        (29, "tube", "As separate strips a square of 29 3/4 in would be wider than the fabric."),
    ],
)
def test_the_other_way_is_offered_only_where_the_fabric_holds_it(
    width: int, way: BiasWay, told: str
) -> None:
    """The sides are those of the exact squares above; own reckoning."""
    found = bias_binding(60 * INCH, 80 * INCH, usable_width=width * INCH, way=way)
    assert found.assumptions[-1] == told
