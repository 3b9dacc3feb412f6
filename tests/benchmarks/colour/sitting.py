"""Photos of one sitting measured by one card: how much is lost against a card in each photo.

Each photo is metered for itself. What a phone writes down of its exposure is off by up to 2 %, and
the light changes by 4 % (standard deviation) between photos: invented, common practice of a room
by day. White balance is locked, or set anew for each photo.

Run: .venv/bin/python -m tests.benchmarks.colour.sitting [--sittings 100]
"""

import argparse
from dataclasses import replace

import numpy as np

from stash.colour.batch import carried_uncertainty
from stash.colour.references import card_light
from stash.colour.references.card_doubt import doubt_of
from stash.colour.references.card_print import printed_luminance
from stash.colour.references.editions import FIRST
from stash.colour.references.tone import ToneFit
from stash.colour.spaces.cielab import linear_to_lab
from stash.colour.spaces.srgb import SRGB_TO_P3, decode_srgb, encode_srgb
from tests.benchmarks.colour.accuracy import CLOTH, TRUTH, greys_of, judge, show, widened
from tests.colour.rendering import Floats, Phone, random_phone
from tests.colour.scenes import random_printer

_PHOTOS = 12  # beside the one with the card

Shot = tuple[Floats, float]  # linear sRGB (n, 3), exposure that the phone wrote down


def main() -> None:
    """Print the figures with a card in each photo and with one card for all."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sittings", type=int, default=100)
    for name, figures in measure(parser.parse_args().sittings).items():
        show(name, figures)


def measure(sittings: int, seed: int = 6) -> dict[str, dict[str, float]]:
    """Return the figures of each way: a card in each photo; one card, balance locked or not."""
    rng = np.random.default_rng(seed)
    own: list[Floats] = []
    known: list[Floats] = []
    own_half: list[float] = []
    carried: dict[bool, list[tuple[Floats, float]]] = {False: [], True: []}
    for _ in range(sittings):
        phone = random_phone(rng)
        card = greys_of(printed_luminance(random_printer(rng)))
        lender, lent_exposure = shoot(phone, CLOTH[rng.integers(len(CLOTH))], card, rng)
        lent = by_card(lender[1:])
        if lent is None:
            continue
        for index in rng.integers(len(CLOTH), size=_PHOTOS):
            with_card, _ = shoot(phone, CLOTH[index], card, rng)
            again = by_card(with_card[1:])
            if again is None:
                continue
            own_half.append(half_width(again, with_card[:1]))
            own.append(linear_to_lab(again.tone.correct(with_card[:1] @ SRGB_TO_P3.T))[0])
            known.append(TRUTH[index])
            for is_drifting, found in carried.items():
                now = replace(phone, balance=rng.uniform(0.4, 0.9)) if is_drifting else phone
                alone, exposure = shoot(now, CLOTH[index], None, rng)
                half = carried_uncertainty(half_width(lent, alone), is_drifting=is_drifting)
                light = lent.tone.correct(alone @ SRGB_TO_P3.T)
                lab = linear_to_lab(light * lent_exposure / exposure)[0]
                found.append((lab, widened(half, alone)))
    truth = np.array(known)
    figures = {"card in each photo": judge(np.array(own), truth, np.array(own_half))}
    for is_drifting, found in carried.items():
        name = "one card, balance drifts" if is_drifting else "one card, balance locked"
        lab, half = zip(*found, strict=True)
        figures[name] = judge(np.array(lab), truth, np.array(half))
    return figures


def shoot(phone: Phone, cloth: Floats, card: Floats | None, rng: np.random.Generator) -> Shot:
    """Return pixels of cloth (31,), then those of the card, and the exposure that was noted."""
    scene = cloth[None] if card is None else np.concatenate([cloth[None], card])
    raw = phone.raw(scene)
    weight = None if card is None else np.concatenate([[2.0], np.full(len(card), 1 / len(card))])
    exposure = phone.meter(raw, weight)
    light = np.exp(rng.normal(0, 0.04))
    codes = phone.develop(raw, exposure * light) * 255 + rng.normal(0, 0.3, raw.shape)
    linear = decode_srgb(np.clip(np.rint(codes) / 255, 0, 1))
    return linear, exposure * float(np.exp(rng.uniform(-0.02, 0.02)))


def by_card(card: Floats) -> ToneFit | None:
    """Return the fit to a card's pixels, linear sRGB, None when it clips."""
    if encode_srgb(card[[3, 4, 5, 6]]).max() > card_light.CLIPPED:
        return None
    return card_light.fit_greys(card)


def half_width(fit: ToneFit, cloth: Floats) -> float:
    """Return the half width for linear sRGB cloth (1, 3)."""
    return widened(doubt_of(fit, FIRST)((cloth @ SRGB_TO_P3.T)[0]), cloth)


if __name__ == "__main__":
    main()
