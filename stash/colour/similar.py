""" "You may already own this": the one rule by which two readings count as the same cloth.

    known = [(fabric.pk, Look(...), photo.picture_hash) for ...]   # or whole appearances
    for like in find_similar(appearance, picture_hash(picture), known):
        like.key, like.reason, like.sentence

Two readings are alike when their far colours differ by at most `FAR_ALIKE`, their palettes by at
most `PALETTE_ALIKE` and their contrast by at most `CONTRAST_ALIKE`. Without a reference in one of
the photos the far colour may be off by as much as the metering was, so `UNMEASURED` more is
allowed there, and likeness by colours alone is but a hint: about one false one a photo, in a stash
of 100. Two prints count as the same picture when in addition at most `SAME_BITS` bits of their
picture hashes differ; then the colours may differ by twice as much. Everything is symmetric:
swapping the two readings changes nothing.

The same file, sent again, needs no rule: whoever keeps digests of files builds
`Likeness(key=..., reason=Reason.SAME_FILE)` and puts it first, as `Reason` orders it.

A stash of thousands needs no reading of every row: whatever is alike by colour lies in the box
`far_box(appearance)`; only pictures that are the same may lie outside it, and those are found by
`hash_distance(...) <= SAME_BITS`.

Thresholds are set by tests/benchmarks/colour/likeness.py on rendered photos.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Protocol

import cv2
import numpy as np

from stash.colour.cloth.palette import PaletteColour
from stash.colour.picture.region import CENTRE, Region
from stash.colour.picture.upright import Picture
from stash.colour.spaces.cielab import Lab
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.spaces.srgb import encode_srgb

FAR_ALIKE = 5.0  # CIEDE2000
PALETTE_ALIKE = 6.0  # CIEDE2000, mean by share
CONTRAST_ALIKE = 12.0  # L*; also the least contrast of a print whose picture hash says anything
UNMEASURED = 4.0  # CIEDE2000 more, when one of the two is an estimate
SAME_BITS = 8  # of 63

_CODES = encode_srgb(np.linspace(0, 1, 65536)).astype(np.float32)


class Reason(IntEnum):
    """Why a fabric may be the same one, surest first."""

    SAME_FILE = 1
    SAME_PICTURE = 2
    SAME_COLOURS = 3
    PERHAPS_COLOURS = 4

    @property
    def sentence(self) -> str:
        """What to tell the person."""
        return _SENTENCES[self]


_SENTENCES = {
    Reason.SAME_FILE: "This very photo is in your stash.",
    Reason.SAME_PICTURE: "A photo in your stash shows the same print in the same colours.",
    Reason.SAME_COLOURS: "A fabric in your stash has the same colours; compare the prints.",
    Reason.PERHAPS_COLOURS: "The colours are close, but without a card in both photos that says"
    " little.",
}


class Looks(Protocol):
    """What the rule needs to know of a reading; an `Appearance` has it all."""

    @property
    def far(self) -> Lab: ...

    @property
    def palette(self) -> Sequence[PaletteColour]: ...

    @property
    def contrast(self) -> float: ...

    @property
    def is_estimate(self) -> bool: ...


@dataclass(frozen=True, kw_only=True)
class Look:
    """The same, for who keeps columns instead of appearances."""

    far: Lab
    palette: tuple[PaletteColour, ...]
    contrast: float
    is_estimate: bool


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """A fabric that may be the same: its key, why, and the differences in CIEDE2000."""

    key: Hashable
    reason: Reason
    difference: float = 0.0
    palette_difference: float = 0.0

    @property
    def sentence(self) -> str:
        """What to tell the person."""
        return self.reason.sentence

    @property
    def is_same_picture(self) -> bool:
        """Whether more than the colours is the same."""
        return self.reason <= Reason.SAME_PICTURE


def find_similar(
    appearance: Looks, hashed: str, known: Iterable[tuple[Hashable, Looks, str]]
) -> tuple[Likeness, ...]:
    """Return catalogued cloth that may be the same, likeliest first, then in the order given.

    Parameters
    ----------
    appearance : the new reading, CIELAB
    hashed : picture hash of the photo, or ""
    known : (key, looks, picture hash or "") of each

    Returns
    -------
    Differences in CIEDE2000. Likeliest: by reason, then by the larger of the two differences.

    Promise
    -------
    Symmetric: whether two readings are alike does not depend on which is new.

    Source
    ------
    Own derivation; thresholds set by tests/benchmarks/colour/likeness.py on rendered photos.
    """
    rows = list(known)
    if not rows:
        return ()
    gaps = delta_e_2000(np.array([looks.far for _, looks, _ in rows]), appearance.far)
    found = []
    for (key, looks, other_hash), gap in zip(rows, gaps, strict=True):
        reason = _reason(appearance, hashed, looks, other_hash, float(gap))
        if reason is not None:
            between = palette_difference(appearance.palette, looks.palette)
            found.append(
                Likeness(key=key, reason=reason, difference=float(gap), palette_difference=between)
            )
    return tuple(
        sorted(found, key=lambda like: (like.reason, max(like.difference, like.palette_difference)))
    )


def far_box(looks: Looks) -> tuple[Lab, Lab]:
    """Return the lowest and highest far colour that a fabric alike by colour can have.

    Parameters
    ----------
    looks : a reading, CIELAB

    Returns
    -------
    Two corners, CIELAB.

    Promise
    -------
    Loses none with chroma up to 100: by the weights of CIEDE2000 a difference d then spans at most
    1.8 d in L* and 6 d in a* or b*.

    Source
    ------
    Own derivation.
    """
    reach = FAR_ALIKE + UNMEASURED  # whether the other one is an estimate is not known yet
    step = np.array([1.8, 6.0, 6.0]) * reach
    low, high = np.array(looks.far) - step, np.array(looks.far) + step
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def palette_difference(ours: Sequence[PaletteColour], theirs: Sequence[PaletteColour]) -> float:
    """Return how far two palettes are apart.

    Each colour is set against the nearest of the other palette; the mean by share, and the larger
    of the two directions.

    Parameters
    ----------
    ours, theirs : CIELAB colours with shares 0 to 1

    Returns
    -------
    CIEDE2000 units; infinite when one is empty. Symmetric.

    Source
    ------
    Own derivation.

    Examples
    --------
    >>> palette_difference((), ())
    inf
    """
    if not ours or not theirs:
        return float("inf")
    gaps = delta_e_2000(
        np.array([colour.lab for colour in ours])[:, None],
        np.array([colour.lab for colour in theirs])[None],
    )
    there = gaps.min(axis=1) @ np.array([colour.share for colour in ours])
    back = gaps.min(axis=0) @ np.array([colour.share for colour in theirs])
    return float(max(there, back))


def picture_hash(picture: Picture, region: Region = CENTRE) -> str:
    """Return a hash that stays nearly the same for the same cloth photographed alike.

    The signs of the lowest frequencies (8 x 8 cosine transform, without the mean) of lightness
    against their median.

    Parameters
    ----------
    picture : upright, linear Display P3
    region : the part that counts, as fractions

    Returns
    -------
    16 hex digits, 63 bits of which mean something.

    Source
    ------
    Common practice, no source.
    """
    grey = np.clip(region.crop(picture.weighed((0.23, 0.69, 0.08))), 0, 1)
    codes = cv2.LUT((grey * (len(_CODES) - 1) + 0.5).astype(np.uint16), _CODES)
    small = cv2.resize(codes, (32, 32), interpolation=cv2.INTER_AREA)
    low = np.asarray(cv2.dct(small))[:8, :8].ravel()
    bits = low > np.median(low[1:])
    bits[0] = False
    return f"{int(''.join('1' if bit else '0' for bit in bits), 2):016x}"


def hash_distance(first: str, other: str) -> int:
    """Return how many bits of two picture hashes differ.

    Parameters
    ----------
    first, other : hex digits from ``picture_hash``

    Returns
    -------
    0 to 63 bits.

    Raises
    ------
    ValueError
        A hash is not made of hex digits.

    Examples
    --------
    >>> hash_distance("00000000000000ff", "0000000000000000")
    8
    """
    return (int(first, 16) ^ int(other, 16)).bit_count()


def _reason(
    first: Looks, one_hash: str, other: Looks, other_hash: str, gap: float
) -> Reason | None:
    has_estimate = first.is_estimate or other.is_estimate
    slack = UNMEASURED if has_estimate else 0.0
    is_same = _is_same_picture(first, one_hash, other, other_hash)
    wider = 2.0 if is_same else 1.0
    if gap > wider * (FAR_ALIKE + slack):
        return None
    if abs(first.contrast - other.contrast) > wider * CONTRAST_ALIKE:
        return None
    if palette_difference(first.palette, other.palette) > wider * (PALETTE_ALIKE + slack):
        return None
    if is_same:
        return Reason.SAME_PICTURE
    return Reason.PERHAPS_COLOURS if has_estimate else Reason.SAME_COLOURS


def _is_same_picture(first: Looks, one_hash: str, other: Looks, other_hash: str) -> bool:
    """Plain cloth has no picture: its hash is noise."""
    if not one_hash or not other_hash or min(first.contrast, other.contrast) <= CONTRAST_ALIKE:
        return False
    return hash_distance(one_hash, other_hash) <= SAME_BITS
