"""Small DNG files of a camera whose sensor is known, put together tag by tag.

Source: TIFF 6.0 and the tags of DNG 1.4; from memory.
"""

import struct
from typing import Any

import numpy as np

from stash.colour.spaces.srgb import SRGB_TO_XYZ

#: What the sensor gives for white: red and blue see less than green.
NEUTRAL = np.array([0.5, 1.0, 0.625])
_BLACK, _WHITE = 256, 4095
_FORMATS = {"B": 1, "s": 2, "H": 3, "I": 4, "II": 5, "ii": 10}


def dng(linear_srgb: np.ndarray, *, orientation: int = 1, **changed: Any) -> bytes:
    """Return a mosaic of light (h, w, 3), linear sRGB, as the sensor saw it; changed: raw tags."""
    height, width = linear_srgb.shape[:2]
    sensor = linear_srgb * NEUTRAL
    mosaic = np.empty((height, width))
    for row in (0, 1):
        for column in (0, 1):
            mosaic[row::2, column::2] = sensor[row::2, column::2, row + column]
    codes = np.rint(_BLACK + np.clip(mosaic, 0, 1) * (_WHITE - _BLACK)).astype("<u2").tobytes()
    matrix = np.diag(NEUTRAL) @ np.linalg.inv(SRGB_TO_XYZ)
    tags: dict[int, tuple[str, Any]] = {
        254: ("I", [0]),
        256: ("I", [width]),
        257: ("I", [height]),
        258: ("H", [16]),
        259: ("H", [1]),
        262: ("H", [32803]),  # a mosaic of colours
        271: ("s", b"Maker\0"),
        272: ("s", b"Model\0"),
        273: ("I", [0]),
        274: ("H", [orientation]),
        277: ("H", [1]),
        278: ("I", [height]),
        279: ("I", [len(codes)]),
        33421: ("H", [2, 2]),
        33422: ("B", [0, 1, 1, 2]),
        50706: ("B", [1, 4, 0, 0]),
        50708: ("s", b"Maker Model\0"),
        50714: ("H", [_BLACK]),
        50717: ("H", [_WHITE]),
        50721: ("ii", [(round(n * 10_000), 10_000) for n in matrix.ravel()]),
        50728: ("II", [(round(n * 10_000), 10_000) for n in NEUTRAL]),
        50778: ("H", [21]),  # D65
    }
    tags |= {int(name[1:]): tag for name, tag in changed.items()}
    return _tiff(tags, codes)


def _tiff(tags: dict[int, tuple[str, Any]], strip: bytes) -> bytes:
    start = 8 + 2 + 12 * len(tags) + 4
    for _ in range(2):  # the first time tells where the strip lies
        entries, beyond = b"", b""
        for number, (kind, numbers) in sorted(tags.items()):
            if kind == "s":
                content, count = numbers, len(numbers)
            elif len(kind) == 2:
                content = b"".join(struct.pack("<" + kind, *pair) for pair in numbers)
                count = len(numbers)
            else:
                content, count = struct.pack(f"<{len(numbers)}{kind}", *numbers), len(numbers)
            place = content.ljust(4, b"\0")
            if len(content) > 4:
                place = struct.pack("<I", start + len(beyond))
                beyond += content + bytes(len(content) % 2)
            entries += struct.pack("<HHI", number, _FORMATS[kind], count) + place
        tags[273] = ("I", [start + len(beyond)])
    return b"II*\0" + struct.pack("<IH", 8, len(tags)) + entries + bytes(4) + beyond + strip
