"""Gain maps: what they say, what they do to light, and maps that make no sense.

Source of every expected number: the equation and the fields of ISO 21496-1, worked out here.
"""

import io
import math
import struct

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, MpoImagePlugin

from stash.colour.picture.gain_map import (
    GainMap,
    GainMapError,
    apply_gain,
    gain_between,
    gain_of_iso,
    iso_of_gain,
)
from stash.colour.picture.gain_map_files import jpeg_with_map
from stash.colour.picture.gain_map_xmp import gain_of_xmp
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.renditions import NOT_USED
from stash.colour.picture.upright import RENDITION_WHITE, Picture
from stash.colour.spaces.srgb import P3_TO_SRGB
from tests.colour.gain_map_files import (
    iso_content,
    iso_segment,
    photo_with_map,
    segment,
    xmp_packet,
    xmp_segment,
)
from tests.colour.photo_corpus import enc, sof_size

RAMP = np.tile(np.arange(0, 256, 4, dtype=np.uint8), (48, 1))
BASE = Image.new("RGB", (256, 192), (118, 118, 118))
LEVELS = Image.fromarray(RAMP)
TWO_STOPS = GainMap(low=(0, 0, 0), high=(2, 2, 2), hdr_headroom=2)


def srgb_of(picture: Picture) -> np.ndarray:
    """Linear sRGB of the rendition, white of the shown picture = 1."""
    return picture.measured.linear @ P3_TO_SRGB.T / RENDITION_WHITE


# --- the equation ---


@pytest.mark.parametrize(
    ("code", "base", "lit"),
    # (base + 1/64) 2^(2 code / 255) - 1/64, by hand for the ends and the square root of 4
    [(0, 0.18, 0.18), (255, 0.5, 4 * (0.5 + 1 / 64) - 1 / 64), (255, 0.0, 3 / 64)],
)
def test_gain_is_applied_by_the_equation(code: int, base: float, lit: float) -> None:
    linear = np.full((6, 8, 3), base, np.float32)
    found = apply_gain(linear, np.full((3, 4), code, np.uint8), TWO_STOPS)
    np.testing.assert_allclose(found, lit, rtol=1e-5)


def test_each_channel_has_its_own_range_gamma_and_offsets() -> None:
    gain = GainMap(
        low=(0, -1, 0.5),
        high=(1, 1, 3),
        gamma=(1, 2, 0.5),
        base_offset=(0, 0.01, 0.02),
        hdr_offset=(0, 0.02, 0.01),
        hdr_headroom=3,
    )
    codes = np.full((2, 2, 3), (51, 102, 204), np.uint8)
    found = apply_gain(np.full((4, 4, 3), 0.3, np.float32), codes, gain)[0, 0]
    expected = [
        0.3 * 2**0.2,
        (0.3 + 0.01) * 2 ** (-1 + 2 * math.sqrt(0.4)) - 0.02,
        (0.3 + 0.02) * 2 ** (0.5 + 2.5 * 0.8**2) - 0.01,
    ]
    np.testing.assert_allclose(found, expected, rtol=1e-5)


@given(
    low=st.floats(-8, 8),
    high=st.floats(-8, 8),
    gamma=st.floats(0.1, 10),
    seed=st.integers(0, 99),
)
@settings(max_examples=60, deadline=None)
def test_no_place_changes_by_more_than_the_map_declares(
    low: float, high: float, gamma: float, seed: int
) -> None:
    low, high = sorted((low, high))
    gain = GainMap(low=(low,) * 3, high=(high,) * 3, gamma=(gamma,) * 3, hdr_headroom=1)
    rng = np.random.default_rng(seed)
    base = rng.uniform(0, 1, (30, 40, 3)).astype(np.float32)
    codes = rng.integers(0, 256, (7, 90, 3)).astype(np.uint8)
    found = apply_gain(base, codes, gain)
    assert (found <= np.maximum((base + 1 / 64) * 2**high * 1.0001 - 1 / 64 + 1e-5, 0)).all()
    assert (found >= np.maximum((base + 1 / 64) * 2**low * 0.9999 - 1 / 64 - 1e-5, 0)).all()


def test_map_between_two_renditions_leads_from_one_to_the_other() -> None:
    rng = np.random.default_rng(3)
    base = rng.uniform(0, 1, (60, 80, 3)).astype(np.float32)
    rendition = base * rng.uniform(0.5, 4, (60, 80, 1)).astype(np.float32)
    codes, gain = gain_between(base, rendition)
    step = max(high - low for low, high in zip(gain.low, gain.high, strict=True)) / 255
    found = apply_gain(base, codes, gain)
    assert np.abs(np.log2((found + 1 / 64) / (rendition + 1 / 64))).max() <= step / 2 + 1e-4


# --- the metadata ---


@pytest.mark.parametrize("channels", [1, 3])
def test_iso_metadata_is_read(channels: int) -> None:
    gain = gain_of_iso(
        iso_content(
            [-0.5] * channels, [2.25] * channels, gamma=1.5, offsets=(0.01, 0.02), headrooms=(0, 3)
        )
    )
    assert gain == GainMap(
        low=(-0.5,) * 3,
        high=(2.25,) * 3,
        gamma=(1.5,) * 3,
        base_offset=(0.01,) * 3,
        hdr_offset=(0.02,) * 3,
        hdr_headroom=3,
    )


def test_iso_metadata_with_one_denominator_is_read() -> None:
    content = struct.pack(">HHBI", 0, 0, 0x08, 64) + struct.pack(">II", 0, 128)
    content += struct.pack(">iiIii", -64, 128, 64, 1, 1)
    gain = gain_of_iso(content)
    assert (gain.low[0], gain.high[0], gain.hdr_headroom) == (-1, 2, 2)
    assert (gain.base_offset[2], gain.in_base_colours) == (1 / 64, False)


def test_iso_metadata_comes_back() -> None:
    gain = GainMap(low=(-0.5, 0, 0.25), high=(1, 2, 3.5), gamma=(1, 0.5, 2), hdr_headroom=3)
    assert gain_of_iso(iso_of_gain(gain)) == gain


def test_xmp_is_read_as_attributes_and_as_lists_with_what_is_left_out() -> None:
    assert gain_of_xmp(xmp_packet(GainMapMax="2", HDRCapacityMax=2.0)) == TWO_STOPS
    listed = xmp_packet(GainMapMax=[1, 2, 3.5], GainMapMin="-0.5", Gamma="2", HDRCapacityMax="1e0")
    assert gain_of_xmp(listed) == GainMap(
        low=(-0.5,) * 3, high=(1, 2, 3.5), gamma=(2, 2, 2), hdr_headroom=1
    )
    assert gain_of_xmp(b"<rdf:RDF/>") is None


def test_map_of_a_base_that_is_hdr_itself_leads_elsewhere() -> None:
    packet = xmp_packet(GainMapMax="2", HDRCapacityMax="2", BaseRenditionIsHDR="True")
    found = gain_of_xmp(packet)
    assert found is not None
    assert not found.leads_to_hdr
    photo = photo_with_map(BASE, LEVELS, segment(0xE1, packet))
    picture = decode_photo(photo)
    assert (picture.declared.gain_map, picture.rendition, picture.notes) == ("left", None, ())


@given(st.binary(max_size=200))
@settings(max_examples=300, deadline=None)
def test_odd_metadata_is_refused_and_never_crashes(content: bytes) -> None:
    for read in (gain_of_iso, gain_of_xmp):
        try:
            read(content)
        except GainMapError:
            continue


ODD = {
    "cut off": iso_segment([0], [2])[:-20],
    "later version": segment(0xE2, b"urn:iso:std:iso:ts:21496:-1\0\0\x07\0\x07" + bytes(60)),
    "divided by nought": segment(0xE2, b"urn:iso:std:iso:ts:21496:-1\0" + bytes(80)),
    "upside down": iso_segment([2], [0]),
    "far too strong": iso_segment([0], [40]),
    "gamma of nought": iso_segment([0], [2], gamma=0),
    "great offset": iso_segment([0], [2], offsets=(9, 0)),
    "no number": xmp_segment(GainMapMax="nan", HDRCapacityMax="2"),
    "endless": xmp_segment(GainMapMax="1e999", HDRCapacityMax="2"),
    "no headroom said": xmp_segment(GainMapMax="2"),
    "two channels": xmp_segment(GainMapMax=[1, 2], HDRCapacityMax="2"),
}


@pytest.mark.parametrize("name", ODD)
def test_a_map_that_makes_no_sense_leaves_the_base_and_says_so(name: str) -> None:
    described = ODD[name]
    if name == "cut off":
        described = segment(0xE2, described[4:])
    picture = decode_photo(photo_with_map(BASE, LEVELS, described))
    assert picture.notes == (NOT_USED,)
    assert picture.declared.gain_map is None
    np.testing.assert_array_equal(
        picture.linear, decode_photo(enc(BASE, "JPEG", quality=90)).linear
    )


# --- whole files ---


@pytest.mark.parametrize("form", ["ISO", "XMP"])
def test_a_photo_with_a_map_is_read_as_the_rendition_and_shown_as_the_base(form: str) -> None:
    described = (
        iso_segment([0.0], [2.0])
        if form == "ISO"
        else xmp_segment(GainMapMin="0", GainMapMax="2", HDRCapacityMax="2")
    )
    picture = decode_photo(photo_with_map(BASE, LEVELS, described, quality=98))
    assert picture.declared.gain_map == "used"
    assert not picture.is_linear
    base = ((118 / 255 + 0.055) / 1.055) ** 2.4  # IEC 61966-2-1
    x = (np.arange(256) - 1.5) / 4  # centres of the map's pixels lie between the picture's
    expected = (base + 1 / 64) * 2 ** (2 * np.clip(4 * x, 0, 252) / 255) - 1 / 64
    found = srgb_of(picture)[96, :, 1]
    np.testing.assert_allclose(found[8:-8], expected[8:-8], rtol=0.02)
    np.testing.assert_allclose(picture.linear @ P3_TO_SRGB.T, base, rtol=0.02)
    view = np.asarray(Image.open(io.BytesIO(picture.view_file(200))))
    assert np.abs(view.astype(int) - 118).max() <= 3


def test_the_map_turns_with_its_picture() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned to the right for viewing
    photo = photo_with_map(BASE, LEVELS, iso_segment([0], [2]), exif=exif)
    picture = decode_photo(photo)
    assert picture.size == (192, 256)
    found = srgb_of(picture)[:, 96, 1]
    assert found[-1] > 2.5 * found[0]


def test_what_is_stored_keeps_the_rendition() -> None:
    rng = np.random.default_rng(1)
    blocks = np.kron(rng.integers(20, 236, (6, 8, 3)), np.ones((32, 32, 1))).astype(np.uint8)
    photo = photo_with_map(Image.fromarray(blocks), LEVELS, iso_segment([-1], [2.5]), quality=97)
    first = decode_photo(photo)
    stored = first.working_file()
    again = decode_photo(stored)
    assert again.declared.gain_map == "used"
    inside = (slice(8, 184), slice(8, 248))
    mean, kept = (
        picture.measured.linear[inside].reshape(11, 16, 15, 16, 3).mean(axis=(1, 3))
        for picture in (first, again)
    )
    np.testing.assert_allclose(kept, mean, rtol=0.04, atol=0.002)
    with Image.open(io.BytesIO(stored)) as plain:  # the index is one that others read
        assert isinstance(plain, MpoImagePlugin.MpoImageFile)
        assert plain.n_frames == 2
        plain.seek(1)
        plain.load()
        assert plain.size == (256, 192)


def test_a_turned_picture_keeps_both_renditions() -> None:
    picture = decode_photo(photo_with_map(BASE, LEVELS, iso_segment([0], [2])))
    turned = picture.turned(1)
    assert turned.size == (192, 256)
    np.testing.assert_array_equal(turned.linear, np.rot90(picture.linear))
    found, expected = turned.measured.linear, np.rot90(picture.measured.linear)
    np.testing.assert_allclose(found, expected, rtol=1e-6)


def test_maps_that_are_damaged_too_large_or_of_another_shape_leave_the_base() -> None:
    described = iso_segment([0], [2])
    good = photo_with_map(BASE, LEVELS, described)
    second = good.rindex(b"\xff\xd8\xff")
    odd = {
        "too large": good[:second] + sof_size(good[second:], 65000, 48750),
        "other shape": photo_with_map(BASE, LEVELS.resize((64, 20)), described),
        "no pixels": good[: second + len(described) + 60],
        "many parts": photo_with_map(BASE, LEVELS, described + b"\xff\xfe\0\2" * 6000),
    }
    for name, photo in odd.items():
        picture = decode_photo(photo)
        assert picture.notes == (NOT_USED,), name
        assert picture.rendition is None, name


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_changed_files_are_read_within_the_declared_range_or_as_the_base(
    data: st.DataObject,
) -> None:
    photo = bytearray(photo_with_map(BASE, LEVELS, iso_segment([0], [2])))
    second = bytes(photo).rindex(b"\xff\xd8\xff")
    index = bytes(photo).index(b"MPF\0")
    places = st.one_of(
        st.integers(index, index + 90),
        st.integers(second, second + 400),
        st.integers(second, len(photo) - 1),
    )
    for _ in range(data.draw(st.integers(1, 4))):
        photo[data.draw(places)] = data.draw(st.integers(0, 255))
    picture = decode_photo(bytes(photo))
    for linear in (picture.linear, picture.measured.linear):
        assert np.isfinite(linear).all()
        assert linear.min() >= -0.01
        assert linear.max() <= 1.01


def test_the_second_picture_of_a_pair_is_no_map() -> None:
    buffer = io.BytesIO()
    BASE.encoderinfo = {}
    BASE.save(buffer, "MPO", save_all=True, append_images=[BASE])
    picture = decode_photo(buffer.getvalue())
    assert (picture.notes, picture.rendition, picture.declared.gain_map) == ((), None, None)


def test_own_files_say_where_the_map_lies() -> None:
    photo = jpeg_with_map(enc(BASE, "JPEG"), enc(LEVELS, "JPEG"), TWO_STOPS)
    with Image.open(io.BytesIO(photo)) as opened:
        opened.seek(1)
        assert opened.size == LEVELS.size
