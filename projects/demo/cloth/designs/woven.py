"""Cloths whose pattern is in the yarn: chambray, ticking, gingham, plaid."""

import cv2
import numpy as np

from ..inks import Floats, ink
from ..recipe import Recipe
from ..sheet import Sheet

THREAD_MM = 0.42  # 60 threads to the inch, common quilting cotton


def _yarns(bands: list[tuple[int, float]], inks: tuple[str, ...], length_mm: float) -> Floats:
    """Return the colour of each thread, shape (threads, 3), for bands of (ink number, share)."""
    threads = max(2, 2 * round(length_mm / THREAD_MM / 2))
    ends = np.cumsum([share for _, share in bands])
    middles = (np.arange(threads) + 0.5) / threads * ends[-1]
    chosen = np.searchsorted(ends, middles)
    return np.array([ink(inks[bands[i][0]]) for i in chosen], np.float32)


def _weave(sheet: Sheet, warp: Floats, weft: Floats, *, twill: bool = False) -> None:
    # No two yarns take the dye quite alike.
    warp = warp * (1 + 0.05 * sheet.rng.standard_normal((len(warp), 1)).astype(np.float32))
    weft = weft * (1 + 0.05 * sheet.rng.standard_normal((len(weft), 1)).astype(np.float32))
    row, column = np.indices((len(weft), len(warp)))
    warp_is_up = (row + column) % 4 < 2 if twill else (row + column) % 2 == 0
    cloth = np.where(warp_is_up[..., None], warp[None, :, :], weft[:, None, :])
    fine = cloth.repeat(4, axis=0).repeat(4, axis=1)
    sheet.pixels[:] = cv2.resize(fine, (sheet.columns, sheet.rows), interpolation=cv2.INTER_AREA)


def chambray(sheet: Sheet, recipe: Recipe) -> None:
    """One colour along, another across; both show everywhere."""
    warp = _yarns([(0, 1)], recipe.inks, sheet.width_mm)
    weft = _yarns([(1, 1)], recipe.inks, sheet.height_mm)
    _weave(sheet, warp, weft)
    sheet.mask(np.clip(sheet.clouds(1.2, 2, stretch=14), 0, 1), recipe.inks[1], 0.18)


def woven_stripe(sheet: Sheet, recipe: Recipe) -> None:
    warp = _yarns(recipe.options["bands"], recipe.inks, sheet.width_mm)
    weft = _yarns([(recipe.options.get("weft", 0), 1)], recipe.inks, sheet.height_mm)
    _weave(sheet, warp, weft, twill=recipe.options.get("twill", False))
    # Ticking is warp-faced: let the stripes stand clear of the filling yarn.
    along = np.broadcast_to(_spread(warp, sheet.columns), sheet.pixels.shape)
    sheet.pixels += 0.55 * (along - sheet.pixels)


def _spread(yarns: Floats, pixels: int) -> Floats:
    row = cv2.resize(yarns[None, :, :], (pixels, 1), interpolation=cv2.INTER_LINEAR)
    return np.asarray(row, np.float32)


def plaid(sheet: Sheet, recipe: Recipe) -> None:
    """The same or two different bands along and across; gingham is the two-band case."""
    bands = recipe.options["bands"]
    warp = _yarns(bands, recipe.inks, sheet.width_mm)
    weft = _yarns(recipe.options.get("across", bands), recipe.inks, sheet.height_mm)
    _weave(sheet, warp, weft, twill=recipe.options.get("twill", False))


DESIGNS = {"chambray": chambray, "woven stripe": woven_stripe, "plaid": plaid}
