"""One-way prints with a right way up: birds, houses, firs, fish, pears, boats."""

import numpy as np

from ..motifs import BIRD, FISH, PEAR, WING, leaf, place, rectangle
from ..recipe import Recipe
from ..sheet import Points, Sheet


def _spots(sheet: Sheet, recipe: Recipe) -> Points:
    spots = sheet.half_drop(*recipe.options.get("count", (3, 3)))
    return spots + sheet.rng.normal(0, 0.9, spots.shape)


def _pick(sheet: Sheet, inks: tuple[str, ...]) -> str:
    return inks[int(sheet.rng.integers(len(inks)))]


def birds(sheet: Sheet, recipe: Recipe) -> None:
    """Inks: ground, twig, then pairs of body and wing."""
    size = recipe.options.get("size", 7.5)
    pairs = list(zip(recipe.inks[2::2], recipe.inks[3::2], strict=True))
    for number, (x, y) in enumerate(_spots(sheet, recipe)):
        body, wing = pairs[number % len(pairs)]
        flip = np.array([1.0 if number % 3 else -1.0, 1.0])
        t = np.linspace(-1.3, 1.3, 14)
        twig = np.column_stack([t * size, 0.6 * size + 0.5 * np.sin(2.5 * t) * size * 0.2])
        twig = place(twig, x, y)
        sheet.line(twig, 0.09 * size, recipe.inks[1])
        for k in range(1, 13, 2):
            foot = twig[k]
            lean = (1 if k % 4 == 1 else -1) * 0.9
            sheet.fill(place(leaf(0.45), foot[0], foot[1], lean, size * 0.45), recipe.inks[1])
        sheet.fill(place(BIRD * flip, x, y, 0, size), body, 0.98)
        sheet.fill(place(WING * flip, x, y, 0, size), wing, 0.95)
        eye = np.array([-0.6, -0.24]) * flip * size + (x, y)
        sheet.disc(eye, 0.05 * size, recipe.inks[0])
    sheet.mottle(0.025, 9)


def houses(sheet: Sheet, recipe: Recipe) -> None:
    """Inks: ground, roof, window, then walls."""
    size = recipe.options.get("size", 9.0)
    for x, y in _spots(sheet, recipe):
        wall = _pick(sheet, recipe.inks[3:])
        high = sheet.rng.uniform(0.9, 1.5)
        wide = sheet.rng.uniform(0.9, 1.25)
        foot = y + size * 0.8
        front = place(rectangle(wide * size, high * size), x, foot - high * size / 2)
        top = foot - high * size
        eaves = 0.58 * wide * size
        roof = np.array([[x - eaves, top], [x, top - 0.6 * size], [x + eaves, top]])
        chimney = rectangle(0.16 * size, 0.4 * size)
        chimney = place(chimney, x + 0.25 * size, top - 0.42 * size)
        sheet.fill(chimney, wall)
        sheet.fill(front, wall)
        sheet.fill(roof, recipe.inks[1])
        pane = rectangle(0.2 * size, 0.26 * size)
        for dx in (-0.25, 0.25):
            window = place(pane, x + dx * wide * size, foot - high * size * 0.7)
            sheet.fill(window, recipe.inks[2])
        door = place(rectangle(0.24 * size, 0.42 * size), x, foot - 0.21 * size)
        sheet.fill(door, recipe.inks[1])
        ground = np.array([[x - 0.9 * size, foot], [x + 0.9 * size, foot]])
        sheet.line(ground, 0.05 * size, recipe.inks[1])
    sheet.mottle(0.025, 9)


def firs(sheet: Sheet, recipe: Recipe) -> None:
    """Inks: ground, trunk and snow, then greens."""
    size = recipe.options.get("size", 10.0)
    for x, y in _spots(sheet, recipe):
        green = _pick(sheet, recipe.inks[2:])
        grown = size * sheet.rng.uniform(0.75, 1.15)
        trunk = rectangle(0.1 * grown, 0.5 * grown)
        sheet.fill(place(trunk, x, y + 0.75 * grown), recipe.inks[1])
        for tier, (low, wide) in enumerate([(0.62, 0.5), (0.25, 0.4), (-0.12, 0.29)]):
            top = low - 0.62
            bough = np.array(
                [[-wide, low], [-wide * 0.4, low - 0.06], [0, low], [wide * 0.4, low - 0.06],
                 [wide, low], [0, top]]
            )  # fmt: skip
            sheet.fill(place(bough, x, y, 0, grown), green, 1.0 - 0.05 * tier)
            snow = np.array([[0, top], [wide * 0.34, top + 0.26], [0.02, top + 0.22]])
            sheet.fill(place(snow, x, y, 0, grown), recipe.inks[1], 0.55)
    for spot in sheet.speckle(4.4):
        sheet.disc(spot, sheet.rng.uniform(0.18, 0.4), recipe.inks[1], 0.8)
    sheet.mottle(0.025, 9)


def fish(sheet: Sheet, recipe: Recipe) -> None:
    """Inks: ground, wave lines, eye, then fishes. Swims across, so it reads two ways."""
    size = recipe.options.get("size", 6.0)
    for level in np.arange(0.5, 12.5) / 12 * sheet.height_mm:
        t = np.linspace(0, sheet.width_mm, 80)
        wave = level + 0.9 * np.sin(2 * np.pi * t / sheet.width_mm * 5 + level)
        sheet.line(np.column_stack([t, wave]), 0.35, recipe.inks[1], 0.8)
    for number, (x, y) in enumerate(_spots(sheet, recipe)):
        flip = np.array([1.0 if number % 2 else -1.0, 1.0])
        sheet.fill(place(FISH * flip, x, y, sheet.rng.normal(0, 0.12), size),
                   _pick(sheet, recipe.inks[3:]), 0.97)  # fmt: skip
        for k in range(3):
            across = np.linspace(-0.22, 0.22, 6)
            rib = np.column_stack([(-0.1 + 0.25 * k) + 0.1 * np.cos(across * 6), across])
            sheet.line(place(rib * flip, x, y, 0, size), 0.06 * size, recipe.inks[0], 0.7)
        sheet.disc(np.array([-0.62, -0.06]) * flip * size + (x, y), 0.07 * size, recipe.inks[2])
    sheet.mottle(0.025, 9)


def pears(sheet: Sheet, recipe: Recipe) -> None:
    """Inks: ground, leaf, blush, then fruit."""
    size = recipe.options.get("size", 6.5)
    for x, y in _spots(sheet, recipe):
        tilt = sheet.rng.normal(0, 0.2)
        fruit = _pick(sheet, recipe.inks[3:])
        sheet.fill(place(PEAR, x, y, tilt, size), fruit, 0.98)
        blush = place(PEAR * (0.45, 0.6) + (0.24, 0.22), x, y, tilt, size)
        sheet.fill(blush, recipe.inks[2], 0.45)
        for _ in range(9):
            speck = sheet.rng.normal(0, 0.26, 2) * size + (x, y + 0.25 * size)
            sheet.disc(speck, 0.035 * size, recipe.inks[2], 0.8)
        stalk = place(np.array([[0.0, -0.95], [0.05, -1.15], [0.18, -1.35]]), x, y, tilt, size)
        sheet.line(stalk, 0.09 * size, recipe.inks[1])
        foot = stalk[1]
        sheet.fill(place(leaf(0.5, 0.2), foot[0], foot[1], tilt + 1.1, size), recipe.inks[1])
    sheet.mottle(0.025, 9)


def boats(sheet: Sheet, recipe: Recipe) -> None:
    """Inks: ground, hull, water, then sails."""
    size = recipe.options.get("size", 9.0)
    for x, y in _spots(sheet, recipe):
        hull = np.array([[-0.8, 0.25], [0.85, 0.25], [0.6, 0.6], [-0.55, 0.6]])
        sheet.line(np.array([[x, y - 1.05 * size], [x, y + 0.3 * size]]), 0.06 * size,
                   recipe.inks[1])  # fmt: skip
        main = np.array([[0.06, -0.98], [0.75, 0.13], [0.06, 0.13]])
        jib = np.array([[-0.06, -0.8], [-0.06, 0.13], [-0.6, 0.13]])
        sheet.fill(place(main, x, y, 0, size), _pick(sheet, recipe.inks[3:]))
        sheet.fill(place(jib, x, y, 0, size), _pick(sheet, recipe.inks[3:]))
        sheet.fill(place(hull, x, y, 0, size), recipe.inks[1])
        for k in range(3):
            t = np.linspace(-1.1, 1.1, 20)
            wave = np.column_stack([t, 0.68 + 0.16 * k + 0.05 * np.sin(9 * t + k)])
            sheet.line(place(wave, x, y, 0, size), 0.045 * size, recipe.inks[2], 0.9)
    sheet.mottle(0.025, 9)


DESIGNS = {
    "birds": birds,
    "houses": houses,
    "firs": firs,
    "fish": fish,
    "pears": pears,
    "boats": boats,
}
