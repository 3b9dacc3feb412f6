"""The demo's cloth photographed once more, in the shop: without a card, anyhow."""

from __future__ import annotations

import io

import cv2
import numpy as np
from PIL import Image

from projects.demo.cloth.inks import encode
from projects.demo.cloth.paint import design_sheet
from projects.demo.cloth.recipe import Recipe
from projects.demo.cloth.scene import Texture
from projects.demo.cloth.weave import weave_relief
from stash.colour.picture.photo import decode_photo
from stash.colour.picture.upright import Picture


def second_photo(recipe: Recipe, rng: np.random.Generator, *, width: int = 1200) -> Picture:
    """Return a bare photo of other cloth of this print, in another light, turned and scaled."""
    sheet = design_sheet(recipe)
    density = recipe.density * 0.75 * width / 1200 / rng.uniform(0.6, 1.6)  # pixels per mm
    y, x = (np.mgrid[0 : width * 3 // 4, 0:width] / density).astype(np.float32)
    angle = rng.uniform(0, 2 * np.pi)
    away = rng.uniform(0, 300, 2)
    u = (np.cos(angle) * x - np.sin(angle) * y + away[0]).astype(np.float32)
    v = (np.sin(angle) * x + np.cos(angle) * y + away[1]).astype(np.float32)
    design = Texture(pixels=sheet.pixels, width_mm=sheet.width_mm, height_mm=sheet.height_mm)
    relief, size = weave_relief(recipe.weave, recipe.density, recipe.seed)
    threads = Texture(pixels=relief, width_mm=size, height_mm=size)
    seen = design.at(u, v) * threads.at(u, v)[..., None]
    # A lamp or a cloudy sky that the phone balances only in part (common practice, no source).
    lamp = rng.uniform(-0.14, 0.14)
    gains = np.array([1 + lamp, 1.0, 1 - 1.3 * lamp])
    fall = 1 - rng.uniform(0, 0.35) * x / x.max()
    metered = 0.18 / max(float(seen.mean()), 1e-3)
    exposure = min(metered, 0.95 / float(np.percentile(seen, 99.5))) * rng.uniform(0.75, 1.25)
    lit = seen * gains * fall[..., None] * exposure
    blurred = cv2.GaussianBlur(lit.astype(np.float32), (0, 0), rng.uniform(0.7, 1.2))
    noisy = blurred + rng.normal(0, 0.004, blurred.shape)
    file = io.BytesIO()
    Image.fromarray(encode(noisy.astype(np.float32))).save(file, "JPEG", quality=88)
    return decode_photo(file.getvalue())
