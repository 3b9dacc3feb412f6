import gc
import json
import weakref

import numpy as np
import pytest

from stash.colour.appearance import Appearance
from stash.colour.cloth.palette import find_palette
from stash.colour.picture.marks import Marks, MarksError
from stash.colour.picture.region import Region, RegionError
from stash.colour.picture.upright import Picture
from stash.colour.reading import READING_VERSION, read_picture, read_with
from stash.colour.spaces.cielab import hex_to_lab, lab_to_linear
from stash.colour.spaces.difference import delta_e_2000


def picture_of(linear: np.ndarray) -> Picture:
    height, width = linear.shape[:2]
    return Picture(linear=linear.astype(np.float32), size=(width, height))


def plain(*colours: str, width: int = 240, height: int = 160) -> np.ndarray:
    """Return upright stripes of equal width in these colours, as linear Display P3."""
    linear = np.array([lab_to_linear(hex_to_lab(colour)) for colour in colours])
    stripe = (np.arange(width) * len(colours)) // width
    return np.broadcast_to(linear[stripe], (height, width, 3)).copy()


def test_half_black_half_white_reads_as_76_from_afar() -> None:
    """Y = 0.5 is L* 76.07 (CIE 1976)."""
    appearance = read_picture(
        picture_of(plain("#000000", "#ffffff")), region=Region(x0=0, y0=0, x1=1, y1=1)
    )
    assert appearance.far[0] == pytest.approx(76.07, abs=0.01)
    assert appearance.value == pytest.approx(7.607, abs=0.001)
    assert appearance.contrast == pytest.approx(100, abs=0.01)
    assert appearance.contrast_sd == pytest.approx(50, abs=0.01)


def test_contrast_is_what_the_hand_still_sees_where_the_scale_is_known() -> None:
    """At 40 cm the eye blends stripes of 0.1 mm and keeps those of 12 mm.

    Source of the blur: Zhang and Wandell (1996), by `seen_from`.
    """
    stripes = plain(*["#000000", "#ffffff"] * 60)
    whole = Region(x0=0, y0=0, x1=1, y1=1)
    seen = {
        pixel_mm: read_with(
            picture_of(stripes), None, region=whole, to_mm=np.diag([pixel_mm, pixel_mm, 1.0])
        ).contrast
        for pixel_mm in (0.05, 6.0)
    }
    assert seen[6.0] == pytest.approx(100, abs=2)
    assert seen[0.05] < 40


def test_palette_names_each_colour_with_its_share() -> None:
    ground, dots = "#1f3a5f", "#e8d9b0"
    found = find_palette(plain(ground, ground, ground, dots).reshape(-1, 3))
    assert [round(colour.share, 2) for colour in found] == [0.75, 0.25]
    for colour, text in zip(found, (ground, dots), strict=True):
        assert float(delta_e_2000(colour.lab, hex_to_lab(text))) < 0.01


def test_near_colour_is_the_ground_and_far_colour_the_mean() -> None:
    appearance = read_picture(picture_of(plain("#202020", "#202020", "#f0f0f0")))
    assert float(delta_e_2000(appearance.near, hex_to_lab("#202020"))) < 0.1
    assert appearance.far[0] > appearance.near[0] + 20


def test_a_textured_solid_has_one_colour() -> None:
    rng = np.random.default_rng(3)
    cloth = plain("#7a3b2e") * rng.normal(1, 0.12, (160, 240, 1)).clip(0.5, 1.5)
    appearance = read_picture(picture_of(cloth))
    assert len(appearance.palette) == 1


def test_palette_has_at_most_six_colours_that_sum_to_one() -> None:
    rng = np.random.default_rng(4)
    found = find_palette(rng.uniform(0, 1, (20_000, 3)))
    assert 2 <= len(found) <= 6
    assert sum(colour.share for colour in found) == pytest.approx(1, abs=1e-12)
    assert [c.share for c in found] == sorted((c.share for c in found), reverse=True)


def test_palette_does_not_depend_on_the_order_of_pixels() -> None:
    rng = np.random.default_rng(5)
    pixels = plain("#1f3a5f", "#e8d9b0", "#a02030").reshape(-1, 3)
    for _ in range(3):
        shuffled = find_palette(rng.permutation(pixels))
        for first, other in zip(find_palette(pixels), shuffled, strict=True):
            np.testing.assert_allclose(first.lab, other.lab, atol=1e-9)


def test_without_reference_the_value_is_a_wide_estimate() -> None:
    appearance = read_picture(picture_of(plain("#808080")))
    assert appearance.is_estimate
    assert appearance.reference == "none"
    assert appearance.uncertainty > 2


def test_cloth_with_a_channel_cut_off_is_told_and_less_certain() -> None:
    calm = read_picture(picture_of(plain("#e02020")))
    cut_off = read_picture(picture_of(plain("#ff2020")))
    half = read_picture(picture_of(plain("#ff2020", "#102020")))
    assert calm.uncertainty < half.uncertainty < cut_off.uncertainty
    assert not any("overexposed" in note for note in calm.notes)
    assert any("reads too dark" in note for note in cut_off.notes)


def test_the_region_decides_what_is_read() -> None:
    linear = plain("#ffffff", "#000000")
    left = read_picture(picture_of(linear), region=Region(x0=0, y0=0, x1=0.5, y1=1))
    right = read_picture(picture_of(linear), region=Region(x0=0.5, y0=0, x1=1, y1=1))
    assert (round(left.value, 6), round(right.value, 6)) == (10, 0)


def test_an_appearance_survives_json() -> None:
    appearance = read_picture(picture_of(plain("#123456", "#fedcba")))
    again = Appearance.from_dict(json.loads(json.dumps(appearance.to_dict())))
    assert again == appearance
    assert again.version == READING_VERSION


@pytest.mark.parametrize("numbers", [(0.5, 0, 0.5, 1), (0, 0, 1.2, 1), (-0.1, 0, 1, 1)])
def test_a_region_that_is_none_is_refused(numbers: tuple[float, ...]) -> None:
    with pytest.raises(RegionError, match="no part of a picture"):
        Region(**dict(zip(("x0", "y0", "x1", "y1"), numbers, strict=True)))


def test_marks_survive_json() -> None:
    corners = ((0.1, 0.1), (0.4, 0.1), (0.4, 0.3), (0.1, 0.3))
    marks = Marks(chart_corners=corners, grey_point=(0.5, 0.5), ignore=("paper",))
    assert Marks.from_dict(json.loads(json.dumps(marks.to_dict()))) == marks


def test_marks_outside_the_picture_are_refused() -> None:
    with pytest.raises(MarksError, match=r"1\.5"):
        Marks(grey_point=(1.5, 0.2))
    with pytest.raises(MarksError, match="no size"):
        Marks(paper_size=(0, 297))


def test_a_picture_that_was_read_leaves_the_memory_at_once() -> None:
    picture = picture_of(plain("#204060", "#e0d0c0"))
    kept = weakref.ref(picture)
    gc.disable()  # which finds what holds itself, but not before the next photos have come
    try:
        seen = read_picture(picture, marks=Marks(paper_point=(0.75, 0.5)))
        assert seen.reference == "paper"
        del picture
        assert kept() is None
    finally:
        gc.enable()
