"""How many parts a file is made of: each costs its decoder time, however little is in it."""

from collections.abc import Iterator
from itertools import islice

__all__ = ["has_too_many_parts"]

# A camera writes a few dozen segments and at most some twenty scans; a PNG of 25 MB in chunks of
# one kilobyte has 25,000.
_MOST = {"JPEG": 5_000, "PNG": 100_000}
_MOST_SCANS = 200
_SCAN = b"\xff\xda"


def has_too_many_parts(data: bytes, kind: str) -> bool:
    """Return whether a JPEG or PNG has more segments, scans or chunks than any photo.

    Other kinds are taken apart by their libraries, which have limits of their own. Broken files
    have the parts that come before the damage.

    Parameters
    ----------
    data : the bytes of the file
    kind : JPEG, PNG or another, as `stash.colour.picture.photo` calls it

    Promise
    -------
    Never raises on any bytes; the time grows with the parts, up to the limit, and with the bytes.

    Source
    ------
    Limits: own derivation, beside them. Segments: ITU-T T.81, B.1; chunks: PNG (W3C), 5.3.

    Examples
    --------
    >>> has_too_many_parts(b"\\xff\\xd8" + 6000 * b"\\xff\\xfe\\x00\\x02", "JPEG")
    True
    """
    if kind not in _MOST:
        return False
    if kind == "JPEG" and data.count(_SCAN) > _MOST_SCANS:
        return True
    parts = _segments(data) if kind == "JPEG" else _chunks(data)
    return next(islice(parts, _MOST[kind], None), None) is not None


def _segments(data: bytes) -> Iterator[int]:
    """Yield where each segment before the first scan begins; bytes that fill count as one each."""
    at = 2
    while at + 4 <= len(data) and data[at] == 0xFF and data[at : at + 2] != _SCAN:
        yield at
        is_fill = data[at + 1] == 0xFF
        at += 1 if is_fill else 2 + max(2, int.from_bytes(data[at + 2 : at + 4], "big"))


def _chunks(data: bytes) -> Iterator[int]:
    """Yield where each chunk begins."""
    at = 8
    while at + 12 <= len(data):
        yield at
        at += 12 + int.from_bytes(data[at : at + 4], "big")
