"""Printed cloth as a picture: stripes and dots of a known repeat."""

from __future__ import annotations

import numpy as np

from stash.colour.picture.upright import Picture
from stash.colour.spaces.cielab import hex_to_lab, lab_to_linear


def stripes(period_px: int, *, size: int = 400, first: str = "#000000", other: str = "#ffffff"):
    colours = [lab_to_linear(hex_to_lab(text)) for text in (first, other)]
    is_other = (np.arange(size) // (period_px // 2)) % 2
    return np.broadcast_to(np.array(colours)[is_other], (size, size, 3)).astype(np.float32)


def dots(period_x: int, period_y: int, size: int = 480) -> np.ndarray:
    y, x = np.mgrid[0:size, 0:size]
    is_dot = np.hypot(x % period_x - period_x / 2, y % period_y - period_y / 2) < period_x / 5
    ground, dot = (lab_to_linear(hex_to_lab(text)) for text in ("#1f3a5f", "#f0e6d0"))
    return np.where(is_dot[..., None], dot, ground).astype(np.float32)


def picture_of(linear: np.ndarray) -> Picture:
    return Picture(linear=linear, size=(linear.shape[1], linear.shape[0]))
