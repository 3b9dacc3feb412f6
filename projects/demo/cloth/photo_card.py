"""The printed photo card, lying flat on the cloth: the reference that makes a photo trustworthy."""

from functools import lru_cache

import cv2
import numpy as np

from stash.colour.references.editions import FIRST

from .inks import Floats, ink
from .scene import View, drop_shadow

_WIDE, _HIGH = FIRST.size
_DOTS = 8  # pixels per mm of the drawn card
_MARGIN = 9.0  # mm between the card and the edge of the photo
_PAPER, _BLACK = "#efeeec", "#3a393a"
_GAIN = 0.10  # a printer widens lines: half coverage prints as 60 %


@lru_cache(maxsize=1)
def _printed() -> Floats:
    """Return the card as share of black (rows, columns); line screens as their mean."""
    black = np.zeros((round(_HIGH * _DOTS), round(_WIDE * _DOTS)), np.float32)
    for x0, y0, x1, y1 in FIRST.black_boxes():
        if x1 - x0 > 0.15 and y1 - y0 > 0.25:  # what is finer belongs to a line screen
            left, top = round(x0 * _DOTS), round(y0 * _DOTS)
            black[
                top : max(top + 1, round(y1 * _DOTS)), left : max(left + 1, round(x1 * _DOTS))
            ] = 1
    finest = min(patch.pitch for patch in FIRST.patches if patch.pitch)
    for patch in FIRST.patches:
        x0, y0, x1, y1 = (round(edge * _DOTS) for edge in patch.box)
        gain = 0.0 if patch.pitch is None else _GAIN * finest / patch.pitch
        black[y0:y1, x0:x1] = patch.coverage + 4 * gain * patch.coverage * (1 - patch.coverage)
    return black


def lay_card(frame: Floats, view: View, rng: np.random.Generator) -> None:
    """Lay the card on the lit scene, in a corner of the photo, a little askew."""
    rows, columns = frame.shape[:2]
    half_x = (_WIDE / 2 + _MARGIN) * view.density
    half_y = (_HIGH / 2 + _MARGIN) * view.density
    x = half_x if rng.random() < 0.5 else columns - half_x
    y = half_y if rng.random() < 0.5 else rows - half_y
    to_pixels = cv2.getRotationMatrix2D((0, 0), rng.normal(0, 1.2), view.density / _DOTS)
    middle = np.array([_WIDE, _HIGH]) * _DOTS / 2
    to_pixels[:, 2] = np.array([x, y]) - to_pixels[:, :2] @ middle
    # Each pixel of the photo sees the mean of the dots below it.
    dots = cv2.GaussianBlur(_printed(), (0, 0), 0.45 * _DOTS / view.density)
    black = cv2.warpAffine(dots, to_pixels, (columns, rows), flags=cv2.INTER_LINEAR)
    whole = np.ones(dots.shape, np.float32)
    laid = cv2.warpAffine(whole, to_pixels, (columns, rows), flags=cv2.INTER_LINEAR)
    cover = np.asarray(laid, np.float32)
    share = (black / np.maximum(cover, 1e-3))[..., None]
    card = ink(_PAPER) + share * (ink(_BLACK) - ink(_PAPER))
    frame *= drop_shadow(cover, view, 0.6)
    frame += cover[..., None] * (card * view.light - frame)
