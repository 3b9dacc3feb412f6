"""A 24-patch colour chart as reference: found, or given by its four corners.

Way to true colour: one tone curve through the six greys, then a root-polynomial of degree 2 from
the three channels to XYZ, fitted to the chart's published reflectances; where that misfits, a
plain 3x3 matrix. Never a higher degree: 24 patches would be over-fitted.

Source: Finlayson, Mackiewicz, Hurlbert (2015), doi:10.1109/TIP.2015.2405336, by way of
colour-science, which also carries the reflectances.
"""

from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from stash.colour.picture.marks import Corners
from stash.colour.picture.upright import Picture
from stash.colour.references.correction import Correction, Lit, always, project
from stash.colour.references.science import colour_science
from stash.colour.references.tone import Tone, fit_tone
from stash.colour.spaces.cielab import xyz_to_lab
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.spaces.srgb import D65_XYZ, P3_TO_SRGB, P3_TO_XYZ, encode_srgb

FloatArray = NDArray[np.floating[Any]]
Notes = tuple[str, ...]

UNCERTAINTY = 0.10  # value units; from the rendered photos of tests/benchmarks/colour
_CLIPPED = 0.985
_MISFIT = 8.0  # mean CIEDE2000 of the fitted patches; beyond it this is no such chart
_GREYS = slice(18, 24)

# Centres of the patches as fractions of the outer corners of the grid of patches.
_CENTRES = np.array(
    [[(column + 0.5) / 6, (row + 0.5) / 4] for row in range(4) for column in range(6)]
)
_HALF = np.array([0.22 / 6, 0.22 / 4])  # half sides of the part of a patch that is read


def find_chart(picture: Picture) -> FloatArray | None:
    """Return where a 24-patch colour chart lies in a picture.

    Parameters
    ----------
    picture : upright, linear Display P3

    Returns
    -------
    The outer corners (4, 2) of the grid of patches in pixels, first the one beside the brown patch,
    then clockwise; None where none is found.
    """
    small = picture.glance
    srgb = encode_srgb(np.clip(small @ P3_TO_SRGB.T.astype(np.float32), 0, 1))
    codes = np.rint(srgb[..., ::-1] * 255).astype(np.uint8)
    detector = cv2.mcc.CCheckerDetector.create()
    detector.setColorChartType(cv2.mcc.MCC24)
    if not detector.process(np.ascontiguousarray(codes), 1):
        return None
    box = np.asarray(detector.getBestColorChecker().getBox(), dtype=np.float64).reshape(4, 2)
    return np.asarray((box + 0.5) * (picture.width / small.shape[1]) - 0.5)


def read_chart(picture: Picture, corners: FloatArray) -> tuple[Correction | None, Notes]:
    """Return the correction that a colour chart gives, and sentences for the person.

    Parameters
    ----------
    picture : upright, linear Display P3
    corners : (4, 2), in pixels, in turn; the chart may lie upside down

    Returns
    -------
    None for the correction where the chart is cut off, overexposed or unlike a chart; its
    uncertainty is half the 90 % interval of a value.

    Source
    ------
    Finlayson, Mackiewicz, Hurlbert (2015), doi:10.1109/TIP.2015.2405336.
    """
    patches = _patches(picture, corners)
    if np.isnan(patches).any():
        return None, ("The colour chart reaches out of the picture; show the whole chart.",)
    if (encode_srgb(patches[18]) > _CLIPPED).all():
        return None, (
            "The white of the colour chart is overexposed; use less light and take the photo"
            " again.",
        )
    likely = [turned for turned in (patches, patches[::-1]) if _darkens(turned[_GREYS])]
    best = min(
        (ChartFit.of(turned, degree) for turned in likely for degree in (2, 1)),
        key=lambda fitted: fitted.misfit,
        default=None,
    )
    if best is None or best.misfit > _MISFIT:
        return None, (
            "The patches of the colour chart do not look as they should; mark its four corners,"
            " first the one beside the brown patch, then clockwise.",
        )
    middle = corners.mean(axis=0)
    return (
        Correction(
            reference="colour chart",
            apply=best,
            half_width=always(UNCERTAINTY),
            outline=middle + 1.12 * (corners - middle),
            lit=Lit.at(middle),
        ),
        (),
    )


def grey_patches(picture: Picture, corners: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Return the greys of a colour chart and their places.

    Parameters
    ----------
    picture : upright, linear Display P3
    corners : (4, 2), in pixels, in turn

    Returns
    -------
    Linear sRGB (6, 3) and places (6, 2) in pixels, white first; None when they are not all in the
    picture or do not darken step by step.
    """
    places = project(_to_pixels(corners), _CENTRES)
    patches = _patches(picture, corners)
    for turned, at in ((patches, places), (patches[::-1], places[::-1])):
        if not np.isnan(turned).any() and _darkens(turned[_GREYS]):
            return turned[_GREYS], at[_GREYS]
    return None


def grey_luminance() -> FloatArray:
    """Return the published luminance of the chart's greys.

    Returns
    -------
    (6,), perfect diffuser = 1, white first.

    Source
    ------
    The reflectances that colour-science carries, as in ``chart_xyz``.
    """
    return np.asarray(chart_xyz()[_GREYS, 1])


def _darkens(greys: FloatArray) -> bool:
    return bool((np.diff(greys.sum(axis=1)) < 0).all())


def corners_in_pixels(picture: Picture, marked: Corners) -> FloatArray:
    """Return tapped corners in pixels.

    Parameters
    ----------
    picture : upright, linear Display P3
    marked : four points, as fractions of the picture

    Returns
    -------
    (4, 2), in pixels.
    """
    return np.array(marked) * [picture.width, picture.height]


class ChartFit:
    """From pixels to true colour by tone curve and polynomial; misfit in CIEDE2000."""

    def __init__(self, tone: Tone, weights: FloatArray, degree: int, misfit: float) -> None:
        self.tone, self.weights, self.degree, self.misfit = tone, weights, degree, misfit

    @classmethod
    def of(cls, patches: FloatArray, degree: int) -> "ChartFit":
        """Return the fit to linear sRGB patches (24, 3) in the order of the chart."""
        xyz = chart_xyz()
        greys = patches[_GREYS]
        sigma = np.where(encode_srgb(greys) <= _CLIPPED, 0.5, 8.0)
        tone = fit_tone(greys, lambda _: xyz[_GREYS, 1], sigma=sigma).tone
        terms = _terms(tone.uncurved(patches), degree)
        # Equal steps of lightness count alike, not equal steps of light; clipped patches little.
        weight = (xyz[:, 1] + 0.01) ** (-2 / 3)
        weight = np.where((encode_srgb(patches) > _CLIPPED).any(axis=1), 0.1, 1.0) * weight
        solved = np.linalg.lstsq(terms * weight[:, None], xyz * weight[:, None], rcond=None)[0]
        lab = xyz_to_lab(terms @ solved)
        if not np.isfinite(lab).all():
            return cls(tone, solved, degree, np.inf)
        return cls(tone, solved, degree, float(delta_e_2000(lab, xyz_to_lab(xyz)).mean()))

    def __call__(self, linear: FloatArray) -> FloatArray:
        """Return true linear Display P3 of pixels (..., 3)."""
        light = self.tone.uncurved(linear @ P3_TO_SRGB.T.astype(linear.dtype))
        xyz = _terms(light, self.degree) @ self.weights
        return np.asarray(xyz @ np.linalg.inv(P3_TO_XYZ).T)


def _terms(light: FloatArray, degree: int) -> FloatArray:
    expand = colour_science().characterisation.polynomial_expansion_Finlayson2015
    return np.asarray(expand(np.clip(light, 1e-6, None), degree, True), dtype=np.float64)


@cache
def chart_xyz() -> FloatArray:
    """Return the published colours of the 24 patches in D65.

    Returns
    -------
    XYZ (24, 3) for the 2 degree observer, Y of the white = 1.

    Source
    ------
    Measured reflectances, observer and light as colour-science carries them, 400 to 700 nm in steps
    of 10.
    """
    colour = colour_science()
    shape = colour.SpectralShape(400, 700, 10)
    sds = colour.SDS_COLOURCHECKERS["BabelColor Average"].values()
    reflectance = np.array([sd.copy().align(shape).values for sd in sds])
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape).values
    seen = cmfs * light[:, None]
    return np.asarray(reflectance @ seen / seen.sum(axis=0) * D65_XYZ, dtype=np.float64)


def _patches(picture: Picture, corners: FloatArray) -> FloatArray:
    """Return the mean linear sRGB (24, 3) of the patches; NaN outside the picture."""
    to_pixels = _to_pixels(corners)
    means = np.full((24, 3), np.nan)
    for index, centre in enumerate(_CENTRES):
        square = centre + _HALF * [[-1, -1], [1, -1], [1, 1], [-1, 1]]
        quad = np.rint(project(to_pixels, square)).astype(np.int32)
        low, high = quad.min(axis=0), quad.max(axis=0)
        if (low < 0).any() or high[0] >= picture.width or high[1] >= picture.height:
            continue
        mask = np.zeros(high[::-1] - low[::-1] + 1, np.uint8)
        cv2.fillConvexPoly(mask, quad - low, 1)
        window = picture.measured.window((low[0], low[1], high[0] + 1, high[1] + 1))
        means[index] = window[mask > 0].mean(axis=0, dtype=np.float64)
    return np.asarray(means @ P3_TO_SRGB.T)


def _to_pixels(corners: FloatArray) -> FloatArray:
    """Return the homography from fractions of the grid of patches to pixels."""
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    return np.asarray(cv2.getPerspectiveTransform(unit, corners.astype(np.float32)), float)
