"""Short ways to layouts and cloths for the tests."""

from fractions import Fraction

import numpy as np

from projects.quilt_design.drawing.render import Cloth
from projects.quilt_design.layouts.layout import Block, BlockUnit, Layout, known_block
from stash.colour.spaces.cielab import linear_to_lab
from stash.lengths import INCH


def inches(text: str | int) -> int:
    """Return a length such as ``inches("72 1/2")``."""
    return int(sum(Fraction(word) for word in str(text).split()) * INCH)


def plain(columns: int, rows: int, side: str | int, **more: object) -> Layout:
    """Return a grid of single squares of the part *squares*."""
    return layout_of("plain square", columns, rows, side, **more)


def layout_of(name: str, columns: int, rows: int, side: str | int, **more: object) -> Layout:
    """Return a layout of one known block everywhere."""
    given: dict[str, object] = {"blocks": (known_block(name),), **more}
    return Layout(columns=columns, rows=rows, block=inches(side), **given)  # type: ignore[arg-type]


def square_unit(x: int, y: int, side: int = 1, part: str = "a") -> BlockUnit:
    """Return a square unit at a cell."""
    return BlockUnit(kind="square", x=x, y=y, across=side, down=side, parts=(part,))


def own_block(grid: int, *units: BlockUnit) -> Block:
    """Return a block named “own”."""
    return Block(name="own", grid=grid, units=units)


def cloth_with(key: str, picture: np.ndarray, mm_per_pixel: float = 0.5) -> Cloth:
    """Return a cloth whose far colour is the linear mean of its picture, as photos are read."""
    lab_l, a, b = (float(number) for number in linear_to_lab(picture.mean(axis=(0, 1))))
    return Cloth(
        key=key,
        far=(lab_l, a, b),
        value=lab_l / 10,
        uncertainty=0.2,
        picture=picture.astype(np.float32),
        mm_per_pixel=mm_per_pixel,
    )


def textured(key: str, luminance: float, seed: int, pixels: int = 400) -> Cloth:
    """Return a print of soft spots and stripes around a luminance, in several colours."""
    rng = np.random.default_rng(seed)
    spots = rng.uniform(0.2, 1.8, (pixels // 4, pixels // 4, 3)).repeat(4, 0).repeat(4, 1)
    stripes = 1 + 0.5 * np.sin(np.arange(pixels) * 2 * np.pi / 20)[None, :, None]
    picture = spots * stripes
    return cloth_with(key, picture * luminance / picture.mean())
