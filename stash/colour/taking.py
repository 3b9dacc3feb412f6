"""Everything that is made of a photo that was just sent, from its bytes alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stash.colour.appearance import Appearance
from stash.colour.picture.photo import decode_photo
from stash.colour.print_likeness import print_gradients
from stash.colour.reading import read_picture
from stash.colour.references.card_print import CardPrint
from stash.colour.similar import picture_hash

__all__ = ["Fault", "Taken", "View", "take"]

#: Long side in pixels, and whether in true lightness.
View = tuple[int, bool]


@dataclass(frozen=True, kw_only=True)
class Taken:
    """What stays of a photo: plain values and files, no pixels.

    Attributes
    ----------
    working : JPEG to store
    width, height : of its pixels
    gradients : what tells the print of the cloth, as `print_gradients` gives it
    views : JPEG for pages, by the names that were asked for
    capture : what the camera told, or nothing
    declared : what the file says about how its picture was made, or nothing
    """

    appearance: Appearance
    working: bytes
    width: int
    height: int
    picture_hash: str
    gradients: bytes
    views: dict[str, bytes]
    capture: dict[str, Any]
    declared: dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Fault:
    """Nothing came of a photo, for a reason that nobody foresaw.

    trace : for the log of the site, what happened where
    """

    trace: str


def take(data: bytes, card_print: CardPrint, views: Mapping[str, View]) -> Taken:
    """Return all that is kept of a photo, decoded and read from its bytes alone.

    Parameters
    ----------
    data : the file as it was sent
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it
    views : by name: the long side in pixels and whether in grey, as ``Picture.view_file`` takes
        them

    Returns
    -------
    Plain values and files, sizes in pixels.

    Raises
    ------
    PhotoError
        It is no photo that can be read; the message says why in one sentence.
    """
    picture = decode_photo(data)
    appearance = read_picture(picture, card_print=card_print)
    return Taken(
        appearance=appearance,
        working=picture.working_file(),
        width=picture.width,
        height=picture.height,
        picture_hash=picture_hash(picture),
        gradients=print_gradients(picture, appearance.region).tobytes(),
        views={name: picture.view_file(*view) for name, view in views.items()},
        capture=picture.capture.to_dict() if picture.capture else {},
        declared=picture.declared.to_dict(),
    )
