"""The published colours of the 24-patch colour chart."""

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.references.science import colour_science
from stash.colour.spaces.srgb import D65_XYZ

FloatArray = NDArray[np.floating[Any]]

GREYS = slice(18, 24)  # white first


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


def grey_luminance() -> FloatArray:
    """Return the published luminance of the chart's greys.

    Returns
    -------
    (6,), perfect diffuser = 1, white first.

    Source
    ------
    The reflectances that colour-science carries, as in ``chart_xyz``.
    """
    return np.asarray(chart_xyz()[GREYS, 1])
