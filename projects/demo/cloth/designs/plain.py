"""Solids, mottled blenders and tone-on-tone prints."""

import numpy as np

from ..motifs import blob, leaf, leaf_vein, place
from ..recipe import Recipe
from ..sheet import Sheet


def solid(sheet: Sheet, recipe: Recipe) -> None:
    sheet.mottle(0.012, 25)


def mottled(sheet: Sheet, recipe: Recipe) -> None:
    """A ground that drifts between its inks like watercolour."""
    size = recipe.options.get("size", 22.0)
    for number, colour in enumerate(recipe.inks[1:]):
        drift = sheet.clouds(size / (1 + 0.5 * number), 4)
        sheet.mask(np.clip(0.5 + 1.1 * drift - 0.15 * number, 0, 1) ** 1.3, colour)
    sheet.mottle(0.05, 2.0)


def hand_dyed(sheet: Sheet, recipe: Recipe) -> None:
    """Wax-resist dyeing: drifting grounds, pale resist leaves and fine crackle."""
    mottled(sheet, recipe)
    resist = recipe.options.get("resist", recipe.inks[-1])
    for x, y in sheet.scatter(recipe.options.get("spacing", 26.0)):
        size = sheet.rng.uniform(8, 13)
        angle = sheet.rng.uniform(0, 2 * np.pi)
        for reach, lean in ((1.0, 0.0), (0.62, 0.95), (0.58, -0.9)):
            bend = sheet.rng.uniform(-0.2, 0.2)
            shape = place(leaf(0.6, bend), x, y, angle + lean, size * reach)
            sheet.fill(shape, resist, sheet.rng.uniform(0.35, 0.6))
            vein = place(leaf_vein(bend), x, y, angle + lean, size * reach)
            sheet.line(vein, 0.6, recipe.inks[0], 0.8)
    crackle = np.abs(sheet.clouds(9.0, 3))
    sheet.mask(np.clip(1 - crackle / 0.018, 0, 1), recipe.inks[0], 0.35)
    sheet.mottle(0.06, 4.0)


def tonal_leaves(sheet: Sheet, recipe: Recipe) -> None:
    for x, y in sheet.scatter(recipe.options.get("spacing", 4.6)):
        angle, size = sheet.rng.uniform(0, 2 * np.pi), sheet.rng.uniform(5.0, 8.0)
        bend = sheet.rng.uniform(-0.25, 0.25)
        shape = place(leaf(0.45, bend), x, y, angle, size)
        sheet.fill(shape, recipe.inks[1], sheet.rng.uniform(0.6, 1.0))
        sheet.line(place(leaf_vein(bend), x, y, angle, size), 0.35, recipe.inks[0], 0.9)
    sheet.mottle(0.03, 6)


def tonal_swirls(sheet: Sheet, recipe: Recipe) -> None:
    """Level lines of a soft relief: reads as brushed swirls."""
    relief = sheet.clouds(recipe.options.get("size", 24.0), 2)
    rings = 0.5 + 0.5 * np.cos(relief * recipe.options.get("rings", 40.0))
    sheet.mask(np.clip((rings - 0.45) * 3, 0, 1), recipe.inks[1])
    if len(recipe.inks) > 2:
        sheet.mask(np.clip((rings - 0.9) * 10, 0, 1), recipe.inks[2], 0.8)
    sheet.mottle(0.03, 8)


def brushed(sheet: Sheet, recipe: Recipe) -> None:
    """Dry-brush texture in two directions."""
    down = sheet.clouds(2.4, 3, stretch=12.0)
    across = sheet.clouds(28.0, 5, stretch=0.09)
    sheet.mask(np.clip(0.5 + 1.6 * down, 0, 1), recipe.inks[1], 0.7)
    sheet.mask(np.clip(0.4 + 1.6 * across, 0, 1), recipe.inks[-1], 0.5)


def sponged(sheet: Sheet, recipe: Recipe) -> None:
    """Many small overlapping dabs, light over dark."""
    for number, colour in enumerate(recipe.inks[1:]):
        for x, y in sheet.speckle(2.6 + 0.8 * number):
            dab = blob(sheet.rng, 0.5, 6, 18)
            sheet.fill(place(dab, x, y, 0, sheet.rng.uniform(0.5, 1.5)), colour, 0.75)
    sheet.mottle(0.05, 18)


DESIGNS = {
    "solid": solid,
    "mottled": mottled,
    "hand dyed": hand_dyed,
    "tonal leaves": tonal_leaves,
    "tonal swirls": tonal_swirls,
    "brushed": brushed,
    "sponged": sponged,
}
