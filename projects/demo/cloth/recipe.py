"""What the painter is asked to paint, and what it hands back."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """One invented fabric and the way its photo was taken.

    `inks` are `#rrggbb` texts, the ground (or the first yarn) first. `repeat` is the size of the
    design in mm, across and along. `density` is pixels per mm of the photo.
    """

    name: str
    design: str
    inks: tuple[str, ...]
    repeat: tuple[float, float] = (60.0, 60.0)
    options: Mapping[str, Any] = field(default_factory=dict)
    fibre: str = "100 % cotton"
    weave: str = "plain"
    weight: int = 150  # g/m2
    direction: str = "none"
    print_scale: str = "small"
    seed: int = 0
    scene: str = "flat"
    density: float = 5.5
    turned: bool = False  # the camera was held sideways and says so in its EXIF
    file_kind: str = "jpeg"
    wide_gamut: bool = False
    card: bool = False  # the photo card lies on the cloth
    evenly: float = 0.0  # 0: light falls off beside a window; 1: it is the same everywhere
    taken: datetime = datetime(2024, 3, 9, 11, 20)

    @property
    def sitting(self) -> int:
        """Photos of one day were taken in one light and with one exposure, locked by hand."""
        return self.taken.toordinal()


@dataclass(frozen=True, kw_only=True)
class PaintedCloth:
    """A photo file of a cloth whose true colour is known.

    `true_lab` is the far colour of the cloth itself, CIELAB D65: the mean in linear light over
    whole repeats, before lighting, camera and encoding. `mm_per_pixel` holds at the middle of
    the photo.
    """

    photo: bytes
    suffix: str
    true_lab: tuple[float, float, float]
    mm_per_pixel: float
