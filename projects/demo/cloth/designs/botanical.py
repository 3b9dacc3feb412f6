"""Flowers small and large, leaves, vines and berries."""

import numpy as np

from ..motifs import blob, leaf, leaf_vein, petal, place, stem
from ..recipe import Recipe
from ..sheet import Sheet


def _leaf(
    sheet: Sheet, x: float, y: float, angle: float, size: float, colours: tuple[str, str]
) -> None:
    """A leaf lit from one side, with its midrib."""
    bend = sheet.rng.uniform(-0.22, 0.22)
    width = sheet.rng.uniform(0.36, 0.5)
    whole = leaf(width, bend)
    sheet.fill(place(whole, x, y, angle, size), colours[0], 0.97)
    half = np.vstack([whole[: len(whole) // 2], leaf_vein(bend)[::-1]])
    sheet.fill(place(half, x, y, angle, size), colours[1], 0.7)
    sheet.line(place(leaf_vein(bend), x, y, angle, size), 0.03 * size, colours[1], 0.8)
    if size > 9:
        for t in (0.25, 0.42, 0.58, 0.74):
            for side in (-1, 1):
                foot = np.array([bend * t**2, -t])
                tip = foot + np.array([side * width * 0.34, -0.13]) * np.sin(np.pi * t)
                rib = place(np.vstack([foot, tip]), x, y, angle, size)
                sheet.line(rib, 0.012 * size, colours[1], 0.7)


def _simple_flower(
    sheet: Sheet, x: float, y: float, size: float, petals: int, colours: tuple[str, str, str]
) -> None:
    """A little open flower: petals, their darker throats, and an eye."""
    turn = sheet.rng.uniform(0, 2 * np.pi)
    width = 2.1 * np.pi / petals * 0.52
    for k in range(petals):
        angle = turn + 2 * np.pi * k / petals + sheet.rng.normal(0, 0.05)
        long = size * sheet.rng.uniform(0.92, 1.06)
        sheet.fill(place(petal(width, 0.8), x, y, angle, long), colours[0], 0.97)
        sheet.fill(place(petal(width * 0.55, 0.45), x, y, angle, long * 0.62), colours[1], 0.75)
    middle = np.array([x, y])
    sheet.disc(middle, size * 0.24, colours[2])
    sheet.disc(middle + size * 0.05, size * 0.12, colours[1], 0.7)


def ditsy(sheet: Sheet, recipe: Recipe) -> None:
    """Small scattered flowers with leaves and specks. Inks: ground, petals..., throat, eye, leaf,
    leaf shade; the petal colours are those in between."""
    *petals, throat, eye, green, shade = recipe.inks[1:]
    low, high = recipe.options.get("size", (2.6, 4.2))
    spots = sheet.scatter(recipe.options.get("spacing", 8.5))
    for x, y in spots:
        lean = sheet.rng.uniform(0, 2 * np.pi)
        for side in (-0.7, 0.6):
            size = sheet.rng.uniform(low, high) * 1.25
            _leaf(sheet, x, y, lean + side, size, (green, shade))
    for number, (x, y) in enumerate(spots):
        colour = petals[number % len(petals)]
        size = sheet.rng.uniform(low, high)
        _simple_flower(sheet, x, y, size, recipe.options.get("petals", 5), (colour, throat, eye))
    for spot in sheet.speckle(recipe.options.get("spacing", 8.5) * 0.55):
        sheet.disc(spot, 0.3, eye, 0.8)
    sheet.mottle(0.02, 10)


def _bloom(
    sheet: Sheet, x: float, y: float, size: float, colours: tuple[str, str, str], eye: str
) -> None:
    """A full garden bloom: four rings of petals, each with shade, light edge and veins."""
    light, middle, dark = colours
    rng = sheet.rng
    for ring, (reach, count) in enumerate([(1.0, 9), (0.78, 8), (0.55, 6), (0.34, 5)]):
        turn = rng.uniform(0, 2 * np.pi)
        order = rng.permutation(count)
        for k in order:
            angle = turn + 2 * np.pi * k / count + rng.normal(0, 0.08)
            long = size * reach * rng.uniform(0.93, 1.07)
            width = rng.uniform(0.72, 0.86) + 0.06 * ring
            outline = petal(width, 0.86, 0.07)
            sheet.fill(place(outline, x, y, angle, long * 1.03), dark, 0.85)
            sheet.fill(place(outline, x, y, angle, long), light, 0.95)
            inner = petal(width * 0.82, 0.7, 0.05)
            sheet.fill(place(inner, x, y, angle, long * 0.87), middle, 0.8)
            sheet.fill(place(petal(width * 0.5, 0.4), x, y, angle, long * 0.7), dark, 0.55)
            for lean in (-0.2, -0.07, 0.07, 0.2):
                t = np.linspace(0.3, 0.86, 7)
                vein = np.column_stack([lean * width * 2 * t * (1.1 - 0.4 * t), -t])
                sheet.line(place(vein, x, y, angle, long), 0.011 * size, dark, 0.35)
    for _ in range(22):
        angle, reach = rng.uniform(0, 2 * np.pi), size * 0.17 * np.sqrt(rng.random())
        spot = np.array([x + reach * np.cos(angle), y + reach * np.sin(angle)])
        sheet.disc(spot, size * 0.026, eye, 0.95)


def _bud(
    sheet: Sheet, x: float, y: float, angle: float, size: float, colours: tuple[str, ...]
) -> None:
    light, middle, dark, green = colours
    for lean, colour in ((-0.35, middle), (0.35, middle), (0.0, light)):
        sheet.fill(place(petal(0.6, 0.6), x, y, angle + lean, size), colour, 0.95)
    sheet.fill(place(petal(0.25, 0.5), x, y, angle, size * 0.75), dark, 0.4)
    for lean in (-0.75, 0.75, 0.1):
        sheet.fill(place(leaf(0.4), x, y, angle + lean, size * 0.55), green, 0.95)


def garden(sheet: Sheet, recipe: Recipe) -> None:
    """Large blooms with leaves, buds and small fillers. Inks: ground, light, middle and dark of
    the first bloom, the same of the second, eye, leaf, leaf shade."""
    inks = recipe.inks
    blooms = [(inks[1], inks[2], inks[3]), (inks[4], inks[5], inks[6])]
    eye, green, shade = inks[7], inks[8], inks[9]
    size = recipe.options.get("size", 24.0)
    spots = sheet.scatter(recipe.options.get("spacing", 52.0))
    for x, y in sheet.speckle(size * 0.55):
        angle = sheet.rng.uniform(0, 2 * np.pi)
        _leaf(sheet, x, y, angle, size * sheet.rng.uniform(0.3, 0.45), (shade, green))
    for x, y in spots:
        for k in range(7):
            angle = 2 * np.pi * k / 7 + sheet.rng.normal(0, 0.25)
            foot = np.array([x, y]) + 0.5 * size * np.array([np.sin(angle), -np.cos(angle)])
            long = size * sheet.rng.uniform(0.7, 1.05)
            _leaf(sheet, foot[0], foot[1], angle, long, (green, shade))
        for angle in sheet.rng.uniform(0, 2 * np.pi, 2):
            path = place(stem(size * 1.35, size * 0.3), x, y, angle)
            sheet.line(path, 0.035 * size, shade, 0.95)
            end = path[-1]
            choice = blooms[int(sheet.rng.integers(2))]
            _bud(sheet, end[0], end[1], angle, size * 0.32, (*choice, green))
    for number, (x, y) in enumerate(spots):
        reach = size * sheet.rng.uniform(0.72, 1.05)
        _bloom(sheet, x, y, reach, blooms[number % 2], eye)
    sheet.mottle(0.03, 4)


def leaves(sheet: Sheet, recipe: Recipe) -> None:
    """Tossed leaves in the other inks, every pair of inks being a leaf and its shade."""
    pairs = list(zip(recipe.inks[1::2], recipe.inks[2::2], strict=False))
    low, high = recipe.options.get("size", (6.0, 10.0))
    for x, y in sheet.scatter(recipe.options.get("spacing", 6.0)):
        pair = pairs[int(sheet.rng.integers(len(pairs)))]
        _leaf(sheet, x, y, sheet.rng.uniform(0, 2 * np.pi), sheet.rng.uniform(low, high), pair)
    sheet.mottle(0.03, 8)


def ferns(sheet: Sheet, recipe: Recipe) -> None:
    """Upright fronds; one way when `upright`, tossed otherwise."""
    upright = recipe.options.get("upright", True)
    size = recipe.options.get("size", 26.0)
    for x, y in sheet.scatter(recipe.options.get("spacing", 14.0)):
        angle = sheet.rng.normal(0, 0.22) if upright else sheet.rng.uniform(0, 2 * np.pi)
        long = size * sheet.rng.uniform(0.7, 1.05)
        colour = recipe.inks[1 + int(sheet.rng.integers(len(recipe.inks) - 1))]
        spine = stem(1.0, sheet.rng.uniform(-0.2, 0.2))
        sheet.line(place(spine, x, y, angle, long), 0.02 * long, colour)
        for t in np.linspace(0.14, 0.97, 12):
            foot = np.array([np.interp(t, -spine[:, 1], spine[:, 0]), -t])
            reach = 0.34 * (1.02 - t) ** 0.8 * min(1.0, t * 4)
            for side in (-1, 1):
                tip = place(leaf(0.36), foot[0], foot[1], side * 0.95, reach)
                sheet.fill(place(tip, x, y, angle, long), colour, 0.95)
    sheet.mottle(0.03, 10)


def vines(sheet: Sheet, recipe: Recipe) -> None:
    """Winding stems along the length with leaves and berries. Inks: ground, stem, leaf, shade,
    berry."""
    count = recipe.options.get("count", 3)
    inks = recipe.inks
    for number in range(count):
        middle = (number + 0.5) * sheet.width_mm / count
        swing = sheet.width_mm / count * 0.3
        phase = sheet.rng.uniform(0, 2 * np.pi)
        y = np.linspace(0, sheet.height_mm, 60)
        x = middle + swing * np.sin(2 * np.pi * y / sheet.height_mm * 2 + phase)
        sheet.line(np.column_stack([x, y]), 0.7, inks[1])
        for k in range(2, 58, 3):
            side = 1 if k % 2 else -1
            lean = side * sheet.rng.uniform(0.7, 1.3)
            size = sheet.rng.uniform(5.5, 8.5)
            _leaf(sheet, x[k], y[k], lean, size, (inks[2], inks[3]))
            if k % 2:
                away = np.array([x[k] - side * 3.2, y[k] - 1.5])
                sheet.line(np.vstack([[x[k], y[k]], away]), 0.35, inks[1])
                sheet.disc(away, 1.35, inks[4])
                sheet.disc(away - 0.4, 0.35, inks[0], 0.7)
    sheet.mottle(0.03, 8)


def berries(sheet: Sheet, recipe: Recipe) -> None:
    """Sprigs with three berries each, tossed. Inks: ground, stem, berries..."""
    for x, y in sheet.scatter(recipe.options.get("spacing", 9.0)):
        angle = sheet.rng.uniform(0, 2 * np.pi)
        colour = recipe.inks[2 + int(sheet.rng.integers(len(recipe.inks) - 2))]
        for lean in (-0.55, 0.05, 0.6):
            path = place(stem(4.6, 0.8), x, y, angle + lean)
            sheet.line(path, 0.35, recipe.inks[1])
            sheet.disc(path[-1], 1.05, colour)
            sheet.disc(path[-1] - 0.3, 0.28, recipe.inks[0], 0.6)
    sheet.mottle(0.03, 8)


def pebbles(sheet: Sheet, recipe: Recipe) -> None:
    """Close-set rounded stones or seeds."""
    low, high = recipe.options.get("size", (1.8, 3.0))
    for x, y in sheet.scatter(recipe.options.get("spacing", 4.2)):
        colour = recipe.inks[1 + int(sheet.rng.integers(len(recipe.inks) - 1))]
        shape = blob(sheet.rng, 0.3, 4, 22) * (1.0, sheet.rng.uniform(0.7, 0.95))
        angle = sheet.rng.uniform(0, np.pi)
        sheet.fill(place(shape, x, y, angle, sheet.rng.uniform(low, high)), colour, 0.95)
    sheet.mottle(0.04, 5)


DESIGNS = {
    "ditsy": ditsy,
    "garden": garden,
    "leaves": leaves,
    "ferns": ferns,
    "vines": vines,
    "berries": berries,
    "pebbles": pebbles,
}
