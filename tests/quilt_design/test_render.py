"""Patches in cloth: areas, means, mirroring, shift, turn, grey and distance."""

import io

import cv2
import numpy as np
import pytest
from PIL import Image

from projects.quilt_design.drawing.coverage import coverage, to_grid
from projects.quilt_design.drawing.render import GROUND, Cloth, Patch, SeeingError, render
from stash.colour.spaces.cielab import hex_to_lab, lightness
from stash.lengths import INCH, MM

SIDE = 4 * INCH


def rectangle(x: float, y: float, width: float, height: float, **more: object) -> Patch:
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Patch(**{"outline": corners, "part": "patch", **more})  # type: ignore[arg-type]


def flat(key: str, lab_l: float) -> Cloth:
    return Cloth(key=key, far=(lab_l, 0.0, 0.0), value=lab_l / 10, uncertainty=0.1)


def printed(key: str, picture: np.ndarray, mm_per_pixel: float = 1.0) -> Cloth:
    if picture.ndim == 2:
        picture = np.repeat(picture[..., None], 3, axis=2)
    return Cloth(
        key=key,
        far=(50.0, 0.0, 0.0),
        value=5.0,
        uncertainty=0.1,
        picture=picture.astype(np.float32),
        mm_per_pixel=mm_per_pixel,
    )


def stripes(pixels: int, wide: int = 4) -> np.ndarray:
    return np.tile((np.arange(pixels) // wide % 2).astype(np.float32), (pixels, 1))


def read_png(data: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(data)))


def test_half_black_half_white_stripes_read_76_from_three_metres() -> None:
    # Y = 0.5 is L* = 116 * 0.5 ** (1/3) - 16 = 76.07 (CIE 1976); averaging codes or L* would
    # give 53 or 50.
    cloth = printed("stripes", stripes(800), mm_per_pixel=0.25)
    whole = render(
        [rectangle(0, 0, SIDE, SIDE, cloth="stripes")],
        {"stripes": cloth},
        width=SIDE,
        height=SIDE,
        long_side=400,
    )
    near = read_png(whole.png(grey=True))
    assert near.min() == 0
    assert near.max() == 255
    far = read_png(whole.from_distance(3).png(grey=True))
    grey_code = int(far[200, 200])
    assert hex_to_lab(f"#{grey_code:02x}{grey_code:02x}{grey_code:02x}")[0] == pytest.approx(
        76.07, abs=0.25
    )  # half a code
    assert whole.from_distance(3).lightness == pytest.approx(76.07, abs=0.1)


def test_grey_keeps_the_lightness_of_a_colour() -> None:
    # L* 53.24 of sRGB red: IEC 61966-2-1 and CIE 1976; the code 127 is L* 53.19.
    red = Cloth(key="red", far=hex_to_lab("#ff0000"), value=5.32, uncertainty=0.1)
    drawn = render(
        [rectangle(0, 0, SIDE, SIDE, cloth="red")],
        {"red": red},
        width=SIDE,
        height=SIDE,
        long_side=8,
    )
    assert np.unique(read_png(drawn.png(grey=True))).tolist() == [127]
    assert read_png(drawn.png())[4, 4].tolist() == [255, 0, 0]


def test_pixels_on_a_seam_mix_linear_light_by_area() -> None:
    half = 2.5  # the seam runs through the middle of the third pixel
    patches = [
        rectangle(0, 0, half, 5, cloth="black"),
        rectangle(half, 0, half, 5, cloth="white"),
    ]
    cloths = {"black": flat("black", 0.0), "white": flat("white", 100.0)}
    drawn = render(patches, cloths, width=5, height=5, long_side=5)
    assert drawn.linear[2, :, 0] == pytest.approx([0, 0, 0.5, 1, 1], abs=1e-5)


def test_triangles_cover_their_exact_area() -> None:
    triangle = ((0.0, 0.0), (30.3, 0.0), (0.0, 17.7))
    patch = Patch(outline=triangle, part="corner", cloth="white")
    drawn = render([patch], {"white": flat("white", 100.0)}, width=40, height=40, long_side=40)
    covered = (drawn.linear[..., 0] - GROUND).sum() / (1 - GROUND)
    assert covered == pytest.approx(30.3 * 17.7 / 2, rel=2e-3)


def test_shares_agree_with_a_general_library() -> None:
    corners = np.array([[3.2, 1.7], [28.4, 9.9], [17.3, 30.6], [6.1, 22.2]])
    fine = np.zeros((32 * 32, 32 * 32), np.uint8)
    cv2.fillPoly(fine, [np.rint((corners * 32 - 0.5) * 16).astype(np.int32)], 255, shift=4)
    by_library = cv2.resize(fine / 255.0, (32, 32), interpolation=cv2.INTER_AREA)
    ours = coverage(to_grid(corners), 32, 32)
    # The library paints every touched subpixel: half a subpixel too much along each edge.
    assert np.abs(ours - by_library).max() < 0.06
    assert ours.sum() == pytest.approx(cv2.contourArea(corners.astype(np.float32)), rel=1e-3)


def test_rectangles_are_covered_alike_from_every_corner_and_lines_not_at_all() -> None:
    corners = to_grid(np.array([[2.3, 1.6], [11.7, 1.6], [11.7, 8.45], [2.3, 8.45]]))
    shares = coverage(corners, 14, 10)
    assert shares.sum() == pytest.approx(9.4 * 6.85, abs=9.4 / 16)  # a line of measurement
    assert shares[5, :4] == pytest.approx([0, 0, 0.7, 1], abs=1e-3)
    # The same rectangle with a corner more is measured as a polygon.
    longer = to_grid(np.insert(corners, 2, [[11.7, 5.0]], axis=0))
    assert coverage(longer, 14, 10) == pytest.approx(shares, abs=1e-6)
    for first in range(4):
        turned = np.roll(corners, first, axis=0)
        assert coverage(turned, 14, 10) == pytest.approx(shares, abs=1e-6)
        assert coverage(turned[::-1], 14, 10) == pytest.approx(shares, abs=1e-6)
    line = corners[[0, 2, 2, 0]]
    assert coverage(line, 14, 10).max() < 1e-9


def test_shares_of_meeting_triangles_add_up_to_one() -> None:
    rng = np.random.default_rng(3)
    for _ in range(20):
        middle = rng.uniform(5, 15, 2)
        around = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)]
        total = sum(
            coverage(to_grid(np.array([middle, around[i], around[(i + 1) % 4]])), 20, 20)
            for i in range(4)
        )
        assert total == pytest.approx(np.ones((20, 20)), abs=1e-6)


def test_print_lies_at_true_scale() -> None:
    # Stripes of 4 mm on 101.6 mm: with 4 pixels a millimetre each is 16 pixels wide.
    cloth = printed("stripes", stripes(800, wide=16), mm_per_pixel=0.25)
    long_side = round(SIDE / MM * 4)
    drawn = render(
        [rectangle(0, 0, SIDE, SIDE, cloth="stripes")],
        {"stripes": cloth},
        width=SIDE,
        height=SIDE,
        long_side=long_side,
    )
    edges = np.flatnonzero(np.diff(drawn.linear[100, :, 0] > 0.5))
    assert np.diff(edges).tolist() == pytest.approx([16.0] * (len(edges) - 1), rel=0.07)
    assert np.diff(edges).mean() == pytest.approx(16.0, rel=0.01)


@pytest.mark.parametrize("long_side", [40, 133, 701])
def test_mean_of_a_fine_print_is_kept_at_every_size(long_side: int) -> None:
    rng = np.random.default_rng(5)
    picture = rng.uniform(0, 1, (508, 508)) ** 3
    side = 508 * MM / 2  # the patch shows the picture exactly once
    drawn = render(
        [rectangle(0, 0, side, side, cloth="fine")],
        {"fine": printed("fine", picture, mm_per_pixel=0.5)},
        width=side,
        height=side,
        long_side=long_side,
    )
    assert drawn.lightness == pytest.approx(float(lightness(picture.mean())), abs=0.2)


def test_small_picture_is_repeated_by_mirroring() -> None:
    ramp = np.tile(np.linspace(0, 1, 10), (10, 1))
    side = 30 * MM
    drawn = render(
        [rectangle(0, 0, side, side, cloth="ramp")],
        {"ramp": printed("ramp", ramp)},
        width=side,
        height=side,
        long_side=30,
    )
    row = drawn.linear[15, :, 0]
    assert row[10:20] == pytest.approx(ramp[0], abs=1e-3)
    assert row[:10] == pytest.approx(ramp[0, ::-1], abs=1e-3)
    assert row[20:] == pytest.approx(ramp[0, ::-1], abs=1e-3)


def test_shift_moves_the_print_right_and_down_in_millimetres() -> None:
    spot = np.zeros((40, 40))
    spot[20, 20] = 1
    side = 40 * MM

    def brightest(**more: object) -> list[int]:
        drawn = render(
            [rectangle(0, 0, side, side, cloth="spot", **more)],
            {"spot": printed("spot", spot)},
            width=side,
            height=side,
            long_side=40,
        )
        return [int(at) for at in np.unravel_index(drawn.linear[..., 0].argmax(), (40, 40))]

    assert brightest() == [20, 20]
    assert brightest(shift=(6.0, 3.0)) == [23, 26]
    assert brightest(shift=(6.0 + 80, 3.0 - 80)) == [23, 26]  # two pictures are one repeat
    assert brightest(turn=180) == [19, 19]


def test_quarter_turn_is_clockwise() -> None:
    picture = np.zeros((40, 40))
    picture[:10] = 1  # light along the top
    side = 40 * MM
    drawn = render(
        [rectangle(0, 0, side, side, cloth="top", turn=90)],
        {"top": printed("top", picture)},
        width=side,
        height=side,
        long_side=40,
    )
    assert drawn.linear[20, 35, 0] == pytest.approx(1, abs=1e-3)
    assert drawn.linear[5, 20, 0] == pytest.approx(0, abs=1e-3)


def test_patch_without_cloth_is_neutral_with_lines() -> None:
    drawn = render([rectangle(0, 0, 50, 50)], {}, width=50, height=50, long_side=50)
    assert np.ptp(drawn.linear, axis=2).max() < 1e-6
    assert len(np.unique(drawn.linear[..., 0].round(3))) == 2


def test_what_lies_outside_is_cut_off() -> None:
    patch = rectangle(-10, -10, 30, 30, cloth="black")
    drawn = render([patch], {"black": flat("black", 0.0)}, width=40, height=20, long_side=40)
    assert drawn.linear[:, :20].max() == 0
    assert drawn.linear[:, 20:].min() == pytest.approx(GROUND)


@pytest.mark.parametrize(
    ("change", "quoted"),
    [
        ({"width": 0.0}, "0.0 × 10.0"),
        ({"long_side": 0}, "0 pixels"),
        ({"long_side": 90_000}, "90000 pixels"),
        ({"cloths": {}}, "“black”"),
        ({"patches": [Patch(outline=((0, 0), (1, 1)), part="thin")]}, "2 corners"),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_one_sentence(
    change: dict[str, object], quoted: str
) -> None:
    asked: dict[str, object] = {
        "patches": [rectangle(0, 0, 10, 10, cloth="black")],
        "cloths": {"black": flat("black", 0.0)},
        "width": 10.0,
        "height": 10.0,
        "long_side": 10,
        **change,
    }
    with pytest.raises(SeeingError, match=quoted):
        render(asked.pop("patches"), asked.pop("cloths"), **asked)  # type: ignore[arg-type]


def test_picture_without_scale_is_refused() -> None:
    cloth = printed("loose", stripes(8), mm_per_pixel=None)  # type: ignore[arg-type]
    with pytest.raises(SeeingError, match="has no scale"):
        render(
            [rectangle(0, 0, 10, 10, cloth="loose")],
            {"loose": cloth},
            width=10,
            height=10,
            long_side=10,
        )
