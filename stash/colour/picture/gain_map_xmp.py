"""Gain maps as XMP describes them: the form that came before ISO 21496-1, with the same fields."""

import re

from stash.colour.picture.gain_map import USUAL_OFFSET, GainMap, GainMapError, Three, three

__all__ = ["gain_of_xmp"]

_NUMBER = r"[+-]?[0-9]*\.?[0-9]+(?:[eE][+-]?[0-9]+)?"
_ROOM = 64 * 1024  # bytes of XMP that are looked at; one segment of a JPEG has no more


def gain_of_xmp(packet: bytes) -> GainMap | None:
    """Return the gain map that an XMP packet describes; None where it describes none.

    Parameters
    ----------
    packet : XMP, as attributes or as elements, of one number or of three in a list

    Raises
    ------
    GainMapError
        It names a gain map, but the numbers are missing or make no sense.

    Notes
    -----
    Read by the names of its fields and not as XML, so that no entity of it is ever expanded.
    """
    text = packet[:_ROOM].decode("utf-8", "replace")
    if "hdrgm:" not in text or "GainMapMax" not in text:
        return None
    high = _xmp_three(text, "GainMapMax", None)
    capacity = _xmp_three(text, "HDRCapacityMax", None)[0]
    is_hdr = re.search(r"BaseRenditionIsHDR\s*(?:=\s*[\"']|>)\s*true", text, re.IGNORECASE)
    least, most = _xmp_three(text, "HDRCapacityMin", 0.0)[0], capacity
    return GainMap(
        low=_xmp_three(text, "GainMapMin", 0.0),
        high=high,
        gamma=_xmp_three(text, "Gamma", 1.0),
        base_offset=_xmp_three(text, "OffsetHDR" if is_hdr else "OffsetSDR", USUAL_OFFSET),
        hdr_offset=_xmp_three(text, "OffsetSDR" if is_hdr else "OffsetHDR", USUAL_OFFSET),
        base_headroom=most if is_hdr else least,
        hdr_headroom=least if is_hdr else most,
    )


def _xmp_three(text: str, name: str, otherwise: float | None) -> Three:
    """Return the number or numbers of a field, or of every channel the same if it is left out."""
    attribute = re.search(rf"hdrgm:{name}\s*=\s*[\"']\s*({_NUMBER})\s*[\"']", text)
    if attribute:
        return three([float(attribute[1])])
    element = re.search(rf"<hdrgm:{name}\s*>(.{{0,600}}?)</hdrgm:{name}\s*>", text, re.DOTALL)
    if element:
        inside = re.sub(r"<[^>]*>", " ", element[1]).split()
        if not all(re.fullmatch(_NUMBER, number) for number in inside):
            raise GainMapError(f"The field {name} of the gain map is no number.")
        return three([float(number) for number in inside])
    if f"hdrgm:{name}" in text or otherwise is None:
        raise GainMapError(f"The field {name} of the gain map cannot be read.")
    return three([otherwise])
