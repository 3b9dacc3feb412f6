"""Raw photos in the open form DNG: what the sensor saw, without a tone curve.

They are developed by LibRaw through rawpy, an optional part (`pip install .[raw]`). The picture is
proportional to light; white balance is the camera's, and 1 is where its sensor is full.

Source: DNG (an open extension of TIFF 6.0: the tag that names its version), from memory.
"""

import io
import struct
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["RawMissing", "develop", "is_dng"]

MAX_RAW_PIXELS = 50_000_000
# Of pixels with three colours each, which are held four times as large as those of a mosaic.
MAX_FULL_PIXELS = 16_000_000
_ORDERS = {b"II*\0": "<", b"MM\0*": ">"}
_DNG_VERSION = 0xC612
_MOST_TAGS = 500
_HALF_FROM = 3_000  # pixels of the long side; then half of it is still enough


class RawMissing(Exception):
    """The part that reads raw photos is not installed."""


def is_dng(data: bytes) -> bool:
    """Return whether bytes begin like a DNG file: TIFF whose first directory says so.

    Parameters
    ----------
    data : the bytes of the file

    Promise
    -------
    Never raises on any bytes; looks at one directory.

    Source
    ------
    TIFF 6.0, section 2; the tag DNGVersion.

    Examples
    --------
    >>> is_dng(b"II*\\0")
    False
    """
    order = _ORDERS.get(data[:4])
    if order is None:
        return False
    try:
        (first,) = struct.unpack_from(order + "I", data, 4)
        (count,) = struct.unpack_from(order + "H", data, first)
        tags = (
            struct.unpack_from(order + "H", data, first + 2 + 12 * i)[0]
            for i in range(min(count, _MOST_TAGS))
        )
        return _DNG_VERSION in tags
    except struct.error:
        return False


def develop(
    data: bytes, check: Callable[[tuple[int, int], int], None]
) -> tuple[NDArray[np.uint16], tuple[int, int]]:
    """Return the light in a DNG file, upright, and the size of the whole.

    Parameters
    ----------
    data : the bytes of the file
    check : is asked before anything is decoded, with (width, height) and the most pixels that the
        file may have; refuses by raising

    Returns
    -------
    (h, w, 3), 16-bit codes proportional to light, in the primaries of ITU-R BT.2020, averaged by
    twos where it is large; and (width, height) in pixels before that.

    Raises
    ------
    RawMissing
        The part that reads raw photos is not installed.

    ValueError
        It has other colours than red, green and blue.

    Notes
    -----
    Whatever LibRaw finds wrong comes as its own error; the caller takes the file as damaged.
    """
    try:
        import rawpy
    except ImportError as error:
        raise RawMissing from error

    with rawpy.imread(io.BytesIO(data)) as raw:
        sizes = raw.sizes
        check((sizes.width, sizes.height), MAX_RAW_PIXELS if _is_mosaic(raw) else MAX_FULL_PIXELS)
        developed: NDArray[Any] = raw.postprocess(
            half_size=max(sizes.width, sizes.height) >= _HALF_FROM,
            gamma=(1, 1),
            no_auto_bright=True,
            output_bps=16,
            use_camera_wb=True,
            output_color=rawpy.ColorSpace.Rec2020,
        )
        is_turned = sizes.flip in (5, 6)
        size = (sizes.height, sizes.width) if is_turned else (sizes.width, sizes.height)
    if developed.dtype != np.uint16 or developed.ndim != 3 or developed.shape[2] != 3:
        raise ValueError("It was not developed to three colours.")
    return np.asarray(developed, np.uint16), size


def _is_mosaic(raw: Any) -> bool:
    """Return whether each place of the sensor has one colour."""
    return raw.raw_pattern is not None
