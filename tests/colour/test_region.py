"""The part of a picture that is cloth: rectangles as ever, and outlines with any corners.

What is a simple polygon: OGC 06-103r4, 6.1.11, tried here in exact fractions. Areas and places
inside: OpenCV.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import cv2
import numpy as np
import pytest

from stash.colour.appearance import Appearance
from stash.colour.cloth.surroundings import lies_in_other_light
from stash.colour.picture.outline import why_no_outline
from stash.colour.picture.rectangles import largest_inside, largest_rectangle
from stash.colour.picture.region import Region, RegionError
from stash.colour.picture.upright import Picture
from stash.colour.print_likeness import print_gradients
from stash.colour.reading import read_picture, read_with
from stash.colour.references.correction import Correction, always

DIAMOND = ((0.5, 0.1), (0.9, 0.5), (0.5, 0.9), (0.1, 0.5))


def random_outlines(count: int, corners: int) -> list[tuple[tuple[float, float], ...]]:
    """Corners on a coarse grid, so that sides also touch and lie on one another."""
    rng = np.random.default_rng(corners)
    return [
        tuple((x / 8, y / 8) for x, y in rng.integers(0, 9, (corners, 2)).tolist())
        for _ in range(count)
    ]


def is_simple(outline: tuple[tuple[float, float], ...]) -> bool:
    """Whether no two sides share a point, but neighbours their corner; in exact fractions."""
    corners = [(Fraction(x), Fraction(y)) for x, y in outline]
    sides = list(zip(corners, corners[1:] + corners[:1], strict=True))
    if any(start == end for start, end in sides):
        return False
    for i, (p, p1) in enumerate(sides):
        for j, (q, q1) in enumerate(sides[:i]):
            allowed = {p, p1} & {q, q1} if (i - j) % len(sides) in (1, len(sides) - 1) else set()
            r, s = (p1[0] - p[0], p1[1] - p[1]), (q1[0] - q[0], q1[1] - q[1])
            gap = (q[0] - p[0], q[1] - p[1])
            det = r[0] * s[1] - r[1] * s[0]
            if det:  # the lines meet once: at p + t r = q + u s
                t = (gap[0] * s[1] - gap[1] * s[0]) / det
                u = (gap[0] * r[1] - gap[1] * r[0]) / det
                met = (p[0] + t * r[0], p[1] + t * r[1])
                if 0 <= t <= 1 and 0 <= u <= 1 and met not in allowed:
                    return False
            elif gap[0] * r[1] == gap[1] * r[0]:  # one line: shares of the first side
                length = r[0] ** 2 + r[1] ** 2
                ends = sorted(
                    ((c[0] - p[0]) * r[0] + (c[1] - p[1]) * r[1]) / length for c in (q, q1)
                )
                low, high = max(ends[0], Fraction(0)), min(ends[1], Fraction(1))
                if low < high or (low == high and not allowed):
                    return False
    return True


@pytest.mark.parametrize("corners", [3, 4, 5, 7])
def test_an_outline_is_good_where_no_sides_meet(corners: int) -> None:
    outlines = random_outlines(400, corners)
    good = [not why_no_outline(outline) for outline in outlines]
    assert good == [is_simple(outline) for outline in outlines]
    assert 0 < sum(good) < len(good)


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        (((0.1, 0.1), (0.5, 0.5)), "3 to 24 corners, not 2"),
        (tuple((x / 30, x * x / 900) for x in range(25)), "3 to 24 corners, not 25"),
        (((0.1, 0.1), (1.2, 0.5), (0.1, 0.9)), "Corner 2 of the outline, 120.0,50.0, lies outside"),
        (((0.1, 0.1), (float("nan"), 0.5), (0.1, 0.9)), "Corner 2 of the outline"),
        (((0.1, 0.1), (0.1, 0.1), (0.1, 0.9)), "Corners 1 and 2 of the outline are both at 10.0"),
        (
            ((0.1, 0.1), (0.9, 0.9), (0.9, 0.1), (0.1, 0.9)),
            "from corner 1 to 2 of the outline meets the one from 3 to 4",
        ),
        (((0.1, 0.1), (0.11, 0.1), (0.11, 0.15)), "holds 0.03 % of the picture"),
    ],
)
def test_what_is_no_outline_is_refused_with_a_sentence(
    corners: tuple[tuple[float, float], ...], words: str
) -> None:
    with pytest.raises(RegionError, match=words):
        Region.outlined(corners)


def test_bounds_that_are_not_those_of_the_corners_are_refused() -> None:
    with pytest.raises(RegionError, match="not the bounds"):
        Region(x0=0.0, y0=0.1, x1=0.9, y1=0.9, corners=DIAMOND)


def test_rectangles_are_kept_as_before_and_read_as_before() -> None:
    stored: dict[str, Any] = {"x0": 0.1, "y0": 0.2, "x1": 0.6, "y1": 0.9}
    assert Region.from_dict(stored).to_dict() == stored
    for first in range(4):
        corners = [(0.1, 0.2), (0.6, 0.2), (0.6, 0.9), (0.1, 0.9)]
        turned = corners[first:] + corners[:first]
        assert Region.outlined(turned) == Region(**stored) == Region.outlined(turned[::-1])


def test_an_outline_is_kept_whole() -> None:
    region = Region.outlined(DIAMOND)
    assert Region.from_dict(region.to_dict()) == region
    assert (region.x0, region.y0, region.x1, region.y1) == (0.1, 0.1, 0.9, 0.9)


@pytest.mark.parametrize("corners", [3, 4, 6])
def test_mask_and_inner_rectangle_are_inside(corners: int) -> None:
    """Area by OpenCV's Green formula, and distance to the outline of places all around."""
    outlines = [found for found in random_outlines(300, corners) if not why_no_outline(found)][:40]
    for outline in outlines:
        region, shape = Region.outlined(outline), np.array(outline, np.float32)
        extent = (region.x1 - region.x0) * (region.y1 - region.y0)
        share = region.mask(200, 200).mean()
        assert share * extent == pytest.approx(cv2.contourArea(shape), abs=0.012 * extent)
        inner = region.inner
        along = np.linspace(0, 1, 20)
        x, y = inner.x0 + along * (inner.x1 - inner.x0), inner.y0 + along * (inner.y1 - inner.y0)
        for place in ((a, b) for a in x.tolist() for b in y.tolist()):
            assert cv2.pointPolygonTest(shape, place, True) > -0.008


def test_the_largest_rectangle_in_a_diamond_is_half_of_it() -> None:
    """Known: the largest upright rectangle in a rhombus, or a right triangle, has half its area."""
    left, top, right, bottom = largest_inside(DIAMOND)
    assert (right - left) * (bottom - top) == pytest.approx(0.16, rel=0.05)
    left, top, right, bottom = largest_inside(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)))
    assert (right - left) * (bottom - top) == pytest.approx(0.25, rel=0.05)


def test_the_largest_rectangle_of_a_grid_is_that_of_trying_all() -> None:
    rng = np.random.default_rng(4)
    for _ in range(60):
        mask = rng.uniform(size=(6, 7)) < 0.7
        top, left, bottom, right = largest_rectangle(mask)
        assert mask[top:bottom, left:right].all()
        best = max(
            (b - t) * (r - x)
            for t in range(6)
            for b in range(t + 1, 7)
            for x in range(7)
            for r in range(x + 1, 8)
            if mask[t:b, x:r].all()
        )
        assert (bottom - top) * (right - left) == best


def test_a_sliver_still_has_a_place() -> None:
    sliver = Region.outlined(((0.0, 0.0), (0.001, 0.0), (1.0, 1.0), (0.999, 1.0)))
    left, top, right, bottom = sliver.inner.box(1000, 1000)
    assert right > left
    assert bottom > top


def half_and_half() -> Picture:
    """Light above the falling diagonal, dark below it."""
    linear = np.full((300, 400, 3), 0.6, dtype=np.float32)
    y, x = np.mgrid[0:300, 0:400]
    linear[y / 300 > x / 400] = 0.02
    return Picture(linear=linear, size=(400, 300))


def read(region: Region, picture: Picture | None = None) -> Appearance:
    return read_picture(picture or half_and_half(), region=region)


def test_only_pixels_inside_the_outline_are_read() -> None:
    """CIE 1976: Y 0.6 is L* 81.8, Y 0.02 is L* 15.5."""
    light = read(Region.outlined(((0.02, 0.0), (1.0, 0.0), (1.0, 0.98))))
    dark = read(Region.outlined(((0.0, 0.02), (0.98, 1.0), (0.0, 1.0))))
    assert light.far[0] == pytest.approx(81.8, abs=0.3)
    assert dark.far[0] == pytest.approx(15.5, abs=0.3)
    assert (len(light.palette), len(dark.palette)) == (1, 1)
    assert max(light.contrast, dark.contrast) < 1
    assert Appearance.from_dict(light.to_dict()) == light


def test_what_lies_around_the_outline_does_not_blend_into_its_contrast() -> None:
    """At arm's length a millimetre a pixel blends; the table beside the cloth is not the cloth."""
    picture = half_and_half()
    region = Region.outlined(((0.02, 0.0), (1.0, 0.0), (1.0, 0.98)))
    seen = read_with(picture, None, region=region, to_mm=np.diag([1.0, 1.0, 1.0]))
    assert seen.contrast < 1


def test_gradients_of_a_print_are_those_inside_the_outline() -> None:
    rng = np.random.default_rng(3)
    linear = np.full((300, 400, 3), 0.3, dtype=np.float32)
    y, x = np.mgrid[0:300, 0:400]
    linear[y / 300 > x / 400] = rng.uniform(0, 1, (int((y / 300 > x / 400).sum()), 1))
    picture = Picture(linear=linear, size=(400, 300))
    plain = Region.outlined(((0.05, 0.0), (1.0, 0.0), (1.0, 0.95)))
    assert len(print_gradients(picture, plain)) == 0
    assert len(print_gradients(picture, Region(x0=0, y0=0, x1=1, y1=1))) > 0


def test_light_is_compared_with_the_cloth_inside_the_outline() -> None:
    """A card on the dark half lies in other light than the light half, and not than the dark."""
    picture = half_and_half()
    linear = picture.linear
    linear[200:240, 60:120] = 0.5
    outline = np.array([[60.0, 200.0], [120.0, 200.0], [120.0, 240.0], [60.0, 240.0]])
    correction = Correction(
        apply=lambda pixels: pixels, reference="photo card", half_width=always(0.1), outline=outline
    )
    light = Region.outlined(((0.02, 0.0), (1.0, 0.0), (1.0, 0.98)))
    dark = Region.outlined(((0.0, 0.02), (0.98, 1.0), (0.0, 1.0)))
    assert lies_in_other_light(picture, correction, light)
    assert not lies_in_other_light(picture, correction, dark)
