"""What a table of an audition shows: its patches, their cloths, and the list beside it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from projects.models import LaidFabric
from projects.planning.cloth.pictures import cloth_size
from projects.quilt_design.drawing.patch import Patch
from stash.lengths import MM
from stash.models import Fabric

__all__ = ["ShownPatch"]

_NUMBER = 5.5  # millimetres: radius of the ground of a number


@dataclass(frozen=True, kw_only=True)
class ShownPatch:
    """One patch in millimetres from the top left corner of the picture; key is its own."""

    key: str

    outline: tuple[tuple[float, float], ...]
    laid: LaidFabric | None
    number: int
    turn: int
    name: str
    is_picked: bool = False

    @property
    def is_estimate(self) -> bool:
        """Whether its lightness is an estimate."""
        return self.laid is not None and self.laid.fabric.is_estimate

    @property
    def under_number(self) -> tuple[float, float]:
        x, y = self.centre
        return x, y + 2 * _NUMBER

    @property
    def points(self) -> str:
        return " ".join(f"{x:.3f},{y:.3f}" for x, y in self.outline)

    @property
    def middle(self) -> tuple[float, float]:
        """Of the bounding box, which is where the print's own middle lies before it is moved."""
        xs, ys = zip(*self.outline, strict=True)
        return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2

    @property
    def transform(self) -> str:
        """The place of the print, as an SVG transform of the mirrored picture."""
        if self.laid is None or self.size is None:
            return ""
        x, y = self.middle
        right, down = self.laid.shift_right / MM, self.laid.shift_down / MM
        return (
            f"translate({x + right:.3f} {y + down:.3f}) rotate({self.turn}) "
            f"translate({-self.size[0] / 2:.3f} {-self.size[1] / 2:.3f})"
        )

    @cached_property
    def size(self) -> tuple[float, float] | None:
        """Of the picture of the cloth, or None where the far colour stands for it."""
        return cloth_size(self.laid.fabric) if self.laid is not None else None

    @property
    def tile(self) -> tuple[float, float]:
        """After which the mirrored picture repeats."""
        width, height = self.size or (1.0, 1.0)
        return 2 * width, 2 * height

    @property
    def centre(self) -> tuple[float, float]:
        """Where the number stands: the mean of the corners, inside any square or triangle."""
        xs, ys = zip(*self.outline, strict=True)
        return sum(xs) / len(xs), sum(ys) / len(ys)


@dataclass(frozen=True, kw_only=True)
class ShownCloth:
    """One fabric on a table, with the size of its picture in millimetres."""

    fabric: Fabric
    width: float
    height: float

    @property
    def mirrored(self) -> tuple[str, ...]:
        """SVG transforms of four copies that together repeat without a step, as `render` does."""
        across, down = 2 * self.width, 2 * self.height
        return (
            "",
            f"translate({across:.3f} 0) scale(-1 1)",
            f"translate(0 {down:.3f}) scale(1 -1)",
            f"translate({across:.3f} {down:.3f}) scale(-1 -1)",
        )

    @property
    def tile(self) -> tuple[float, float]:
        return 2 * self.width, 2 * self.height


@dataclass(frozen=True, kw_only=True)
class ListedCloth:
    """A fabric of a table in the list beside it."""

    laid: LaidFabric
    is_picked: bool


def shorter_side(patch: Patch) -> float:
    xs, ys = zip(*patch.outline, strict=True)
    return min(max(xs) - min(xs), max(ys) - min(ys))
