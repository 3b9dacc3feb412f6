"""Reading a colour that somebody typed."""

import math
import re

from stash.colour.spaces.cielab import Lab, hex_to_lab

_HEX = re.compile(r"#?[0-9a-fA-F]{6}|#[0-9a-fA-F]{3}")
# Far outside every colour of cloth, but still harmless arithmetic.
_LARGEST_AB = 200.0


class ColourTextError(ValueError):
    """The text is not a colour; the message quotes it and says what would be one."""


def parse_colour(text: str) -> Lab:
    """Return the colour that a text stands for.

    Parameters
    ----------
    text : ``#1b2a4f``, ``1b2a4f``, ``#abc`` (sRGB), or ``L,a,b`` such as ``17.6, 4.5, -24``,
        separated by commas, semicolons or spaces; L in 0 to 100, a and b in -200 to 200

    Returns
    -------
    CIELAB, D65, 2 degree observer.

    Raises
    ------
    ColourTextError
        The text is not a colour; one sentence quotes it.

    Examples
    --------
    >>> parse_colour("17.6, 4.5, -24")
    (17.6, 4.5, -24.0)
    """
    plain = text.strip()
    if _HEX.fullmatch(plain):
        return hex_to_lab(plain)
    parts = [part for part in re.split(r"[,;\s]+", plain) if part]
    if len(parts) != 3:
        raise ColourTextError(
            f"“{_short(text)}” is not a colour; write a hex colour such as #1b2a4f"
            " or L,a,b such as 17.6,4.5,-24."
        )
    try:
        lightness, a, b = (float(part.replace("\u2212", "-")) for part in parts)
    except ValueError:
        raise ColourTextError(
            f"“{_short(text)}” is not a colour; L,a,b must be three numbers such as 17.6,4.5,-24."
        ) from None
    if not all(math.isfinite(number) for number in (lightness, a, b)):
        raise ColourTextError(f"“{_short(text)}” is not a colour; L, a and b must be finite.")
    if not 0 <= lightness <= 100:
        raise ColourTextError(f"“{_short(text)}” is not a colour; L must lie in 0 to 100.")
    if max(abs(a), abs(b)) > _LARGEST_AB:
        raise ColourTextError(f"“{_short(text)}” is not a colour; a and b must lie in -200 to 200.")
    return lightness, a, b


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"
