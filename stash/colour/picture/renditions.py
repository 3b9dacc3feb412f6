"""A picture that was evened out place by place, brought back to the rendition it was made from.

What is read of the cloth is the HDR rendition: in rendered photos whose light was evened out, it
came three times as near to the truth as the shown picture, and where its map only adds
highlights it came as near (tests/benchmarks/colour/gain_maps.py).
"""

import logging
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.gain_map import FoundMap, GainMapError, apply_gain
from stash.colour.picture.icc import Encoding, ProfileError, encoding_of_profile
from stash.colour.picture.levels import BRIGHTEST, Levels
from stash.colour.picture.upright import RENDITION_WHITE, Picture

__all__ = ["NOT_USED", "of_hdr_screens", "with_rendition"]

logger = logging.getLogger(__name__)

NOT_USED = (
    "The file holds a second picture that tells how the phone evened out the light, but it makes no"
    " sense; the photo was read as screens show it."
)


def with_rendition(
    picture: Picture, encoding: Encoding, find: Callable[[], FoundMap | None]
) -> Picture:
    """Return the picture with the HDR rendition that its gain map leads to, if it has one.

    Parameters
    ----------
    picture : as it lies in the file, linear Display P3, white = 1
    encoding : of the picture, for its primaries
    find : returns the gain map of the file, None where it has none; may raise GainMapError

    Returns
    -------
    Of a map that makes no sense, the picture itself, with a sentence in its notes. Of one that
    leads away from the greater range, the picture itself.

    Promise
    -------
    Whatever the map, it raises nothing but what a lack of memory raises.
    """
    try:
        found = find()
        if found is None:
            return picture
        if not found.gain.leads_to_hdr:
            declared = replace(picture.declared, gain_map="left")
            return replace(picture, linear=picture.levels, declared=declared)
        to_p3 = _primaries(found, encoding)
        own = cv2.transform(picture.linear, np.linalg.inv(to_p3).astype(np.float32))
        light = apply_gain(np.clip(own, 0, 1), found.codes, found.gain)
        light *= RENDITION_WHITE
        np.minimum(light, 1, out=light)
        light *= BRIGHTEST
        light += 0.5
        to_p3 = np.asarray(to_p3 / BRIGHTEST, np.float32)
        return replace(
            picture,
            linear=picture.levels,
            rendition=Levels(codes=light.astype(np.uint16), to_p3=to_p3),
            declared=replace(picture.declared, gain_map="used"),
        )
    except MemoryError:
        raise
    except Exception as error:  # whatever is odd about the map costs the map, not the photo
        if not isinstance(error, GainMapError):
            logger.warning("reading a gain map failed", exc_info=True)
        return replace(picture, linear=picture.levels, notes=(*picture.notes, NOT_USED))


def of_hdr_screens(picture: Picture, transfer: str) -> Picture:
    """Return a picture coded for HDR screens, to be measured with all that is beyond white.

    Parameters
    ----------
    picture : linear Display P3, diffuse white = 1, with light above it
    transfer : its name, of `transfer.HDR_TRANSFERS`

    Returns
    -------
    Shown, it ends at white.
    """
    linear = picture.linear
    return replace(
        picture,
        linear=np.clip(linear, 0, 1),
        rendition=Levels(codes=np.minimum(linear * np.float32(RENDITION_WHITE), 1)),
        declared=replace(picture.declared, transfer=transfer),
    )


def _primaries(found: FoundMap, encoding: Encoding) -> NDArray[np.floating[Any]]:
    """Return the matrix to Display P3 from the primaries that the gains are for."""
    if found.gain.in_base_colours or found.codes.ndim == 2 or not found.profile:
        return encoding.to_p3
    try:
        of_map = encoding_of_profile(found.profile, is_grey=False)
    except ProfileError:
        of_map = None
    return encoding.to_p3 if of_map is None else of_map.to_p3
