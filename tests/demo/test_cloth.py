"""The painter: repeatable, seamless, and honest about the colour of what it paints."""

import dataclasses
import io
from functools import cache

import numpy as np
import pytest
from PIL import Image, ImageOps

from projects.demo.cloth import Recipe, paint
from projects.demo.cloth.designs import DESIGNS
from projects.demo.cloth.inks import linear_to_lab
from projects.demo.cloth.paint import cloth_frame, design_sheet, far_colour
from projects.demo.cloth.scene import look
from projects.demo.cloth.weave import LOOKS
from projects.demo.recipes import RECIPES
from stash.colour.spaces.cielab import hex_to_lab
from stash.colour.spaces.difference import delta_e_2000
from stash.models.fabric import Direction, PrintScale, Weave

BY_NAME = {recipe.name: recipe for recipe in RECIPES}


@cache
def far_colours() -> np.ndarray:
    """All far colours, from coarse sheets: the spread does not hang on fine detail."""
    coarse = [dataclasses.replace(recipe, density=2.0) for recipe in RECIPES]
    return np.array([far_colour(design_sheet(recipe)) for recipe in coarse])


def test_same_recipe_gives_the_same_photo() -> None:
    recipe = BY_NAME["Bakehouse Dot"]
    assert paint(recipe).photo == paint(recipe).photo


def test_another_seed_gives_another_print() -> None:
    recipe = BY_NAME["Hedgerow"]
    other = dataclasses.replace(recipe, seed=recipe.seed + 1)
    assert not np.array_equal(design_sheet(recipe).pixels, design_sheet(other).pixels)


@pytest.mark.parametrize("name", ["Peony Orchard", "Hedgerow", "Tidepool", "Mermaid Tiles"])
def test_repeat_has_no_seam(name: str) -> None:
    """Across the seam neighbouring rows and columns differ no more than they do elsewhere."""
    pixels = design_sheet(BY_NAME[name]).pixels
    for axis in (0, 1):
        steps = np.abs(np.diff(pixels, axis=axis, append=pixels.take([0], axis=axis)))
        per_line = steps.mean(axis=(1 - axis, 2))
        assert per_line[-1] <= per_line[:-1].max() * 1.02


@pytest.mark.parametrize("name", ["Chalk", "Old Ink", "Hearthside Plaid", "Pin Light", "Juniper"])
def test_rendered_cloth_before_lighting_has_the_stated_far_colour(name: str) -> None:
    """Weave, skew and resampling keep the mean; a frame does not hold whole repeats exactly."""
    recipe = BY_NAME[name]
    sheet = design_sheet(recipe)
    view = look(recipe.density, 0.06, np.random.default_rng(5))
    frame = cloth_frame(sheet, recipe, view)
    seen = linear_to_lab(frame.reshape(-1, 3).mean(axis=0, dtype=float))
    assert delta_e_2000(seen, far_colour(sheet)) < 1.2


def test_solid_has_the_colour_of_its_ink() -> None:
    for name in ("Chalk", "Midnight Pond", "Rosehip"):
        recipe = BY_NAME[name]
        expected = hex_to_lab(recipe.inks[0])
        assert delta_e_2000(far_colour(design_sheet(recipe)), expected) < 0.3


def test_fabrics_spread_over_lights_and_darks() -> None:
    lightness = far_colours()[:, 0]
    counts, _ = np.histogram(lightness, [0, 30, 40, 50, 60, 70, 80, 100])
    assert counts.min() >= 6
    assert lightness.min() < 18
    assert lightness.max() > 94


def test_fabrics_spread_over_all_hues_and_neutrals() -> None:
    _, a, b = far_colours().T
    chroma, angle = np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360
    counts, _ = np.histogram(angle[chroma > 10], np.arange(0, 361, 60))
    assert counts.min() >= 3
    assert (chroma < 5).sum() >= 8


def test_names_are_told_apart_and_nobody_s() -> None:
    assert 75 <= len(RECIPES) <= 95
    assert len({recipe.name for recipe in RECIPES}) == len(RECIPES)


def test_recipes_use_the_words_of_the_stash() -> None:
    for recipe in RECIPES:
        assert recipe.design in DESIGNS
        assert recipe.weave in LOOKS
        assert recipe.weave in Weave.values
        assert recipe.direction in Direction.values
        assert recipe.print_scale in PrintScale.values


def test_sideways_photo_is_upright_once_its_orientation_is_applied() -> None:
    upright = Recipe(name="Ladder", design="stripes", inks=("#ffffff", "#102040"),
                     options={"bands": [(0, 1), (1, 1)]}, direction="stripe")  # fmt: skip
    turned = dataclasses.replace(upright, turned=True)
    straight = Image.open(io.BytesIO(paint(upright).photo))
    sideways = Image.open(io.BytesIO(paint(turned).photo))
    assert straight.size == (1600, 1200)
    assert sideways.size == (1200, 1600)
    righted = np.asarray(ImageOps.exif_transpose(sideways), float)
    assert np.abs(righted - np.asarray(straight, float)).mean() < 2


def test_photo_says_how_it_was_exposed_but_not_where_or_by_whom() -> None:
    exif = Image.open(io.BytesIO(paint(BY_NAME["Chalk"]).photo)).getexif()
    details = exif.get_ifd(0x8769)
    assert {0x829A, 0x829D, 0x8827, 0x9003} <= set(details)
    maker, model, gps, serial = 0x010F, 0x0110, 0x8825, 0xA431
    assert exif[model] == "Ottermere pocket camera"
    assert not {maker, gps} & set(exif)
    assert serial not in details


def test_wide_gamut_photo_carries_its_profile() -> None:
    recipe = BY_NAME["Coral Glasshouse"]
    picture = Image.open(io.BytesIO(paint(recipe).photo))
    assert recipe.wide_gamut
    assert picture.info["icc_profile"]


@pytest.mark.parametrize("kind", ["avif", "webp"])
def test_other_file_kinds_open_at_full_size(kind: str) -> None:
    recipe = dataclasses.replace(BY_NAME["Chalk"], file_kind=kind)
    cloth = paint(recipe)
    picture = Image.open(io.BytesIO(cloth.photo))
    assert cloth.suffix == f".{kind}"
    assert picture.size == (1600, 1200)
