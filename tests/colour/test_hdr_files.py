"""Pictures with more light than screens show: HDR codings, gain maps as items, raw photos."""

import io
import sys

import numpy as np
import pillow_heif
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from stash.colour.picture.gain_map import GainMapError
from stash.colour.picture.heif_items import heif_map
from stash.colour.picture.photo import PhotoError, decode_photo
from stash.colour.picture.raw import is_dng
from stash.colour.picture.renditions import NOT_USED
from stash.colour.picture.transfer import hlg_light, pq_light
from stash.colour.picture.upright import RENDITION_WHITE, Picture
from stash.colour.references.science import colour_science
from stash.colour.spaces.srgb import P3_TO_SRGB
from tests.colour.dng_files import dng
from tests.colour.gain_map_files import iso_content
from tests.colour.heif_files import heic_with_map, items_of, with_tmap, with_twin
from tests.colour.photo_corpus import enc

BASE = Image.new("RGB", (256, 192), (118, 118, 118))
LIGHT = ((118 / 255 + 0.055) / 1.055) ** 2.4  # IEC 61966-2-1
LEVELS = Image.fromarray(np.tile(np.arange(0, 256, 4, dtype=np.uint8), (48, 1)))
TWO_STOPS = b"\0" + iso_content([0], [2])


def rendition_of(picture: Picture) -> np.ndarray:
    """Linear sRGB, white of the shown picture = 1."""
    return picture.measured.linear @ P3_TO_SRGB.T / RENDITION_WHITE


# --- codings for HDR screens ---


def test_pq_agrees_with_the_reference_library() -> None:
    """Source: ITU-R BT.2100 in colour-science; white at 203 cd/m2 by ITU-R BT.2408."""
    levels = np.linspace(0, 1, 400)
    expected = colour_science().eotf(levels, "ITU-R BT.2100 PQ") / 203
    np.testing.assert_allclose(pq_light(levels), expected, rtol=1e-4, atol=1e-7)


def test_hlg_is_the_light_of_the_scene() -> None:
    """Source: the inverse OETF of ITU-R BT.2100 in colour-science; white and 18 % by BT.2408."""
    levels = np.linspace(0, 1, 400)
    scene = colour_science().oetf_inverse(np.append(levels, 0.75), "ITU-R BT.2100 HLG")
    np.testing.assert_allclose(hlg_light(levels), scene[:-1] / scene[-1], rtol=1e-4, atol=1e-7)
    assert hlg_light(np.array(0.38)) == pytest.approx(0.18, abs=0.003)  # a grey card, table 1


def hdr_heic(level: float, transfer: int) -> bytes:
    """A plain HEIC of 10 bits with one grey level."""
    codes = np.full((48, 64, 3), round(level * 1023) << 6, np.uint16)
    heif = pillow_heif.from_bytes(mode="RGB;16", size=(64, 48), data=codes.tobytes())
    buffer = io.BytesIO()
    heif.save(buffer, quality=-1, chroma=444, color_primaries=9, transfer_characteristics=transfer)
    return buffer.getvalue()


@pytest.mark.parametrize(("transfer", "name"), [(16, "PQ"), (18, "HLG")])
@pytest.mark.parametrize("level", [0.2, 0.38, 0.61, 0.7])
def test_heic_for_hdr_screens_is_read_to_ten_bits(level: float, transfer: int, name: str) -> None:
    picture = decode_photo(hdr_heic(level, transfer))
    assert picture.declared.transfer == name
    curve = pq_light if transfer == 16 else hlg_light
    expected = curve(np.array(round(level * 1023) / 1023))
    one_code = curve(np.array(level + 1 / 1023)) - curve(np.array(level))
    found = rendition_of(picture)
    np.testing.assert_allclose(found, expected, atol=float(one_code))
    assert np.allclose(picture.linear, min(expected, 1), atol=float(one_code))


def test_highlights_of_an_hdr_picture_are_stored_too() -> None:
    first = decode_photo(hdr_heic(0.7, 16))
    again = decode_photo(first.working_file())
    assert rendition_of(first).mean() > 2
    np.testing.assert_allclose(rendition_of(again).mean(), rendition_of(first).mean(), rtol=0.02)


def test_avif_for_hdr_screens_is_read() -> None:
    data = bytearray(enc(Image.new("RGB", (64, 48), (148, 148, 148)), "AVIF", quality=95))
    at = data.index(b"colrnclx")
    data[at + 8 : at + 12] = bytes([0, 9, 0, 16])
    picture = decode_photo(bytes(data))
    assert picture.declared.transfer == "PQ"
    expected = pq_light(np.array(148 / 255))
    np.testing.assert_allclose(rendition_of(picture).mean(), expected, rtol=0.04)


# --- gain maps as items ---


@pytest.mark.parametrize("is_hidden", [False, True])
def test_heic_with_a_map_is_read_as_the_rendition(is_hidden: bool) -> None:
    data = heic_with_map(BASE, LEVELS, TWO_STOPS)
    if is_hidden:
        at = [i for i in range(len(data)) if data[i : i + 4] == b"infe"][1]
        data = data[: at + 7] + b"\1" + data[at + 8 :]
    picture = decode_photo(data)
    assert (picture.declared.gain_map, picture.notes) == ("used", ())
    x = (np.arange(256) - 1.5) / 4
    expected = (LIGHT + 1 / 64) * 2 ** (2 * np.clip(4 * x, 0, 252) / 255) - 1 / 64
    np.testing.assert_allclose(rendition_of(picture)[96, 8:-8, 1], expected[8:-8], rtol=0.03)
    np.testing.assert_allclose(picture.linear @ P3_TO_SRGB.T, LIGHT, rtol=0.02)


def test_avif_with_a_map_is_read_as_the_rendition() -> None:
    """A twin of its base serves as its map, so that one picture is enough."""
    twins = with_twin(enc(BASE, "AVIF", quality=95))
    assert [kind for _, kind in items_of(twins)] == [b"av01", b"av01"]
    picture = decode_photo(with_tmap(twins, (1, 2), TWO_STOPS))
    assert picture.declared.gain_map == "used"
    expected = (LIGHT + 1 / 64) * 2 ** (2 * 118 / 255) - 1 / 64
    np.testing.assert_allclose(rendition_of(picture).mean(), expected, rtol=0.02)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("unknown version", b"\7" + TWO_STOPS[1:]),
        ("cut off", TWO_STOPS[:30]),
        ("empty", b""),
        ("far too strong", b"\0" + iso_content([0], [60])),
    ],
)
def test_heic_whose_map_makes_no_sense_is_read_as_the_base(name: str, content: bytes) -> None:
    picture = decode_photo(heic_with_map(BASE, LEVELS, content))
    assert picture.notes == (NOT_USED,), name
    assert picture.rendition is None
    np.testing.assert_allclose(picture.linear @ P3_TO_SRGB.T, LIGHT, rtol=0.02)


def test_map_of_another_shape_or_of_no_item_leaves_the_base() -> None:
    plain = heic_with_map(BASE, LEVELS.resize((64, 20)), TWO_STOPS)
    assert decode_photo(plain).notes == (NOT_USED,)
    lone = enc(BASE, "AVIF")
    assert decode_photo(with_tmap(lone, (1, 99), TWO_STOPS)).notes == (NOT_USED,)


@given(st.data())
@settings(max_examples=150, deadline=None)
def test_changed_boxes_give_a_map_or_none_or_say_that_it_makes_no_sense(
    data: st.DataObject,
) -> None:
    changed = bytearray(PAIR)
    for _ in range(data.draw(st.integers(1, 5))):
        changed[data.draw(st.integers(0, META_END))] = data.draw(st.integers(0, 255))
    try:
        found = heif_map(bytes(changed))
    except GainMapError:
        return
    assert found is None or len(found.file) == len(changed)


PAIR = heic_with_map(BASE, LEVELS, TWO_STOPS)
META_END = PAIR.index(b"mdat")


# --- raw photos ---


def scene() -> np.ndarray:
    linear = np.full((120, 160, 3), 0.18)
    linear[:60, :80], linear[:60, 80:], linear[60:, :80] = (
        (0.6, 0.05, 0.05),
        (0.05, 0.3, 0.1),
        (0.02, 0.05, 0.4),
    )
    return linear


def test_raw_photo_is_read_in_proportion_to_light_with_the_white_of_the_camera() -> None:
    """A sensor whose matrix and white are known sees colours that are known: TIFF/DNG tags."""
    pytest.importorskip("rawpy")
    picture = decode_photo(dng(scene()))
    assert picture.is_linear
    assert picture.size == (160, 120)
    found = picture.linear @ P3_TO_SRGB.T
    for y, x in ((30, 40), (30, 120), (90, 40), (90, 120)):
        np.testing.assert_allclose(found[y, x], scene()[y, x], atol=0.002)


def test_raw_photo_comes_upright_and_without_private_data() -> None:
    pytest.importorskip("rawpy")
    picture = decode_photo(dng(scene(), orientation=6))
    assert picture.size == (120, 160)
    assert (picture.width, picture.height) == (120, 160)
    found = picture.linear @ P3_TO_SRGB.T
    np.testing.assert_allclose(found[40, 90], scene()[30, 40], atol=0.002)
    assert "Maker" not in repr(picture.capture)


def test_large_raw_photo_is_halved_and_still_exact() -> None:
    pytest.importorskip("rawpy")
    large = np.kron(scene(), np.ones((20, 20, 1)))
    picture = decode_photo(dng(large))
    assert picture.size == (3200, 2400)
    found = picture.linear @ P3_TO_SRGB.T
    np.testing.assert_allclose(found[300, 400], scene()[30, 40], atol=0.002)


def test_without_the_part_that_reads_them_raw_photos_are_refused_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "rawpy", None)  # as if it were not installed
    with pytest.raises(PhotoError, match=r"raw photo .* Use JPEG, PNG, WebP, HEIC or AVIF\."):
        decode_photo(dng(scene()))


def test_plain_tiff_is_no_raw_photo() -> None:
    tiff = enc(BASE, "TIFF")
    assert not is_dng(tiff)
    with pytest.raises(PhotoError, match="not a photo in a format we read"):
        decode_photo(tiff)


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_odd_raw_photos_are_refused_and_never_crash() -> None:
    pytest.importorskip("rawpy")
    good = dng(scene())
    too_large = dng(scene(), t256=("I", [60_000]), t257=("I", [60_000]))
    odd = {"cut off": good[:900], "head": good[:60], "too large": too_large}
    for name, data in odd.items():
        with pytest.raises(PhotoError) as refused:
            decode_photo(data)
        assert str(refused.value).endswith("."), name


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_changed_raw_photos_are_read_or_refused() -> None:
    pytest.importorskip("rawpy")
    good, rng = dng(scene()), np.random.default_rng(4)
    for _ in range(60):
        changed = bytearray(good)
        for place in rng.integers(8, 500, rng.integers(1, 4)):
            changed[place] = rng.integers(256)
        try:
            picture = decode_photo(bytes(changed))
        except PhotoError:
            continue
        assert np.isfinite(picture.linear).all()
