"""What calibrating one's own print of the photo card is worth.

Each person has a phone and a printer, takes one photo of the card beside a chart or a grey card
(luminance 0.17 to 0.19) and then photos of cloth with the card, in other lights.

Run: .venv/bin/python -m tests.benchmarks.colour.prints [--people 100]
"""

import argparse
from dataclasses import replace

import numpy as np

from stash.colour.references import card_light
from stash.colour.references.calibration import fit_print
from stash.colour.references.card_doubt import doubt_of
from stash.colour.references.card_print import ANY_PRINT, CardPrint, printed_luminance
from stash.colour.references.chart_colours import grey_luminance
from stash.colour.references.editions import FIRST
from stash.colour.spaces.cielab import linear_to_lab
from stash.colour.spaces.srgb import SRGB_TO_P3, decode_srgb, encode_srgb
from tests.benchmarks.colour.accuracy import CLOTH, TRUTH, greys_of, judge, show, widened
from tests.colour.rendering import LIGHTS, Floats, Phone, chart_reflectances, random_phone
from tests.colour.scenes import random_printer

_PHOTOS = 12


def main() -> None:
    """Print the figures for a print that nobody knows and for calibrated ones."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=100)
    for name, figures in measure(parser.parse_args().people).items():
        show(name, figures)


def measure(people: int, seed: int = 8) -> dict[str, dict[str, float]]:
    """Return the figures by how the print was calibrated, the same photos for all."""
    rng = np.random.default_rng(seed)
    read: dict[str, list[tuple[Floats, float]]] = {"not calibrated": []}
    known = []
    for _ in range(people):
        phone = random_phone(rng)
        card = greys_of(printed_luminance(random_printer(rng)))
        prints = calibrated(phone, card, rng)
        if prints is None:
            continue
        for index in rng.integers(len(CLOTH), size=_PHOTOS):
            light = LIGHTS[rng.integers(len(LIGHTS))]
            now = replace(phone, light=light, balance=float(rng.uniform(0.4, 0.9)))
            linear = developed(now, np.concatenate([CLOTH[index][None], card]), rng)
            if encode_srgb(linear[[4, 5, 6, 7]]).max() > card_light.CLIPPED:
                continue
            known.append(TRUTH[index])
            for name, found in ({"not calibrated": ANY_PRINT} | prints).items():
                fit = card_light.fit_greys(linear[1:], found)
                cloth = linear[:1] @ SRGB_TO_P3.T
                lab = linear_to_lab(fit.tone.correct(cloth))[0]
                half = widened(doubt_of(fit, FIRST, found)(cloth[0]), linear[:1])
                read.setdefault(name, []).append((lab, half))
    figures = {}
    for name, found in read.items():
        lab, half = zip(*found, strict=True)
        figures[name] = judge(np.array(lab), np.array(known), np.array(half))
    return figures


def calibrated(phone: Phone, card: Floats, rng: np.random.Generator) -> dict[str, CardPrint] | None:
    """Return the print by chart and by grey card, None when the card clips."""
    found = {}
    for name, beside, luminance in (
        ("by a chart", chart_reflectances()[18:], grey_luminance()),
        ("by a grey card", greys_of(rng.uniform(0.17, 0.19, 1)), np.array([0.18])),
    ):
        linear = developed(
            phone, np.concatenate([CLOTH[rng.integers(len(CLOTH))][None], beside, card]), rng
        )
        count = len(luminance)
        greys = linear[1 + count :]
        if encode_srgb(greys[[3, 4, 5, 6]]).max() > card_light.CLIPPED:
            return None
        found[name] = fit_print(greys, linear[1 : 1 + count], luminance)[0]
    return found


def developed(phone: Phone, scene: Floats, rng: np.random.Generator) -> Floats:
    """Return linear sRGB (n, 3) of a photo of reflectances (n, 31), of which the first is cloth."""
    raw = phone.raw(scene)
    weight = np.concatenate([[2.0], np.full(len(scene) - 1, 1 / (len(scene) - 1))])
    codes = phone.develop(raw, phone.meter(raw, weight)) * 255 + rng.normal(0, 0.3, raw.shape)
    return np.asarray(decode_srgb(np.clip(np.rint(codes) / 255, 0, 1)))


if __name__ == "__main__":
    main()
