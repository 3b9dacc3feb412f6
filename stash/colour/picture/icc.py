"""What the numbers in a picture mean: ICC profiles, coded colour descriptions, our own profile.

A profile made of three curves and a matrix (all phones, cameras and screens) is read here, so
that wide colours are neither clipped nor rounded to 8 bits on the way to linear light. Profiles
made of tables (printers, CMYK) are left to LittleCMS by the caller.

Source: ICC.1:2022 (tags curv, para, XYZ, mluc), ITU-T H.273 (coded primaries and transfer).
"""

import struct
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.transfer import hlg_light, pq_light
from stash.colour.spaces.srgb import (
    BT2020_PRIMARIES,
    D65_XYZ,
    P3_PRIMARIES,
    P3_TO_XYZ,
    SRGB_PRIMARIES,
    decode_srgb,
    rgb_to_xyz_matrix,
)

FloatArray = NDArray[np.floating[Any]]

_CODES = np.linspace(0, 1, 256)
_BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
_D50_XYZ = np.array([0.9642, 1.0, 0.8249])
_PRIMARIES = {1: SRGB_PRIMARIES, 9: BT2020_PRIMARIES, 12: P3_PRIMARIES}
_PQ, _HLG, _LINEAR = 16, 18, 8
_GAMMAS = {4: 2.2, 5: 2.8}
_BRIGHTEST = 2.0  # of white; profiles whose white is not adapted stay below 1.4


def _adaptation(source_xyz: FloatArray, target_xyz: FloatArray) -> FloatArray:
    gain = (_BRADFORD @ target_xyz) / (_BRADFORD @ source_xyz)
    return np.asarray(np.linalg.solve(_BRADFORD, gain[:, None] * _BRADFORD))


_D50_TO_D65 = _adaptation(_D50_XYZ, D65_XYZ)
_D65_TO_D50 = _adaptation(D65_XYZ, _D50_XYZ)


@dataclass(frozen=True, kw_only=True, eq=False)
class Encoding:
    """How 8-bit codes become linear Display P3.

    curves: (3, 256) float32, linear light of each code and channel.
    to_p3: (3, 3) float32, from the source's linear channels to linear Display P3.
    """

    curves: NDArray[np.float32]
    to_p3: NDArray[np.float32]


def _encoding(curves: list[FloatArray], to_xyz_d65: FloatArray) -> Encoding:
    to_p3 = np.linalg.solve(P3_TO_XYZ, to_xyz_d65)
    return Encoding(curves=np.array(curves, np.float32), to_p3=to_p3.astype(np.float32))


SRGB = _encoding([decode_srgb(_CODES)] * 3, rgb_to_xyz_matrix(SRGB_PRIMARIES))
DISPLAY_P3 = _encoding([decode_srgb(_CODES)] * 3, P3_TO_XYZ)


class ProfileError(ValueError):
    """The profile is of the kind read here, but what it says describes no picture."""


def encoding_of_profile(profile: bytes, *, is_grey: bool) -> Encoding | None:
    """Return the encoding of a curve-and-matrix (or grey curve) profile.

    Parameters
    ----------
    profile : the bytes of an ICC profile
    is_grey : whether the pixels are grey

    Returns
    -------
    How 8-bit codes become linear Display P3. None when the bytes are no such profile or describe
    another kind of pixels; the caller then asks LittleCMS or takes the picture as sRGB.

    Raises
    ------
    ProfileError
        The curves do not lead from dark to light, or the colours do not add up to white: any light
        may come of it. Nothing else is raised, whatever the bytes.

    Source
    ------
    ICC.1:2022.
    """
    try:
        space = profile[16:20]
        if profile[36:40] != b"acsp" or space != (b"GRAY" if is_grey else b"RGB "):
            return None
        tags = _tags(profile)
        if is_grey:
            return _encoding([_believed(tags[b"kTRC"])] * 3, P3_TO_XYZ)
        if b"A2B0" in tags:
            return None
        columns = np.array([_xyz(tags[name]) for name in (b"rXYZ", b"gXYZ", b"bXYZ")]).T
        curves = [_believed(tags[name]) for name in (b"rTRC", b"gTRC", b"bTRC")]
    except ProfileError:
        raise
    except (KeyError, IndexError, ValueError, ArithmeticError, struct.error):
        return None
    if abs(np.linalg.det(columns)) <= 1e-4:
        return None
    white = columns.sum(axis=1) / _D50_XYZ
    if np.abs(columns).max() > _BRIGHTEST or not ((white > 0.5) & (white < _BRIGHTEST)).all():
        raise ProfileError("The colours do not add up to white.")
    return _encoding(curves, _D50_TO_D65 @ columns)


def _believed(tag: bytes) -> FloatArray:
    """Return the curve of a tag if it leads from dark to light and never back."""
    with np.errstate(all="ignore"):
        curve = _curve(tag)
    rises = (np.diff(curve) >= -1e-4).all()  # not so with NaN either
    if not (rises and abs(curve[0]) < 0.2 and 0.5 < curve[-1] < _BRIGHTEST):
        raise ProfileError("The curve does not lead from dark to light.")
    return curve


def encoding_of_codes(primaries: int, transfer: int) -> Encoding:
    """Return the encoding for coded primaries and transfer.

    Unknown and “unspecified” codes count as sRGB. The BT.709 family of transfer codes counts as the
    sRGB curve too, as viewers show it (common practice). In PQ and HLG, diffuse white becomes 1;
    highlights go above (`transfer`).

    Parameters
    ----------
    primaries, transfer : code numbers of H.273 (an nclx tag)

    Returns
    -------
    How 8-bit codes become linear Display P3.

    Source
    ------
    ITU-T H.273; ITU-R BT.2100 and BT.2408.
    """
    to_xyz = rgb_to_xyz_matrix(_PRIMARIES.get(primaries, SRGB_PRIMARIES))
    return _encoding([_transfer_curve(transfer)] * 3, to_xyz)


def _transfer_curve(transfer: int) -> FloatArray:
    if transfer == _LINEAR:
        return _CODES
    if transfer in _GAMMAS:
        return np.asarray(_CODES ** _GAMMAS[transfer])
    if transfer == _PQ:
        return pq_light(_CODES)
    if transfer == _HLG:
        return hlg_light(_CODES)
    return decode_srgb(_CODES)


def _tags(profile: bytes) -> dict[bytes, bytes]:
    (count,) = struct.unpack_from(">I", profile, 128)
    if count > 200:
        raise ValueError("Too many tags for a profile.")
    tags = {}
    for index in range(count):
        name, offset, size = struct.unpack_from(">4sII", profile, 132 + 12 * index)
        tags[name] = profile[offset : offset + size]
    return tags


def _xyz(tag: bytes) -> FloatArray:
    if tag[:4] != b"XYZ ":
        raise ValueError("Not an XYZ tag.")
    return np.array(struct.unpack_from(">3i", tag, 8)) / 65536


def _curve(tag: bytes) -> FloatArray:
    """Return linear light of the 256 codes for a curv or para tag."""
    kind = tag[:4]
    if kind == b"para":
        return _parametric(tag)
    if kind != b"curv":
        raise ValueError("Not a curve tag.")
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return _CODES
    if count == 1:
        return np.asarray(_CODES ** (struct.unpack_from(">H", tag, 12)[0] / 256))
    table = np.frombuffer(tag, ">u2", count, 12) / 65535
    return np.interp(_CODES, np.linspace(0, 1, count), table)


def _parametric(tag: bytes) -> FloatArray:
    (kind,) = struct.unpack_from(">H", tag, 8)
    count = (1, 3, 4, 5, 7)[kind]
    numbers = [n / 65536 for n in struct.unpack_from(f">{count}i", tag, 12)]
    g, a, b, c, d, e, f = numbers + [1.0, 0.0, 0.0, 0.0, 0.0, 0.0][count - 1 :]
    if kind == 0:
        return np.asarray(_CODES**g)
    if kind in (1, 2):  # below -b/a the curve is flat at c
        c, d, e, f = 0.0, -b / a, c, c
    power = np.maximum(a * _CODES + b, 0) ** g + e
    return np.asarray(np.where(d <= _CODES, power, c * _CODES + f))


def _text_tag(text: str) -> bytes:
    words = text.encode("utf-16-be")
    return (
        b"mluc"
        + struct.pack(">IIIccccII", 0, 1, 12, b"e", b"n", b"U", b"S", len(words), 28)
        + words
    )


def _xyz_tag(xyz: FloatArray) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(65536 * float(n)) for n in xyz))


def _make_profile() -> bytes:
    """Return a small ICC version 4 profile for Display P3, written from the published numbers."""
    columns = (_D65_TO_D50 @ P3_TO_XYZ).T
    numbers = (round(65536 * n) for n in (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045))
    curve = b"para\0\0\0\0" + struct.pack(">HH5i", 3, 0, *numbers)
    chad = b"sf32\0\0\0\0" + struct.pack(">9i", *(round(65536 * n) for n in _D65_TO_D50.ravel()))
    blocks = [
        ((b"desc",), _text_tag("Wide gamut working picture")),
        ((b"cprt",), _text_tag("No copyright, use freely")),
        ((b"wtpt",), _xyz_tag(_D50_XYZ)),
        ((b"chad",), chad),
        ((b"rXYZ",), _xyz_tag(columns[0])),
        ((b"gXYZ",), _xyz_tag(columns[1])),
        ((b"bXYZ",), _xyz_tag(columns[2])),
        ((b"rTRC", b"gTRC", b"bTRC"), curve),
    ]
    count = sum(len(names) for names, _ in blocks)
    offset, table, body = 132 + 12 * count, b"", b""
    for names, block in blocks:
        for name in names:
            table += struct.pack(">4sII", name, offset + len(body), len(block))
        body += block + bytes(-len(block) % 4)
    head = struct.pack(
        ">I4sI4s4s4s", offset + len(body), bytes(4), 0x04300000, b"mntr", b"RGB ", b"XYZ "
    )
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(24 + 4)
    head += struct.pack(">3i", *(round(65536 * float(n)) for n in _D50_XYZ)) + bytes(48)
    return head + struct.pack(">I", count) + table + body


P3_PROFILE = _make_profile()
