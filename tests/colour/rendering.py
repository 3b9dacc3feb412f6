"""Phone photos whose true colours are known.

Light meets measured reflectances and is seen by measured camera sensitivities (all from
colour-science); then a phone's usual steps follow: metering to mid grey, white balance that
goes only part of the way, a colour matrix, an S-shaped tone curve and a saturation boost
(the last two invented within common practice, drawn at random). Not covered: gloss,
fluorescent brightener, local tone mapping, lens shading beyond a smooth gradient.

Reflectance factors and raw values are relative to the perfect diffuser; wavelengths 400 to
700 nm in steps of 10.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

from stash.colour.references.science import colour_science
from stash.colour.spaces.cielab import xyz_to_lab
from stash.colour.spaces.srgb import D65_XYZ, SRGB_TO_XYZ, encode_srgb

Floats = NDArray[np.floating[Any]]

LIGHTS = ("D65", "A", "FL11", "LED-B3")
# The library's measured sensor with a colour mosaic, as it is and with its three curves shifted by
# these nanometres; the library's other camera has a stacked sensor, which phones do not have.
_MEASURED = "Nikon 5100 (NPL)"
CAMERAS = ((0, 0, 0), (5, -3, 4), (-5, 4, -3), (4, 5, -5), (-4, -4, 5))
Camera = tuple[int, int, int]
_WAVELENGTHS = np.arange(400, 701, 10)
_MID_GREY = 0.18


@dataclass(frozen=True, kw_only=True)
class Phone:
    """One phone in one light: what it does to light on the way to an sRGB file.

    balance: 1 is a perfect white balance, 0 none beyond daylight. contrast: strength of the
    tone curve around `pivot` (0 is none). saturation: 1 is none.
    """

    camera: Camera = CAMERAS[0]
    light: str = "D65"
    balance: float = 0.5
    contrast: float = 3.0
    pivot: float = 0.45
    saturation: float = 1.15
    headroom: float = 0.95

    def raw(self, reflectance: Floats) -> Floats:
        """Return sensor values (..., 3) of reflectances (..., 31), perfect diffuser = 1."""
        return reflectance @ _sensor(self.camera, self.light)

    def develop(self, raw: Floats, exposure: float) -> Floats:
        """Return encoded sRGB 0..1 (..., 3) for sensor values times `exposure`.

        As precise as the values are: float32 is enough for the 8 bits of a file.
        """
        white = _neutral(self.camera, self.light)
        daylight = _neutral(self.camera, "D65")
        cast = (white / white[1]) / (daylight / daylight[1])
        to_linear = (exposure / cast**self.balance)[:, None] * _matrix(self.camera, self.light).T
        linear = np.clip(raw @ to_linear.astype(raw.dtype), 0, 1)
        curved = self._curve(encode_srgb(linear))
        luma = curved @ np.array([0.2126, 0.7152, 0.0722], raw.dtype)
        return np.clip(luma[..., None] + self.saturation * (curved - luma[..., None]), 0, 1)

    def meter(self, raw: Floats, weight: Floats | None = None) -> float:
        """Return the exposure that puts the mean of the frame on mid grey.

        raw: (n, 3) sensor values of the parts of the frame; weight: their areas. Parts brighter
        than `headroom` times white would make it darker: phones hold back for highlights.
        """
        green = raw.reshape(-1, 3)[:, 1]
        wanted = _MID_GREY / max(float(np.average(green, weights=weight)), 1e-4)
        return min(wanted, self.headroom / max(float(green.max()), 1e-4))

    def _curve(self, encoded: Floats) -> Floats:
        if self.contrast == 0:
            return encoded

        def sigmoid(x: Floats | float) -> Floats:
            return np.asarray(1 / (1 + np.exp(self.contrast * (self.pivot - x))))

        black, white = float(sigmoid(0.0)), float(sigmoid(1.0))
        return np.asarray((sigmoid(encoded) - black) / (white - black))


def random_phone(rng: np.random.Generator) -> Phone:
    """Return a phone and light drawn within common practice."""
    return Phone(
        camera=CAMERAS[rng.integers(len(CAMERAS))],
        light=LIGHTS[rng.integers(len(LIGHTS))],
        balance=float(rng.uniform(0.4, 0.9)),
        contrast=float(rng.uniform(1.0, 4.5)),
        pivot=float(rng.uniform(0.4, 0.52)),
        saturation=float(rng.uniform(1.0, 1.3)),
        headroom=float(rng.uniform(0.75, 1.05)),
    )


def true_lab(reflectance: Floats) -> Floats:
    """Return CIELAB of reflectances (..., 31) in D65 for the 2 degree observer."""
    return xyz_to_lab(true_xyz(reflectance))


def true_xyz(reflectance: Floats) -> Floats:
    """Return XYZ (..., 3) of reflectances (..., 31) in D65 for the 2 degree observer."""
    weights = _cmfs() * _light("D65")[:, None]
    return np.asarray(reflectance @ weights / weights.sum(axis=0) * D65_XYZ)


@cache
def chart_reflectances() -> Floats:
    """Return the 24 patches (24, 31) of the public standard chart, row by row."""
    sds = colour_science().SDS_COLOURCHECKERS["BabelColor Average"]
    return np.array([_sample(sd) for sd in sds.values()])


@cache
def cloth_reflectances() -> Floats:
    """Return measured reflectances (n, 31) that no fit sees: paints, skins, plants, textiles."""
    colour = colour_science()
    training = colour.characterisation.read_training_data_rawtoaces_v1()
    sets = list(training.to_sds())
    for group in colour.quality.datasets.SDS_TCS.values():
        sets += list(group.values())
    sets += list(colour.quality.datasets.SDS_VS["NIST CQS 9.0"].values())
    sets += list(colour.SDS_COLOURCHECKERS["PMC"].values())
    return np.clip(np.array([_sample(sd) for sd in sets]), 0.001, 1)


@cache
def chart_of_iso_17321() -> Floats:
    """Return the 24 patches (24, 31) that the standard on camera colour publishes."""
    sds = colour_science().SDS_COLOURCHECKERS["ISO 17321-1"]
    return np.array([_sample(sd) for sd in sds.values()])


@cache
def sensors() -> dict[str, Floats]:
    """Return the sensitivities (31, 3) of each measured sensor."""
    measured = colour_science().MSDS_CAMERA_SENSITIVITIES
    return {name: _sample(curves) for name, curves in measured.items()}


def spectrum_of(light: str) -> Floats:
    """Return the light (31,) of a published name."""
    return _light(light)


def grey_reflectance(luminance: float) -> Floats:
    """Return a flat reflectance (31,)."""
    return np.full(len(_WAVELENGTHS), luminance)


def _sample(sd: Any) -> Floats:
    shape = colour_science().SpectralShape(400, 700, 10)
    return np.asarray(sd.copy().align(shape).values, dtype=np.float64)


@cache
def _cmfs() -> Floats:
    return _sample(colour_science().MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])


@cache
def _light(name: str) -> Floats:
    return _sample(colour_science().SDS_ILLUMINANTS[name])


@cache
def _sensor(camera: Camera, light: str) -> Floats:
    """Return (31, 3) weights whose sum over wavelengths is the light's colour, green = 1."""
    measured = _sample(colour_science().MSDS_CAMERA_SENSITIVITIES[_MEASURED])
    curves = np.stack(
        [
            np.interp(_WAVELENGTHS - shift, _WAVELENGTHS, measured[:, channel])
            for channel, shift in enumerate(camera)
        ],
        axis=1,
    )
    weights = curves * _light(light)[:, None] / (curves * _light("D65")[:, None]).sum(axis=0)
    return np.asarray(weights / weights.sum(axis=0)[1])


@cache
def _neutral(camera: Camera, light: str) -> Floats:
    return np.asarray(_sensor(camera, light).sum(axis=0))


@cache
def _matrix(camera: Camera, light: str) -> Floats:
    """Return the maker's matrix from balanced sensor values to linear sRGB, white kept."""
    patches = chart_of_iso_17321()
    raw = patches @ _sensor(camera, light) / _neutral(camera, light)
    weights = _cmfs() * _light("D65")[:, None]
    xyz = patches @ weights / weights.sum(axis=0) * D65_XYZ
    srgb = xyz @ np.linalg.inv(SRGB_TO_XYZ).T
    fit = np.linalg.lstsq(raw, srgb, rcond=None)[0].T
    return np.asarray(fit / fit.sum(axis=1, keepdims=True))


class MeteredPhone(Phone):
    """A phone that tells how it exposed its last photo."""

    exposures: ClassVar[list[float]] = []

    def meter(self, raw: np.ndarray, weight: np.ndarray | None = None) -> float:
        self.exposures.append(super().meter(raw, weight))
        return self.exposures[-1]
