"""A seamless sheet that shapes are printed on; what leaves at one side comes in at the other."""

import cv2
import numpy as np
from numpy.typing import NDArray

from .inks import Floats, ink

Points = NDArray[np.float64]
_SUBPIXEL = 4  # fraction bits that OpenCV takes in polygon corners


class Sheet:
    """One repeat of a design in linear light.

    Positions are in mm, x across the width, y along the length. `density` is pixels per mm and
    is bent a little so that the repeat is a whole number of pixels.
    """

    def __init__(self, repeat: tuple[float, float], density: float, ground: str, seed: int) -> None:
        self.width_mm, self.height_mm = repeat
        self.columns = max(8, round(self.width_mm * density))
        self.rows = max(8, round(self.height_mm * density))
        self.scale = np.array([self.columns / self.width_mm, self.rows / self.height_mm])
        self.pixels_per_mm = float(self.scale.mean())
        self.rng = np.random.default_rng(seed)
        self.pixels: Floats = np.empty((self.rows, self.columns, 3), np.float32)
        self.pixels[:] = ink(ground)

    # -- shapes -------------------------------------------------------------------------------

    def fill(self, outline: Points, colour: str, strength: float = 1.0) -> None:
        """Print the inside of a closed outline, shape (n, 2), mm."""
        self._stamp(outline, ink(colour), strength, closed=True, width=0.0)

    def line(self, path: Points, width: float, colour: str, strength: float = 1.0) -> None:
        """Print an open line of `width` mm through the points of `path`, shape (n, 2), mm."""
        self._stamp(path, ink(colour), strength, closed=False, width=width)

    def disc(self, centre: Points, radius: float, colour: str, strength: float = 1.0) -> None:
        angles = np.linspace(0, 2 * np.pi, 26, endpoint=False)
        ring = np.column_stack([np.cos(angles), np.sin(angles)]) * radius + centre
        self.fill(ring, colour, strength)

    def mask(self, coverage: Floats, colour: str, strength: float = 1.0) -> None:
        """Print one ink over the whole sheet where `coverage`, shape (rows, columns), is 1."""
        amount = (coverage * strength)[..., None]
        self.pixels += amount * (ink(colour) - self.pixels)

    def _stamp(
        self, path: Points, colour: Floats, strength: float, *, closed: bool, width: float
    ) -> None:
        corners = path * self.scale
        width_px = width * self.pixels_per_mm
        thick = max(1, round(width_px))
        margin = 2 + thick
        low = np.floor(corners.min(axis=0)).astype(int) - margin
        high = np.ceil(corners.max(axis=0)).astype(int) + margin
        local = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
        shifted = np.round((corners - low) * (1 << _SUBPIXEL)).astype(np.int32).reshape(-1, 1, 2)
        if closed:
            cv2.fillPoly(local, [shifted], 255, cv2.LINE_AA, _SUBPIXEL)
        else:
            cv2.polylines(local, [shifted], False, 255, thick, cv2.LINE_AA, _SUBPIXEL)
            if width_px < 1:  # thinner than a pixel: paler instead
                strength *= max(0.35, width_px)
        self._blend_wrapped(local, low, colour, strength)

    def _blend_wrapped(
        self, local: NDArray[np.uint8], low: NDArray[np.int_], colour: Floats, strength: float
    ) -> None:
        # A shape wider than the sheet meets itself: print it in pieces no larger than the sheet.
        for top in range(0, local.shape[0], self.rows):
            for left in range(0, local.shape[1], self.columns):
                part = local[top : top + self.rows, left : left + self.columns]
                if not part.any():
                    continue
                down = (low[1] + top + np.arange(part.shape[0])) % self.rows
                across = (low[0] + left + np.arange(part.shape[1])) % self.columns
                where = np.ix_(down, across)
                amount = (part.astype(np.float32) * (strength / 255))[..., None]
                below = self.pixels[where]
                self.pixels[where] = below + amount * (colour - below)

    # -- textures -----------------------------------------------------------------------------

    def clouds(self, size_mm: float, octaves: int = 3, stretch: float = 1.0) -> Floats:
        """Return seamless noise, about -1..1, with features of `size_mm`.

        `stretch` above 1 makes the features that much longer along the length.
        """
        total = np.zeros((self.rows, self.columns), np.float32)
        weight = 1.0
        for octave in range(octaves):
            cell = size_mm / 2**octave
            across = max(2, round(self.width_mm / cell))
            along = max(2, round(self.height_mm / (cell * stretch)))
            across, along = min(across, self.columns), min(along, self.rows)
            total += weight * self._smooth_grid(across, along)
            weight *= 0.55
        return total / float(np.abs(total).max())

    def _smooth_grid(self, across: int, along: int) -> Floats:
        coarse = self.rng.standard_normal((along, across)).astype(np.float32)
        columns = (np.arange(self.columns, dtype=np.float32) + 0.5) * (across / self.columns)
        rows = (np.arange(self.rows, dtype=np.float32) + 0.5) * (along / self.rows)
        padded = np.pad(coarse, 3, mode="wrap")
        map_x, map_y = np.meshgrid(columns + 2.5, rows + 2.5)
        return np.asarray(cv2.remap(padded, map_x, map_y, cv2.INTER_CUBIC), np.float32)

    def mottle(self, amount: float, size_mm: float) -> None:
        """Let the ink lie a little unevenly, without changing its average."""
        gain = 1 + amount * self.clouds(size_mm, 4)
        self.pixels *= (gain / gain.mean())[..., None]

    # -- layouts ------------------------------------------------------------------------------

    def scatter(self, spacing: float, keep: int = 4000) -> Points:
        """Return points no closer than `spacing` mm to each other, around the seams as well."""
        size = np.array([self.width_mm, self.height_mm])
        wanted = int(14 * size.prod() / spacing**2) + 60
        chosen: list[Points] = []
        for candidate in self.rng.random((wanted, 2)) * size:
            if chosen:
                gap = np.abs(np.array(chosen) - candidate)
                gap = np.minimum(gap, size - gap)
                if (gap**2).sum(axis=1).min() < spacing**2:
                    continue
            chosen.append(candidate)
            if len(chosen) == keep:
                break
        return np.array(chosen)

    def speckle(self, spacing: float) -> Points:
        """Return about evenly spread points, quicker than `scatter` where many are wanted."""
        across = max(2, round(self.width_mm / spacing))
        along = max(2, round(self.height_mm / spacing))
        spots = self.half_drop(across + across % 2, along)
        return spots + self.rng.uniform(-0.42, 0.42, spots.shape) * spacing

    def half_drop(self, across: int, along: int) -> Points:
        """Return an even layout in which every other column is dropped by half a step."""
        step = np.array([self.width_mm / across, self.height_mm / along])
        spots = [
            ((column + 0.5) * step[0], (row + 0.5 + 0.5 * (column % 2)) * step[1])
            for column in range(across)
            for row in range(along)
        ]
        return np.array(spots)

    def grid(self, across: int, along: int) -> Points:
        step = np.array([self.width_mm / across, self.height_mm / along])
        spots = [
            ((i + 0.5) * step[0], (j + 0.5) * step[1]) for j in range(along) for i in range(across)
        ]
        return np.array(spots)
