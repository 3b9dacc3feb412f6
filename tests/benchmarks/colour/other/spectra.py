"""Reflectances, lights, sensors and what the eye makes of them, in 31 bands from 400 to 700 nm.

Reflectances: the 99 test samples of CIE 224:2017 (as in colour-science), which no fit of the
product has seen; darker and lighter dyeings of them by Kubelka and Munk (1931). Sensors: the two
that colour-science carries, measured by a national laboratory. Lights: CIE daylight and CIE lamps.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
BANDS = np.arange(400.0, 701.0, 10.0)


@cache
def science() -> Any:
    """Return colour-science, which takes a second to load and warns of what it lacks."""
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
        import colour.quality
    return colour


def _at_bands(wavelengths: Floats, values: Floats) -> Floats:
    columns = np.atleast_2d(np.asarray(values, float).T)
    return np.stack([np.interp(BANDS, wavelengths, column) for column in columns])


def spectrum_of(distribution: Any) -> Floats:
    """Return a spectral distribution of colour-science at the bands (31,)."""
    return _at_bands(distribution.wavelengths, distribution.values)[0]


@cache
def observer() -> Floats:
    """CIE 1931 2 degree colour matching functions, (31, 3)."""
    cmfs = science().MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    return _at_bands(cmfs.wavelengths, cmfs.values).T


@cache
def light(name: str) -> Floats:
    """Return a CIE illuminant, relative power (31,), 1 on average."""
    power = spectrum_of(science().SDS_ILLUMINANTS[name])
    return power / power.mean()


DAYLIGHTS = ("D50", "D55", "D60", "D65", "D75")
LAMPS = ("A", "LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-V2", "FL4", "FL11")


def mixed_light(names: tuple[str, ...], shares: Floats) -> Floats:
    """Return the light of several lamps at the same place."""
    return np.sum([share * light(name) for name, share in zip(names, shares, strict=True)], axis=0)


@cache
def cloth_samples() -> Floats:
    """The 99 reflectances of CIE 224:2017, (99, 31)."""
    science()
    from colour.quality.cfi2017 import load_TCS_CIE2017

    samples = load_TCS_CIE2017(science().SpectralShape(380, 780, 5))
    return np.clip(_at_bands(samples.wavelengths, samples.values), 0.002, 0.98)


@cache
def chart_samples() -> Floats:
    """Measured reflectances of the 24 patches of a chart, (24, 31), in the order of its rows."""
    return np.stack(
        [spectrum_of(sd) for sd in science().SDS_COLOURCHECKERS["ISO 17321-1"].values()]
    )


@cache
def training_samples() -> Floats:
    """Reflectances that camera matrices are made for, (190, 31): ISO 17321 practice."""
    samples = science().characterisation.read_training_data_rawtoaces_v1()
    return _at_bands(samples.wavelengths, samples.values)


def dyed(reflectance: Floats, strength: float) -> Floats:
    """Return a cloth dyed stronger (above 1) or weaker with the same dye.

    K/S = (1 - R)^2 / 2R grows with the dye (Kubelka and Munk 1931; its use for textiles is
    common practice).
    """
    ratio = (1 - reflectance) ** 2 / (2 * reflectance) * strength
    return 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)


def random_cloth(rng: np.random.Generator) -> Floats:
    """Return a reflectance: a published sample, half of the time dyed darker or lighter."""
    reflectance = cloth_samples()[rng.integers(len(cloth_samples()))]
    if rng.random() < 0.5:
        reflectance = dyed(reflectance, float(np.exp(rng.uniform(-2.2, 2.2))))
    return np.clip(reflectance, 0.012, 0.93)


def xyz(reflectance: Floats, source: Floats | None = None) -> Floats:
    """Return CIE XYZ (..., 3), 1 for a perfect white; under D65 when no light is given."""
    power = light("D65") if source is None else source
    weights = observer() * power[:, None]
    return reflectance @ weights / weights[:, 1].sum()


def lab(tristimulus: Floats) -> Floats:
    """Return CIELAB (CIE 15:2004) of XYZ whose white is D65 in these bands."""
    ratio = np.asarray(tristimulus) / xyz(np.ones(len(BANDS)))
    root = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


# IEC 61966-2-1:1999, linear sRGB from XYZ.
XYZ_TO_SRGB = np.linalg.inv(
    np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]],
    )
)


@dataclass(frozen=True, eq=False)
class Sensor:
    """Sensitivities (31, 3) of red, green and blue."""

    name: str
    sensitivities: Floats

    def response(self, reflectance: Floats, source: Floats) -> Floats:
        """Return the raw answer (..., 3); that to a perfect white in this light is not 1."""
        return reflectance @ (self.sensitivities * source[:, None])

    def matrix(self, source: Floats) -> Floats:
        """Return (3, 3) from balanced raw to linear sRGB: least squares over training samples.

        Each row keeps white white, as in ISO 17321 practice. Large coefficients cost a little
        (ridge; Hoerl and Kennard 1970), because they would enlarge noise.
        """
        white = self.response(np.ones(len(BANDS)), source)
        raw = self.response(training_samples(), source) / white
        wanted = xyz(training_samples()) / xyz(np.ones(len(BANDS)))
        wanted = wanted * (np.linalg.inv(XYZ_TO_SRGB) @ np.ones(3)) @ XYZ_TO_SRGB.T
        weight = 1 / np.sqrt(raw.mean(axis=1) + 0.02)  # dark colours count too
        # Rows that sum to 1: solve for two coefficients, the third is what is left.
        basis = (raw[:, :2] - raw[:, 2:]) * weight[:, None]
        rest = (wanted - raw[:, 2:]) * weight[:, None]
        ridge = 0.004 * len(raw) * np.eye(2)
        two = np.linalg.solve(basis.T @ basis + ridge, basis.T @ rest)
        return np.column_stack([two.T, 1 - two.sum(axis=0)])


@cache
def sensors() -> tuple[Sensor, ...]:
    """The measured sensors that colour-science carries."""
    measured = science().MSDS_CAMERA_SENSITIVITIES
    return tuple(
        Sensor(name, np.clip(_at_bands(s.wavelengths, s.values).T, 0, None))
        for name, s in measured.items()
    )
