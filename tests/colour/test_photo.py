import io
import tracemalloc
from typing import Any

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms

from stash.colour.picture.capture import Capture
from stash.colour.picture.icc import (
    DISPLAY_P3,
    P3_PROFILE,
    SRGB,
    encoding_of_codes,
    encoding_of_profile,
)
from stash.colour.picture.photo import MAX_JPEG_PIXELS, PhotoError, decode_photo
from stash.colour.picture.pixels import jpeg_codes
from stash.colour.picture.upright import Picture, shrink
from stash.colour.references.science import colour_science
from stash.colour.spaces.cielab import linear_to_lab, srgb_to_lab
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.spaces.srgb import encode_srgb
from tests.colour.photo_corpus import Row, corpus, enc, quad

GARISH_P3 = (245, 30, 20)  # a red outside sRGB when read as Display P3


def mean_lab(picture: Picture) -> np.ndarray:
    return linear_to_lab(picture.linear.reshape(-1, 3).mean(axis=0))


def srgb_at(picture: Picture, x: float, y: float) -> np.ndarray:
    with Image.open(io.BytesIO(picture.view_file(2048))) as view:
        return np.array(view.convert("RGB").getpixel((int(x * view.width), int(y * view.height))))


def solid(colour: object, mode: str = "RGB", size: tuple[int, int] = (64, 48)) -> Image.Image:
    return Image.new(mode, size, colour)  # type: ignore[arg-type]


def checks(width: int, height: int) -> np.ndarray:
    """Black and white pixels in turn, half of the area each."""
    board = np.indices((height, width)).sum(axis=0) % 2 * 255
    return np.repeat(board[..., None], 3, axis=2).astype(np.uint8)


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
@pytest.mark.parametrize(
    "row", [r for r in corpus() if r.expected == "accept"], ids=lambda r: r.name
)
def test_good_and_odd_files_are_read_upright_with_their_colours(row: Row) -> None:
    picture = decode_photo(row.data)
    assert picture.size == row.size
    for x, y, colour, tolerance in row.probes:
        assert np.abs(srgb_at(picture, x, y) - colour).max() <= tolerance
    for mark in row.must_vanish:
        for stored in (
            picture.working_file(),
            picture.view_file(400),
            repr(picture.capture).encode(),
        ):
            assert mark.encode() not in stored


@pytest.mark.parametrize(
    "row", [r for r in corpus() if r.expected == "reject"], ids=lambda r: r.name
)
def test_bad_files_are_refused_with_one_plain_sentence(row: Row) -> None:
    with pytest.raises(PhotoError) as refusal:
        decode_photo(row.data)
    sentence = str(refusal.value)
    assert sentence[0].isupper()
    assert sentence.endswith(".")
    assert "Traceback" not in sentence


def test_a_jpeg_beyond_120_megapixels_is_refused_before_decoding() -> None:
    from tests.colour.photo_corpus import sof_size

    data = sof_size(enc(quad(), "JPEG"), 12_000, 10_001)
    assert MAX_JPEG_PIXELS < 12_000 * 10_001
    with pytest.raises(PhotoError, match="120 megapixels"):
        decode_photo(data)


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_a_mutated_file_never_raises_anything_but_the_own_error() -> None:
    rng = np.random.default_rng(7)
    small = quad(96, 64)
    heic = io.BytesIO()
    pillow_heif.from_pillow(small).save(heic)
    seeds = [enc(small, kind) for kind in ("JPEG", "PNG", "WEBP", "AVIF")] + [heic.getvalue()]
    for data in seeds:
        for _ in range(25):
            mutated = bytearray(data)
            for place in rng.integers(0, len(data), 4):
                mutated[place] = rng.integers(0, 256)
            try:
                picture = decode_photo(bytes(mutated))
            except PhotoError:
                continue
            assert np.isfinite(picture.linear).all()


@pytest.mark.parametrize("side", [3000, 4096, 5000])
def test_fine_black_and_white_reads_as_the_mean_of_light(side: int) -> None:
    """Half white, half black is Y = 0.5, so L* = 76.07 (CIE 1976); encoded means give 53.6."""
    picture = decode_photo(enc(Image.fromarray(checks(side, 800)), "PNG"))
    assert picture.width <= 2048
    assert mean_lab(picture)[0] == pytest.approx(76.07, abs=0.05)


def test_display_p3_is_read_wide_and_stored_wide() -> None:
    data = enc(solid(GARISH_P3), "JPEG", quality=95, icc_profile=P3_PROFILE)
    picture = decode_photo(data)
    expected = linear_to_lab(DISPLAY_P3.curves[0][list(GARISH_P3)])
    assert float(delta_e_2000(mean_lab(picture), expected)) < 0.5
    assert (picture.linear.reshape(-1, 3).mean(axis=0) @ SRGB.to_p3.T.astype(float) != 0).all()
    again = decode_photo(picture.working_file())
    assert float(delta_e_2000(mean_lab(again), mean_lab(picture))) < 0.3


def test_a_working_file_reads_the_same_everywhere() -> None:
    """Our stored copy loses no more than JPEG rounding, also for texture and strong colour."""
    rng = np.random.default_rng(5)
    blocks = rng.integers(0, 256, (12, 16, 3)).astype(np.uint8)
    cloth = np.kron(blocks, np.ones((60, 60, 1), np.uint8)).astype(int)
    cloth = np.clip(cloth + rng.integers(-12, 13, cloth.shape), 0, 255).astype(np.uint8)
    first = decode_photo(enc(Image.fromarray(cloth), "PNG"))
    again = decode_photo(first.working_file())
    assert again.size == (first.width, first.height)

    def blocks_of(picture: Picture) -> np.ndarray:
        grid = picture.linear.reshape(12, 60, 16, 60, 3)[:, 8:-8, :, 8:-8]
        return linear_to_lab(grid.mean(axis=(1, 3)))

    difference = delta_e_2000(blocks_of(first), blocks_of(again))
    assert difference.mean() < 0.3
    assert difference.max() < 0.6


def test_own_profile_agrees_with_littlecms() -> None:
    rng = np.random.default_rng(11)
    codes = rng.integers(0, 256, (20, 50, 3)).astype(np.uint8)
    lab = ImageCms.profileToProfile(
        Image.fromarray(codes),
        ImageCms.ImageCmsProfile(io.BytesIO(P3_PROFILE)),
        ImageCms.createProfile("sRGB"),
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    ours = decode_photo(enc(Image.fromarray(codes), "PNG", icc_profile=P3_PROFILE))
    view = np.rint(255 * encode_srgb(np.clip(ours.linear @ np.linalg.inv(SRGB.to_p3).T, 0, 1)))
    assert np.abs(view - np.asarray(lab)).max() <= 1
    assert len(P3_PROFILE) < 700


def test_curve_profiles_of_other_makers_are_read_as_littlecms_reads_them() -> None:
    """A wide profile made by LittleCMS-style numbers: gamma 2.2 'curv' in place of 'para'."""
    at = P3_PROFILE.index(b"para")
    gamma = b"curv" + bytes(4) + (1).to_bytes(4, "big") + int(2.2 * 256).to_bytes(2, "big")
    profile = P3_PROFILE[:at] + gamma.ljust(32, b"\0") + P3_PROFILE[at + 32 :]
    encoding = encoding_of_profile(profile, is_grey=False)
    assert encoding is not None
    np.testing.assert_allclose(encoding.curves[1][128], (128 / 255) ** (563 / 256), atol=1e-6)


def test_a_table_profile_goes_through_littlecms() -> None:
    lab_profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    assert encoding_of_profile(lab_profile, is_grey=False) is None
    picture = decode_photo(enc(solid((120, 90, 60)), "JPEG", icc_profile=lab_profile))
    assert picture.notes
    assert "profile" in picture.notes[0]


@pytest.mark.parametrize(("primaries", "name"), [(12, "Display P3"), (9, "ITU-R BT.2020")])
def test_coded_primaries_agree_with_the_reference_library(primaries: int, name: str) -> None:
    """Source: colour-science's RGB spaces for the primaries of ITU-T H.273."""
    colour = colour_science()

    encoding = encoding_of_codes(primaries, 13)
    linear = encoding.curves[0][[200, 40, 90]] @ encoding.to_p3.T
    expected = colour.XYZ_to_Lab(
        colour.RGB_COLOURSPACES[name].matrix_RGB_to_XYZ
        @ colour.models.eotf_sRGB(np.array([200, 40, 90]) / 255),
        np.array([0.3127, 0.3290]),
    )
    np.testing.assert_allclose(linear_to_lab(linear), expected, atol=0.02)


def test_avif_and_heic_without_profile_use_their_coded_primaries() -> None:
    buffer = io.BytesIO()
    heif = pillow_heif.from_pillow(solid(GARISH_P3))
    heif.save(buffer, quality=95, color_primaries=12, transfer_characteristics=13)
    expected = linear_to_lab(DISPLAY_P3.curves[0][list(GARISH_P3)])
    assert float(delta_e_2000(mean_lab(decode_photo(buffer.getvalue())), expected)) < 1
    avif = bytearray(enc(solid(GARISH_P3), "AVIF", quality=95))
    at = avif.index(b"colrnclx")
    avif[at + 8 : at + 10] = (12).to_bytes(2, "big")
    assert float(delta_e_2000(mean_lab(decode_photo(bytes(avif))), expected)) < 1


def test_heic_with_display_p3_profile_is_read_wide() -> None:
    buffer = io.BytesIO()
    picture = solid(GARISH_P3)
    picture.info["icc_profile"] = P3_PROFILE
    pillow_heif.from_pillow(picture).save(buffer, quality=95)
    expected = linear_to_lab(DISPLAY_P3.curves[0][list(GARISH_P3)])
    assert float(delta_e_2000(mean_lab(decode_photo(buffer.getvalue())), expected)) < 1


@pytest.mark.parametrize("orientation", range(1, 9))
def test_each_orientation_comes_out_upright(orientation: int) -> None:
    turns = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    stored = quad().transpose(turns[orientation]) if orientation > 1 else quad()
    exif = Image.Exif()
    exif[0x0112] = orientation
    picture = decode_photo(enc(stored, "PNG", exif=exif))
    assert picture.size == (480, 320)
    for x, y, colour in ((0.25, 0.25, (200, 30, 30)), (0.75, 0.25, (30, 160, 60))):
        assert np.abs(srgb_at(picture, x, y) - colour).max() <= 8


def test_exposure_data_is_kept_without_place_or_serial() -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Maker", "Model"
    exif.get_ifd(0x8769).update(
        {
            0x9003: "2026:05:04 10:11:12",
            0x829A: 0.01,
            0x829D: 1.8,
            0x8827: 64,
            0xA403: 1,
            0x9209: 16,
        }
    )
    exif.get_ifd(0x8769)[0xA431] = "SERIAL-99"
    picture = decode_photo(enc(quad(), "JPEG", exif=exif))
    capture = picture.capture
    assert capture is not None
    assert (capture.taken, capture.exposure_time, capture.f_number, capture.iso) == (
        "2026-05-04T10:11:12",
        0.01,
        1.8,
        64,
    )
    assert (capture.white_balance, capture.flash) == ("manual", False)
    assert Capture.from_dict(capture.to_dict()) == capture
    assert "SERIAL-99" not in repr(capture)
    assert "Maker" not in repr(capture)
    assert decode_photo(picture.working_file()).capture is None


def test_grey_view_keeps_lightness_not_luma() -> None:
    """Pure blue has L* 32.30 (W3C, CIE 1976): grey 76, where luma would give 29."""
    view = Image.open(
        io.BytesIO(decode_photo(enc(solid((0, 0, 255)), "PNG")).view_file(48, grey=True))
    )
    level = np.asarray(view).mean()
    assert srgb_to_lab(np.repeat(level, 3) / 255)[0] == pytest.approx(32.30, abs=0.5)


def test_transparent_parts_show_white() -> None:
    picture = decode_photo(enc(solid((200, 0, 0, 0), "RGBA"), "PNG"))
    np.testing.assert_allclose(mean_lab(picture), [100, 0, 0], atol=0.01)


def test_sixteen_bit_grey_is_read_to_sixteen_bits() -> None:
    levels = np.full((40, 50), 30_000, np.uint16)
    picture = decode_photo(enc(Image.fromarray(levels), "PNG"))
    assert mean_lab(picture)[0] == pytest.approx(srgb_to_lab([30_000 / 65535] * 3)[0], abs=0.01)


def test_a_grey_profile_is_used_for_grey_pixels() -> None:
    at = P3_PROFILE.index(b"rTRC")
    grey = bytearray(P3_PROFILE)
    grey[16:20], grey[at : at + 4] = b"GRAY", b"kTRC"
    picture = decode_photo(enc(solid(100, "L"), "JPEG", icc_profile=bytes(grey)))
    assert picture.notes == ()
    assert mean_lab(picture)[0] == pytest.approx(srgb_to_lab([100 / 255] * 3)[0], abs=0.05)


def test_shrinking_keeps_the_mean_and_the_long_side() -> None:
    linear = np.random.default_rng(1).uniform(0, 1, (301, 517, 3)).astype(np.float32)
    small = shrink(linear, 100)
    assert max(small.shape[:2]) == 100
    np.testing.assert_allclose(small.mean(axis=(0, 1)), linear.mean(axis=(0, 1)), atol=2e-3)


def test_reduction_works_in_strips() -> None:
    """A 12-megapixel picture needs no second copy of itself in floating point (144 MB)."""
    data = enc(solid((90, 120, 60), size=(4000, 3000)), "JPEG")
    decode_photo(data)
    tracemalloc.start()
    decode_photo(data)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 120e6


@pytest.mark.parametrize(
    "way",
    [
        {"quality": 92},
        {"quality": 60, "subsampling": 0},
        {"quality": 75, "subsampling": 1},
        {"quality": 85, "progressive": True},
        {"quality": 40, "restart_marker_rows": 1},
    ],
)
def test_codes_of_a_jpeg_are_those_of_pillow(way: dict[str, Any]) -> None:
    """Yardstick: Pillow's decoder, a general-purpose library."""
    rng = np.random.default_rng(3)
    shapes = rng.integers(0, 256, (9, 7, 3)).repeat(15, axis=0).repeat(19, axis=1)
    picture = Image.fromarray(np.clip(shapes + rng.normal(0, 9, shapes.shape), 0, 255).astype("u1"))
    file = io.BytesIO()
    picture.save(file, "JPEG", **way)
    codes = jpeg_codes(file.getvalue(), picture.size)
    with Image.open(file) as opened:
        np.testing.assert_array_equal(codes, np.asarray(opened))


def test_codes_are_none_where_the_jpeg_is_cut_off_or_of_another_size() -> None:
    file = io.BytesIO()
    Image.new("RGB", (64, 48), (90, 20, 30)).save(file, "JPEG")
    assert jpeg_codes(file.getvalue()[:-40], (64, 48)) is None
    assert jpeg_codes(file.getvalue(), (48, 64)) is None
