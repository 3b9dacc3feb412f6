"""Dots, printed stripes, tiles and other small geometry."""

import numpy as np

from ..motifs import place, polygon, rectangle, star
from ..recipe import Recipe
from ..sheet import Points, Sheet


def _layout(sheet: Sheet, recipe: Recipe) -> Points:
    if "spacing" in recipe.options:
        return sheet.scatter(recipe.options["spacing"])
    across, along = recipe.options.get("count", (6, 6))
    return sheet.half_drop(across, along)


def _colour(sheet: Sheet, recipe: Recipe) -> str:
    return str(recipe.inks[1 + int(sheet.rng.integers(len(recipe.inks) - 1))])


def dots(sheet: Sheet, recipe: Recipe) -> None:
    """Dots of `radius` mm (or from a range), evenly set or scattered, in the other inks."""
    low, high = recipe.options.get("radius", (1.5, 1.5))
    for spot in _layout(sheet, recipe):
        sheet.disc(spot, sheet.rng.uniform(low, high), _colour(sheet, recipe), 0.96)
    sheet.mottle(0.02, 12)


def rings(sheet: Sheet, recipe: Recipe) -> None:
    low, high = recipe.options.get("radius", (2.5, 4.0))
    for spot in _layout(sheet, recipe):
        radius = sheet.rng.uniform(low, high)
        colour = _colour(sheet, recipe)
        sheet.disc(spot, radius, colour)
        sheet.disc(spot, radius * 0.72, recipe.inks[0])
        sheet.disc(spot, radius * 0.4, colour)
    sheet.mottle(0.02, 12)


def stripes(sheet: Sheet, recipe: Recipe) -> None:
    """Printed stripes along the length, with slightly alive edges."""
    bands = recipe.options["bands"]
    ends = np.cumsum([share for _, share in bands])
    place_across = (np.arange(sheet.columns) + 0.5) / sheet.columns * ends[-1]
    wander = sheet.clouds(9, 2, stretch=3) * 0.12 / sheet.width_mm * ends[-1]
    where = np.mod(place_across[None, :] + wander, ends[-1])
    chosen = np.searchsorted(ends, where)
    for number in sorted({band for band, _ in bands} - {0}):
        cover = np.isin(chosen, [i for i, (band, _) in enumerate(bands) if band == number])
        sheet.mask(cover.astype(np.float32), recipe.inks[number])
    sheet.mottle(0.025, 5)


def stars(sheet: Sheet, recipe: Recipe) -> None:
    low, high = recipe.options.get("radius", (1.6, 2.6))
    points = recipe.options.get("points", 5)
    for x, y in _layout(sheet, recipe):
        shape = place(star(points, 0.42), x, y, sheet.rng.uniform(-0.5, 0.5))
        size = sheet.rng.uniform(low, high)
        sheet.fill((shape - (x, y)) * size + (x, y), _colour(sheet, recipe), 0.97)
    for x, y in sheet.speckle(recipe.options.get("specks", 5.0)):
        sheet.disc(np.array([x, y]), 0.22, recipe.inks[-1], 0.8)
    sheet.mottle(0.025, 10)


def crosses(sheet: Sheet, recipe: Recipe) -> None:
    size = recipe.options.get("size", 2.6)
    for x, y in _layout(sheet, recipe):
        colour = _colour(sheet, recipe)
        tilt = sheet.rng.normal(0, 0.06)
        sheet.fill(place(rectangle(size, size * 0.3), x, y, tilt), colour, 0.95)
        sheet.fill(place(rectangle(size * 0.3, size), x, y, tilt), colour, 0.95)
    sheet.mottle(0.02, 10)


def dashes(sheet: Sheet, recipe: Recipe) -> None:
    """Short brush strokes along the length, like slanting rain."""
    slant = recipe.options.get("slant", 0.18)
    for x, y in _layout(sheet, recipe):
        length = sheet.rng.uniform(*recipe.options.get("length", (3.0, 6.5)))
        t = np.linspace(0, 1, 8)
        half = sheet.rng.uniform(0.3, 0.55) * np.sin(np.pi * t**0.7)
        stroke = np.vstack(
            [np.column_stack([half, -t * length]), np.column_stack([-half, -t * length])[::-1]]
        )
        sheet.fill(place(stroke, x, y, slant), _colour(sheet, recipe), 0.9)
    sheet.mottle(0.03, 14)


def hexagons(sheet: Sheet, recipe: Recipe) -> None:
    across, along = recipe.options.get("count", (4, 6))
    side = sheet.width_mm / across * 0.575
    for x, y in sheet.half_drop(across, along):
        outer = polygon(6) * (side, sheet.height_mm / along * 0.515)
        colour = _colour(sheet, recipe)
        sheet.fill(place(outer, x, y, 0, 1.1), colour)
        sheet.fill(place(outer, x, y, 0, 0.82), recipe.inks[0])
        sheet.fill(place(outer, x, y, 0, 0.5), colour, 0.85)
    sheet.mottle(0.03, 8)


def triangles(sheet: Sheet, recipe: Recipe) -> None:
    """Loose rows of little triangles, some solid and some only outlined."""
    across, along = recipe.options.get("count", (6, 6))
    reach = sheet.width_mm / across * 0.42
    for x, y in sheet.grid(across, along):
        shape = place(polygon(3, -np.pi / 2), x, y, sheet.rng.normal(0, 0.12), reach)
        colour = _colour(sheet, recipe)
        if sheet.rng.random() < 0.65:
            sheet.fill(shape, colour, 0.95)
        else:
            sheet.line(np.vstack([shape, shape[:1]]), 0.5, colour, 0.95)
    sheet.mottle(0.03, 8)


def trellis(sheet: Sheet, recipe: Recipe) -> None:
    """An ogee lattice: two families of waves that touch."""
    across, along = recipe.options.get("count", (3, 4))
    x = (np.arange(sheet.columns) + 0.5)[None, :] / sheet.columns * 2 * np.pi * across
    y = (np.arange(sheet.rows) + 0.5)[:, None] / sheet.rows * 2 * np.pi * along
    field = np.abs(np.cos(x) + np.cos(y)).astype(np.float32)
    thickness = recipe.options.get("thickness", 0.22)
    sheet.mask(np.clip((thickness - field) * 14 + 0.5, 0, 1), recipe.inks[1])
    peak = (np.cos(x) + np.cos(y)).astype(np.float32)
    sheet.mask(np.clip((np.abs(peak) - 1.72) * 12 + 0.5, 0, 1), recipe.inks[-1])
    sheet.mottle(0.03, 9)


def scallops(sheet: Sheet, recipe: Recipe) -> None:
    """Overlapping arcs like roof tiles, one way up."""
    across, along = recipe.options.get("count", (6, 10))
    along += along % 2
    wide, step = sheet.columns / across, sheet.rows / along
    radius = wide * 0.56
    colours = sheet.rng.integers(1, len(recipe.inks), (along, across))
    y, x = np.indices((sheet.rows, sheet.columns)) + 0.5
    free = np.ones(y.shape, bool)
    for back in range(int(2 * radius / step) + 2):
        # The lowest row whose disc reaches a pixel lies on top there.
        row = np.floor((y + radius) / step).astype(int) - back
        offset = 0.5 * (row % 2)
        column = np.round(x / wide - offset).astype(int)
        reach = np.hypot(x - (column + offset) * wide, y - row * step) / radius
        here = free & (reach <= 1)
        free &= ~here
        number = colours[row % along, column % across]
        ringed = (reach < 0.9) & ((reach > 0.62) | (reach < 0.46))
        for k in range(1, len(recipe.inks)):
            sheet.mask((here & ringed & (number == k)).astype(np.float32), recipe.inks[k])
    sheet.mottle(0.03, 8)


def herringbone(sheet: Sheet, recipe: Recipe) -> None:
    across, along = recipe.options.get("count", (4, 10))
    x = (np.arange(sheet.columns) + 0.5)[None, :] / sheet.columns * across
    y = (np.arange(sheet.rows) + 0.5)[:, None] / sheet.rows * along
    zigzag = np.abs(np.mod(x, 1.0) - 0.5) * 2
    wave = np.mod(y + zigzag, 1.0)
    wave = wave + 0.04 * sheet.clouds(6, 2)
    edge = 0.25 - np.abs(wave - 0.5)
    sheet.mask(np.clip(edge * 14 + 0.5, 0, 1).astype(np.float32), recipe.inks[1])
    sheet.mottle(0.03, 6)


DESIGNS = {
    "dots": dots,
    "rings": rings,
    "stripes": stripes,
    "stars": stars,
    "crosses": crosses,
    "dashes": dashes,
    "hexagons": hexagons,
    "triangles": triangles,
    "trellis": trellis,
    "scallops": scallops,
    "herringbone": herringbone,
}
