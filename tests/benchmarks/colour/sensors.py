"""How far the L* of colours strays by the sensor alone, greys being right.

Measured sensors (colour-science), measured reflectances and lights; a matrix fitted to the
reflectances of ISO 17321-1 in daylight, or in the light of the photo, as phones mix them. Prints
the rms of L* errors per unit of chroma, for each sensor and light.

Run: .venv/bin/python -m tests.benchmarks.colour.sensors
"""

import sys

import numpy as np

from stash.colour.spaces.cielab import xyz_to_lab
from stash.colour.spaces.srgb import D65_XYZ
from tests.colour.rendering import (
    LIGHTS,
    Floats,
    chart_of_iso_17321,
    cloth_reflectances,
    sensors,
    spectrum_of,
    true_lab,
    true_xyz,
)


def strays(curves: Floats, light: str, matrix_light: str) -> Floats:
    """Return the errors of L* (n,) of the cloth reflectances."""

    def raw(reflectances: Floats, lit: str) -> Floats:
        weights = curves * spectrum_of(lit)[:, None]
        return reflectances @ weights / weights.sum(axis=0)

    patches = chart_of_iso_17321()
    matrix = np.linalg.lstsq(raw(patches, matrix_light), true_xyz(patches), rcond=None)[0]
    matrix *= D65_XYZ / matrix.sum(axis=0)
    read = xyz_to_lab(raw(cloth_reflectances(), light) @ matrix)
    return np.asarray(read[:, 0] - true_lab(cloth_reflectances())[:, 0])


def main() -> None:
    """Print one line for each sensor, light and matrix, and the whole."""
    chroma = np.hypot(*true_lab(cloth_reflectances())[:, 1:].T)
    whole = []
    for name, curves in sensors().items():
        for light in LIGHTS:
            for matrix_light in ("D65", light):
                each = strays(curves, light, matrix_light) / np.maximum(chroma, 5)
                whole.append(each)
                rms = np.sqrt((each**2).mean())
                sys.stdout.write(f"{name}, {light}, matrix of {matrix_light}: {rms:.3f}\n")
    sys.stdout.write(f"all: {np.sqrt((np.array(whole) ** 2).mean()):.3f} L* per unit of chroma\n")


if __name__ == "__main__":
    main()
