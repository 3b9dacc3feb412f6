"""Files with colour profiles, sound and broken."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import partial
from typing import Any

import pillow_heif
from PIL import ImageCms

from stash.colour.picture.icc import P3_PROFILE
from tests.colour.photo_corpus import after_soi, segment
from tests.reliability.photo_files.cases import Case, case_of, encode, jpeg, patched


def _with_profile(profile: bytes, fmt: str = "JPEG", mode: str = "RGB") -> bytes:
    return encode(fmt, mode, icc_profile=profile, **({"quality": 92} if fmt == "JPEG" else {}))


def _tag_at(name: bytes) -> tuple[int, int]:
    """Where a tag of our profile lies, and how long it is."""
    at = P3_PROFILE.index(name, 128)
    offset, size = struct.unpack(">II", P3_PROFILE[at + 4 : at + 12])
    return offset, size


def _profile_with(name: bytes, content: bytes) -> bytes:
    """Our profile with other content for one tag, laid behind the rest."""
    at = P3_PROFILE.index(name, 128)
    where = struct.pack(">II", len(P3_PROFILE), len(content))
    return P3_PROFILE[: at + 4] + where + P3_PROFILE[at + 12 :] + content


def _curves_with(content: bytes) -> bytes:
    """Our profile with another curve for all three channels."""
    profile = P3_PROFILE
    for name in (b"rTRC", b"gTRC", b"bTRC"):
        at = profile.index(name, 128)
        where = struct.pack(">II", len(P3_PROFILE), len(content))
        profile = profile[: at + 4] + where + profile[at + 12 :]
    return profile + content


def _para(kind: int, *numbers: float) -> bytes:
    fixed = (max(-(2**31), min(2**31 - 1, round(65536 * number))) for number in numbers)
    return b"para\0\0\0\0" + struct.pack(f">HH{len(numbers)}i", kind, 0, *fixed)


def _table(*codes: int) -> bytes:
    return b"curv\0\0\0\0" + struct.pack(f">I{len(codes)}H", len(codes), *codes)


def _xyz(*numbers: float) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(
        ">3i", *(max(-(2**31), min(2**31 - 1, round(65536 * number))) for number in numbers)
    )


def profiles() -> Iterator[Case]:
    odd = {
        "of a gamma of 256": _curves_with(_table(65535)),
        "of a gamma of nought": _curves_with(_table(0)),
        "of a gamma in a formula of nought": _curves_with(_para(0, 0.0)),
        "of a gamma below nought": _curves_with(_para(0, -2.2)),
        "of an endless gamma": _curves_with(_para(0, 32767.0)),
        "of a formula that divides by nought": _curves_with(_para(1, 2.2, 0.0, 0.5)),
        "of a formula that starts too high": _curves_with(_para(3, 2.2, 30000.0, 3.0, 9.0, 0.5)),
        "of a formula far below nought": _curves_with(_para(4, 2.2, 1, 0, 1, 0.1, -30000, -30000)),
        "of a formula that is not known": _curves_with(_para(9, 1.0)),
        "of a curve that falls": _curves_with(_table(*range(65535, 0, -257))),
        "of a curve that is flat": _curves_with(_table(500, 500)),
        "of a curve that is missing": _curves_with(b"curv\0\0\0\0\0\xff\xff\xff"),
        "of light of a thousand": _profile_with(b"rXYZ", _xyz(1000, 1000, 1000)),
        "of light beyond all": _profile_with(b"gXYZ", _xyz(32767, -32767, 32767)),
        "of light below nought": _profile_with(b"bXYZ", _xyz(-0.5, -0.5, -0.5)),
        "of one colour": _profile_with(b"gXYZ", _xyz(0.436, 0.222, 0.014)),
        "with a table that is none": P3_PROFILE.replace(b"desc", b"A2B0", 1),
        "of paper": patched(P3_PROFILE, b"mntr", 4, b"CMYK"),
        "of grey": patched(P3_PROFILE, b"mntr", 4, b"GRAY"),
        "of Lab": patched(P3_PROFILE, b"mntr", 4, b"Lab "),
        "of endless tags": P3_PROFILE[:128] + b"\xff\xff\xff\xff" + P3_PROFILE[132:],
        "of no tags": P3_PROFILE[:128] + bytes(4) + P3_PROFILE[132:],
        "of zeros": bytes(400),
        "of one byte": b"x",
        "of text": b"not a profile" * 9,
    }
    for name, profile in odd.items():
        yield Case(name=f"profile {name}", kind="profile", make=partial(_with_profile, profile))
    for name in ("of a gamma of nought", "of grey", "of text"):
        for fmt in ("PNG", "WEBP", "AVIF", "HEIF"):
            yield Case(
                name=f"{fmt} with a profile {name}",
                kind="profile",
                make=partial(_heif_with if fmt == "HEIF" else _with_profile, odd[name], fmt),
            )
    for mode in ("L", "CMYK"):
        yield Case(
            name=f"profile for three channels with {mode}",
            kind="profile",
            make=partial(_with_profile, P3_PROFILE, mode=mode),
        )
    for mode in ("P", "LA", "RGBA", "1"):
        yield Case(
            name=f"PNG {mode} with a profile",
            kind="profile",
            make=partial(_with_profile, P3_PROFILE, "PNG", mode),
        )
    for space in ("sRGB", "XYZ", "LAB"):

        def of_library(space: Any = space) -> bytes:
            return _with_profile(ImageCms.ImageCmsProfile(ImageCms.createProfile(space)).tobytes())

        yield case_of(f"profile of the library, {space}", "profile", of_library)
    for eighth in range(1, 8):
        cut = P3_PROFILE[: len(P3_PROFILE) * eighth // 8]
        yield Case(
            name=f"profile cut at {eighth}/8", kind="profile", make=partial(_with_profile, cut)
        )
    halves = [
        b"ICC_PROFILE\0" + bytes([n, 2]) + P3_PROFILE[300 * n - 300 : 300 * n] for n in (1, 2)
    ]
    parts = [segment(0xE2, half) for half in halves]
    for name, order in {
        "in the wrong order": parts[::-1],
        "without its second part": parts[:1],
    }.items():
        make = partial(lambda order: after_soi(jpeg(), *order), order)
        yield Case(name=f"profile {name}", kind="profile", make=make)


def _heif_with(profile: bytes, fmt: str = "HEIF", mode: str = "RGB") -> bytes:
    pillow_heif.register_heif_opener()
    return encode(fmt, mode, icc_profile=profile)
