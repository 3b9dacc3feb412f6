"""How many fabrics are known again, and how many others are taken for them.

A stash of invented prints (one to four measured reflectances with shares) is photographed twice
by one phone in two lights, or twice in one light, with or without a photo card. Caught: the second
photo finds its own fabric. False: other fabrics found per photo, in a stash of 100.

Run: .venv/bin/python -m tests.benchmarks.colour.likeness
"""

import sys
from dataclasses import replace

import numpy as np

from stash.colour.cloth.palette import PaletteColour
from stash.colour.references import card_light
from stash.colour.references.card_print import printed_luminance
from stash.colour.similar import Look, find_similar
from stash.colour.spaces.cielab import as_lab, lightness, linear_to_lab
from stash.colour.spaces.srgb import P3_TO_XYZ, SRGB_TO_P3, decode_srgb, encode_srgb
from tests.benchmarks.colour.accuracy import CLOTH, greys_of
from tests.colour.rendering import LIGHTS, Floats, Phone, random_phone
from tests.colour.scenes import random_printer

_FABRICS = 100


def print_of(rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Return reflectances (n, 31) and shares (n,) of one print; a third of them is plain."""
    count = int(rng.choice([1, 2, 3, 4], p=[0.34, 0.22, 0.22, 0.22]))
    shares = rng.dirichlet(np.full(count, 3.0))
    return CLOTH[rng.choice(len(CLOTH), count, replace=False)], shares


def look_of(
    phone: Phone, cloth: tuple[Floats, Floats], printer: Floats | None, rng: np.random.Generator
) -> Look | None:
    """Return what one photo of a print reads as, with or without a card; None when it clips."""
    colours, shares = cloth
    greys = np.zeros((0, 31)) if printer is None else greys_of(printed_luminance(printer))
    raw = phone.raw(np.concatenate([colours, greys]))
    weight = np.concatenate([2 * shares, np.full(len(greys), 1 / max(len(greys), 1))])
    codes = phone.develop(raw, phone.meter(raw, weight)) * 255 + rng.normal(0, 0.3, raw.shape)
    linear = decode_srgb(np.clip(np.rint(codes) / 255, 0, 1))
    seen, card = linear[: len(colours)] @ SRGB_TO_P3.T, linear[len(colours) :]
    if printer is not None:
        if encode_srgb(card[[3, 4, 5, 6]]).max() > card_light.CLIPPED:
            return None
        seen = card_light.fit_greys(card).tone.correct(seen)
    light = lightness(np.clip(seen @ P3_TO_XYZ[1], 0, 1))
    palette = tuple(
        PaletteColour(lab=as_lab(linear_to_lab(pixel)), share=float(share))
        for pixel, share in zip(seen, shares, strict=True)
    )
    return Look(
        far=as_lab(linear_to_lab(shares @ seen)),
        palette=palette,
        contrast=float(np.ptp(light)),
        is_estimate=printer is None,
    )


def main() -> None:
    """Print one line for each way of taking the photos."""
    for name, has_card, is_one_light in (
        ("card in both, two lights", True, False),
        ("card in both, one light", True, True),
        ("no card, one light", False, True),
        ("no card, two lights", False, False),
    ):
        rng = np.random.default_rng(4)
        caught, false, asked = 0, 0, 0
        for _ in range(4):
            phone, printer = random_phone(rng), random_printer(rng) if has_card else None
            stash = [print_of(rng) for _ in range(_FABRICS)]
            again = phone
            if not is_one_light:
                other = [light for light in LIGHTS if light != phone.light]
                again = replace(
                    phone, light=str(rng.choice(other)), balance=float(rng.uniform(0.4, 0.9))
                )
            known = [(i, look_of(phone, cloth, printer, rng), "") for i, cloth in enumerate(stash)]
            there = [(i, look, text) for i, look, text in known if look is not None]
            kept = {i for i, _, _ in there}
            for number, cloth in enumerate(stash):
                look = look_of(again, cloth, printer, rng)
                if look is None or number not in kept:
                    continue
                keys = {like.key for like in find_similar(look, "", there)}
                asked += 1
                caught += number in keys
                false += len(keys - {number})
        sys.stdout.write(f"{name}: caught {caught / asked:.3f}, false {false / asked:.2f}\n")


if __name__ == "__main__":
    main()
