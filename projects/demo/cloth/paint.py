"""From a recipe to a photo file."""

import zlib

import numpy as np

from .camera import expose, write
from .designs import DESIGNS
from .inks import Floats, ink, linear_to_lab
from .photo_card import lay_card
from .recipe import PaintedCloth, Recipe
from .scene import (
    TABLES,
    Edge,
    Texture,
    View,
    drop_shadow,
    edge_shade,
    inside,
    look,
    selvage,
    table,
)
from .sheet import Sheet
from .weave import weave_relief

# How deep the folds are, and which edges show, per way of laying the cloth out.
FOLDS = {"draped": 1.0, "flat": 0.12, "rumpled": 0.5}


def design_sheet(recipe: Recipe) -> Sheet:
    """Return one repeat of the recipe's design, in linear light, before weave and photo."""
    sheet = Sheet(recipe.repeat, recipe.density, recipe.inks[0], recipe.seed)
    DESIGNS[recipe.design](sheet, recipe)
    return sheet


def far_colour(sheet: Sheet) -> tuple[float, float, float]:
    """Return the CIELAB colour of the sheet seen from far away: its mean in linear light."""
    return linear_to_lab(sheet.pixels.reshape(-1, 3).mean(axis=0, dtype=float))


def cloth_frame(sheet: Sheet, recipe: Recipe, view: View) -> Floats:
    """Return the cloth as the view sees it, woven but unlit."""
    design = Texture(pixels=sheet.pixels, width_mm=sheet.width_mm, height_mm=sheet.height_mm)
    relief, size = weave_relief(recipe.weave, recipe.density, recipe.seed)
    threads = Texture(pixels=relief, width_mm=size, height_mm=size)
    return design.at(view.u, view.v) * threads.at(view.u, view.v)[..., None]


def paint(recipe: Recipe) -> PaintedCloth:
    """Paint the recipe. Same recipe, same bytes."""
    # The design has its own seed; the photo's chances hang on the name.
    rng = np.random.default_rng([recipe.seed, zlib.crc32(recipe.name.encode())])
    sheet = design_sheet(recipe)
    view = look(recipe.density, FOLDS.get(recipe.scene, 0.06), rng, evenly=recipe.evenly)
    cloth = cloth_frame(sheet, recipe, view)
    if recipe.scene in FOLDS:
        frame = cloth * view.shade[..., None] * view.light
    else:
        frame = _on_table(cloth, recipe, view, rng)
    if recipe.card:
        lay_card(frame, view, rng)
    photo, suffix = write(expose(frame, recipe, rng), recipe)
    return PaintedCloth(
        photo=photo,
        suffix=suffix,
        true_lab=far_colour(sheet),
        mm_per_pixel=1 / recipe.density,
    )


def _edges(recipe: Recipe, rng: np.random.Generator) -> tuple[list[list[Edge]], str]:
    """Return the layers of cloth, lowest first, and the table they lie on."""
    half_x, half_y = 800 / recipe.density, 600 / recipe.density
    top = str(rng.choice(list(TABLES)))
    flip = rng.random() < 0.5
    if recipe.scene == "corner":
        side, at = ("left", -0.62 * half_x) if flip else ("right", 0.62 * half_x)
        lower = Edge(side="bottom", at=half_y * rng.uniform(0.66, 0.8), kind="raw")
        return [[Edge(side=side, at=at * rng.uniform(0.95, 1.15), kind="raw"), lower]], top
    if recipe.scene == "pinked":
        sides = [("left", -63.5), ("right", 63.5), ("top", -63.5), ("bottom", 63.5)]
        return [[Edge(side=side, at=at, kind="pinked") for side, at in sides]], top
    if recipe.scene == "selvage":
        side, at = ("left", -0.7 * half_x) if flip else ("right", 0.7 * half_x)
        return [[Edge(side=side, at=at, kind="selvage")]], top
    if recipe.scene == "bundle":
        layers = []
        for below in (3, 2, 1, 0):
            out = 1.6 * below + rng.uniform(-0.5, 0.5)
            layers.append(
                [
                    Edge(side="left", at=-0.78 * half_x - out, kind="fold"),
                    Edge(side="right", at=0.78 * half_x + rng.uniform(-1.2, 1.2), kind="raw"),
                    Edge(side="bottom", at=0.76 * half_y + 1.4 * out, kind="fold"),
                    Edge(side="top", at=-0.8 * half_y + rng.uniform(-1, 1), kind="raw"),
                ]
            )
        return layers, top
    raise ValueError(f"unknown scene {recipe.scene!r}")


def _on_table(cloth: Floats, recipe: Recipe, view: View, rng: np.random.Generator) -> Floats:
    layers, top = _edges(recipe, rng)
    frame = table(top, view, rng)
    density = np.float32(recipe.density)
    for number, edges in enumerate(layers):
        is_top = number == len(layers) - 1
        # What shows of the layers below is another part of the print, in their neighbour's shade.
        shown = cloth if is_top else np.roll(cloth, (61, 97), axis=(0, 1))
        shade = view.shade if is_top else view.shade * np.float32(0.94)
        cover = np.ones(shade.shape, np.float32)
        for side, edge in enumerate(edges):
            depth = inside(edge, view, recipe.seed * 16 + number * 4 + side)
            cover *= np.clip(depth * density + np.float32(0.5), 0, 1)
            if edge.kind == "selvage":
                shown = selvage(edge, depth, view, shown, [ink(text) for text in recipe.inks])
            shade = shade * edge_shade(edge, depth, view)
        frame *= drop_shadow(cover, view, 2.2)
        frame += cover[..., None] * (shown * shade[..., None] * view.light - frame)
    return frame
