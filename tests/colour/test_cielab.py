import csv
from pathlib import Path

import numpy as np
import pytest

from stash.colour.references.science import colour_science
from stash.colour.spaces.cielab import (
    hex_to_lab,
    lab_to_linear,
    lab_to_srgb_hex,
    lab_to_xyz,
    lightness,
    linear_to_lab,
    srgb_to_lab,
    xyz_to_lab,
)
from stash.colour.spaces.srgb import (
    BT2020_TO_XYZ,
    P3_TO_XYZ,
    SRGB_TO_XYZ,
    HexColourError,
    decode_srgb,
    encode_srgb,
)
from stash.colour.spaces.value import munsell_luminance, munsell_value, value_of

DATA = Path(__file__).parents[1] / "data" / "colour"


@pytest.mark.parametrize(
    ("rgb", "published"),
    [
        ((255, 255, 255), 100),
        ((119, 119, 119), 50.03),
        ((128, 128, 128), 53.59),
        ((255, 0, 0), 53.23),
        ((0, 255, 0), 87.74),
        ((0, 0, 255), 32.30),
        ((255, 255, 0), 97.14),
        ((0, 128, 128), 48.26),
        ((0, 0, 128), 12.98),
        ((0, 0, 0), 0),
    ],
)
def test_lightness_of_screen_colours(rgb: tuple[int, int, int], published: float) -> None:
    """Source: W3C relative luminance and CIE 1976 lightness, worked in floating point.

    0.01 instead of 0.005: the source rounds the luminance weights to four decimals.
    """
    lab = srgb_to_lab(np.array(rgb) / 255)
    assert lab[0] == pytest.approx(published, abs=0.012)


def test_greys_have_no_colour() -> None:
    greys = np.repeat(np.linspace(0, 1, 256)[:, None], 3, axis=1)
    np.testing.assert_allclose(srgb_to_lab(greys)[:, 1:], 0, atol=1e-10)
    np.testing.assert_allclose(linear_to_lab(greys)[:, 1:], 0, atol=1e-10)


def test_spaces_agree_with_the_reference_library() -> None:
    """Source: colour-science, XYZ to CIELAB and the three RGB spaces."""
    colour = colour_science()

    rng = np.random.default_rng(2)
    xyz = rng.uniform(0, 1, (1000, 3))
    white = np.array([0.3127, 0.3290])
    np.testing.assert_allclose(xyz_to_lab(xyz), colour.XYZ_to_Lab(xyz, white), atol=1e-9)
    for name, matrix in (
        ("sRGB", SRGB_TO_XYZ),
        ("Display P3", P3_TO_XYZ),
        ("ITU-R BT.2020", BT2020_TO_XYZ),
    ):
        # The published matrices are rounded to four decimals or more.
        np.testing.assert_allclose(
            matrix, colour.RGB_COLOURSPACES[name].matrix_RGB_to_XYZ, atol=1e-4
        )
    codes = np.linspace(0, 1, 1001)
    np.testing.assert_allclose(decode_srgb(codes), colour.models.eotf_sRGB(codes), atol=1e-6)


def test_every_conversion_comes_back() -> None:
    rng = np.random.default_rng(3)
    lab = rng.uniform([1, -90, -90], [99, 90, 90], (500, 3))
    np.testing.assert_allclose(xyz_to_lab(lab_to_xyz(lab)), lab, atol=1e-9)
    np.testing.assert_allclose(linear_to_lab(lab_to_linear(lab)), lab, atol=1e-9)
    codes = np.linspace(-0.5, 1.5, 201)
    np.testing.assert_allclose(encode_srgb(decode_srgb(codes)), codes, atol=2e-5)
    assert encode_srgb(decode_srgb(codes.astype(np.float32))).dtype == np.float32


@pytest.mark.parametrize("text", ["#1f3a5f", "#000000", "#ffffff", "#d01c8b"])
def test_hex_colours_come_back(text: str) -> None:
    assert lab_to_srgb_hex(hex_to_lab(text)) == text


def test_a_wrong_hex_is_quoted() -> None:
    with pytest.raises(HexColourError, match="blueish"):
        hex_to_lab("blueish")


def test_munsell_table() -> None:
    """Source: ASTM D1535 quintic and CIE 15 lightness; table printed to 1e-4."""
    lines = (DATA / "munsell_value.csv").read_text(encoding="utf-8").splitlines()
    for row in csv.DictReader(line for line in lines if not line.startswith("#")):
        step, luminance = int(row["V"]), float(row["Y"]) / 100
        assert munsell_luminance(step) == pytest.approx(luminance, abs=6e-7)
        assert float(lightness(luminance)) == pytest.approx(float(row["Lstar"]), abs=2e-4)
        assert munsell_value(luminance) == pytest.approx(step, abs=1e-3)


def test_our_scale_stays_within_a_quarter_step_of_munsell_value() -> None:
    """The two scales differ by design: L*/10 is 1.04 at Munsell 1 and 5.10 at 5."""
    for step in range(11):
        ours = value_of([float(lightness(munsell_luminance(step))), 0, 0])
        assert abs(ours - step) < 0.12


def test_luminance_outside_zero_to_one_is_refused() -> None:
    with pytest.raises(ValueError, match=r"1\.2"):
        munsell_value(1.2)
