"""How two hues stand to each other, in words and in limits of our own choice.

Hues are angles of CIELAB (D65) colours.
"""

from __future__ import annotations

__all__ = ["RELATIONS"]


#: Key: label, least and most distance of hue angles in degrees.
RELATIONS = {
    "family": ("same family: hues within 25°", 0.0, 25.0),
    "neighbour": ("neighbour: hues 25° to 70° apart", 25.0, 70.0),
    "opposite": ("opposite: hues 150° to 180° apart", 150.0, 180.0),
    "neutral": ("neutral: next to no hue", 0.0, 0.0),
}
