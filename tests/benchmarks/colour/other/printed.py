"""What a printer makes of rectangles of black: the sheet as it lies on the table.

Two physical accounts of dot gain that share nothing but the drawing:

- scattered: ink at 600 dpi, spread by the press (mechanical gain), and light that enters the paper
  beside a line leaves it below the line (optical gain): R = T . (P * (T Rp)), with P the point
  spread of paper (Ruckdeschel and Hauser 1978; Inoue and others 1997). Where ink c lets t through,
  T = 1 - c (1 - t), so R / Rp = 1 - q (c + P * c) + q^2 c (P * c) with q = 1 - t: two planes serve
  all bands.
- `yule_nielsen`: R^(1/n) = a Rs^(1/n) + (1 - a) Rp^(1/n) (Yule and Nielsen 1951; with n = 1 it is
  Murray and Davies 1936), on the coverage after the press.

Ink is described by its optical density per band (our own description, from memory: carbon absorbs
a little more of blue, some blacks are mixed and look cyan). Paper by a base and, for brightened
paper, light that is given off around 440 nm (ISO 2470 explains the effect; amounts from memory).
"""

from dataclasses import dataclass, field

import cv2
import numpy as np
from scipy.special import roots_genlaguerre

from stash.colour.references.editions import EDITIONS
from tests.benchmarks.colour.other.spectra import BANDS, Floats

Box = tuple[float, float, float, float]
DPI = 600
PER_MM = DPI / 25.4


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """What is printed where, in mm from the top left: black boxes, outer sides, and holes."""

    width: float
    height: float
    black: tuple[Box, ...]
    holes: tuple[Box, ...] = ()


def drawing_of(edition: str) -> Drawing:
    """Return the drawing of the "first" or "second" edition of the card."""
    drawn = next(known for known in EDITIONS if known.name == edition)
    width, height = drawn.size
    return Drawing(
        width=width,
        height=height,
        black=drawn.black_boxes(),
        holes=() if drawn.window is None else (drawn.window,),
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Press:
    """A printer with its ink and paper.

    density: optical density of solid ink per band. paper: reflectance per band. glow: light given
    off by brightened paper, as a share of what falls in. widening: mm that a line gains on both
    sides together. softness: mm, deviation of the edge of ink. scatter: mm, depth of the spread of
    light in paper (0.02 to 0.1, from memory). n: of Yule and Nielsen, used instead of scatter when
    given. gloss: reflected off ink. dust: share of bare paper under stray ink. voids: share of
    solid ink that is missing.
    """

    density: Floats
    paper: Floats
    glow: Floats = field(default_factory=lambda: np.zeros(len(BANDS)))
    widening: float = 0.0
    softness: float = 0.012
    scatter: float = 0.06
    n: float | None = None
    gloss: float = 0.004
    dust: float = 0.0
    voids: float = 0.0


def ink_density(solid: float, *, blue: float = 0.0, cyan: float = 0.0) -> Floats:
    """Return density per band: more of blue (carbon), or more of red (a black that looks cyan)."""
    slope = (550 - BANDS) / 150
    return np.maximum(solid * (1 + blue * slope - cyan * slope), 0.1)


def coverage_of(drawing: Drawing, press: Press) -> Floats:
    """Return the ink (rows, columns) at 600 dpi, 0 to 1: what the press lays down.

    The printer's dots are whole; every edge then moves outwards by half of `widening`.
    """
    shape = round(drawing.height * PER_MM), round(drawing.width * PER_MM)
    ink = np.zeros(shape, np.float32)
    half = press.widening / 2 * PER_MM
    for box in drawing.black:
        left, top, right, bottom = (round(side * PER_MM) for side in box)
        across, x = _spanned(left - half, right + half, shape[1])
        down, y = _spanned(top - half, bottom + half, shape[0])
        part = ink[y : y + len(down), x : x + len(across)]
        part += down[:, None] * across  # two lines may each cover a part of the dot between them
    np.minimum(ink, 1, out=ink)
    if press.softness * PER_MM > 0.15:
        ink = np.asarray(cv2.GaussianBlur(ink, (0, 0), press.softness * PER_MM))
    return np.asarray(press.dust + ink * (1 - press.voids - press.dust), dtype=np.float32)


def _spanned(start: float, end: float, size: int) -> tuple[Floats, int]:
    """Return how much of each dot from the first one on a span covers, and which is the first."""
    first, last = max(0, int(np.floor(start))), min(size, int(np.ceil(end)))
    dots = np.arange(first, last)
    cover = np.minimum(dots + 1, end) - np.maximum(dots, start)
    return np.clip(cover, 0, 1).astype(np.float32), first


def yule_nielsen(coverage: Floats, solid: Floats, paper: Floats, n: float) -> Floats:
    """Return the reflectance of a screen (Yule and Nielsen 1951)."""
    root = coverage * solid ** (1 / n) + (1 - coverage) * paper ** (1 / n)
    return np.asarray(root**n)


def spread_in_paper(ink: Floats, depth: float) -> Floats:
    """Return P * ink with the point spread exp(-r / depth) of paper, depth in pixels.

    Its transfer function is (1 + (2 pi depth f)^2)^(-3/2) (Inoue, Tsumura and Miyake 1997): a
    mixture of Gaussians whose variance follows a Gamma law of 3/2, by three Laguerre nodes.
    """
    nodes, weights = roots_genlaguerre(3, 0.5)
    inside = np.zeros_like(ink)
    small = cv2.resize(ink, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    coarse = np.zeros_like(small)
    for node, weight in zip(nodes, weights / weights.sum(), strict=True):
        sigma = depth * float(np.sqrt(2 * node))
        if sigma < 2:
            inside += np.float32(weight) * _blurred(ink, sigma)
        else:  # halving blurs a little, too
            coarse += np.float32(weight) * _blurred(small, np.sqrt(sigma**2 - 0.5) / 2)
    if coarse.any():
        inside += cv2.resize(coarse, ink.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(inside)


def _blurred(plane: Floats, sigma: float) -> Floats:
    return plane if sigma < 0.2 else np.asarray(cv2.GaussianBlur(plane, (0, 0), sigma))


@dataclass(frozen=True, kw_only=True, eq=False)
class Print:
    """A printed sheet that still answers to any light and sensor.

    planes: (rows, columns) each. shares: reflectance of each plane per band (planes, 31); what is
    seen is their sum.
    """

    planes: tuple[Floats, ...]
    shares: Floats
    per_mm: float

    def seen(self, weights: Floats) -> Floats:
        """Return (rows, columns, k) for weights (31, k) of light times sensor."""
        channels = self.shares @ weights
        planes = zip(self.planes, channels, strict=True)
        return np.asarray(sum(plane[..., None] * of for plane, of in planes), dtype=np.float32)


def printed(drawing: Drawing, press: Press, per_mm: float) -> Print:
    """Return the sheet as it came out of the printer, averaged to `per_mm` pixels a mm.

    Light is averaged over what a pixel covers, as in a camera, never the ink.
    """
    ink = coverage_of(drawing, press)
    size = max(1, round(drawing.width * per_mm)), max(1, round(drawing.height * per_mm))

    def small(plane: Floats) -> Floats:
        return np.asarray(cv2.resize(plane, size, interpolation=cv2.INTER_AREA))

    sheet = press.paper + press.glow
    solid = 10**-press.density
    if press.n is not None:
        # A screen of 1/75 inch is averaged before the formula, which is made for tints.
        tint = cv2.GaussianBlur(small(ink), (0, 0), 0.14 * per_mm)
        levels = solid.max(), solid.min()
        at = (solid - levels[0]) / min(levels[1] - levels[0], -1e-9)
        white = np.float64(1)
        planes = tuple(yule_nielsen(tint, np.float64(level), white, press.n) for level in levels)
        shares = [sheet * (1 - at), sheet * at]
    else:
        inside = spread_in_paper(ink, press.scatter * PER_MM)
        bare = 1 - np.sqrt(solid)
        both = small(ink * inside)
        tint = small(ink)
        planes = (np.ones_like(tint), tint + small(inside), both)
        shares = [sheet, -sheet * bare, sheet * bare**2]
    gloss = np.full(len(BANDS), press.gloss)
    return Print(planes=(*planes, tint), shares=np.stack([*shares, gloss]), per_mm=per_mm)
