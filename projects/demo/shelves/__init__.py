"""What lies in the demo's sewing room: every fabric of the recipes, its pieces and history."""

from .blues import BLUES
from .darks import DARKS
from .greens import GREENS
from .neutrals import NEUTRALS
from .warms import WARMS

OWNED = (*NEUTRALS, *BLUES, *GREENS, *WARMS, *DARKS)

__all__ = ["OWNED"]
