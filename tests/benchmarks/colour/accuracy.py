"""How near readings come to the truth, per reference, on reflectances that no fit has seen.

Rendered photos (tests/colour/rendering.py): metering, white balance 0.4 to 0.9 of the way,
S-shaped tone curve, saturation boost, 8 bits; references are read as area means, so place and
light are those of the card. `--scenes N` also renders N whole pictures with texture, tilt,
uneven light and JPEG, reads them with `read_picture`, and counts found cards, false finds and
the error of the scale.

Run: .venv/bin/python -m tests.benchmarks.colour.accuracy [--photos 4000] [--scenes 60]
"""

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np

from stash.colour.picture.checks import cut_off_share, strained
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import BLIND_UNCERTAINTY, read_picture
from stash.colour.references import card_light, card_view, neutral
from stash.colour.references.card_doubt import doubt_of
from stash.colour.references.card_print import printed_luminance
from stash.colour.references.chart_fit import ChartFit, fit_chart
from stash.colour.references.correction import project
from stash.colour.references.editions import FIRST
from stash.colour.spaces.cielab import linear_to_lab
from stash.colour.spaces.difference import delta_e_2000
from stash.colour.spaces.srgb import SRGB_TO_P3, decode_srgb, encode_srgb
from tests.colour.rendering import (
    LIGHTS,
    Floats,
    Phone,
    chart_reflectances,
    cloth_reflectances,
    grey_reflectance,
    random_phone,
    true_lab,
)
from tests.colour.scenes import Pose, card_scene, random_printer, shadow, shoot, slope

# Half the interval of a value, or how the pixels of reference and cloth give it.
Half = float | Callable[[Floats, Floats], float]
Way = tuple[
    Callable[[np.random.Generator], Floats], Callable[[Floats, Floats], Floats | None], Half
]

CLOTH = cloth_reflectances()
TRUTH = true_lab(CLOTH)


def greys_of(luminance: Floats) -> Floats:
    """Return flat reflectances (n, 31)."""
    return np.array([grey_reflectance(float(light)) for light in luminance])


def by_chart(reference: Floats, cloth: Floats) -> Floats | None:
    """Return CIELAB of linear sRGB cloth (1, 3) by the chart's patches."""
    if (encode_srgb(reference[18]) > 0.985).all():
        return None
    return linear_to_lab(fitted_chart(reference)(cloth @ SRGB_TO_P3.T))


def chart_half(reference: Floats, cloth: Floats) -> float:
    """Return the half width that the chart's patches give for linear sRGB cloth (1, 3)."""
    return fitted_chart(reference).half_width((cloth @ SRGB_TO_P3.T)[0])


def fitted_chart(reference: Floats) -> ChartFit:
    """Return the fit to patches (24, 3) of a chart that fills a third of the picture's width."""
    row, column = np.divmod(np.arange(24), 6)
    return fit_chart(reference, np.stack([(column - 2.5) / 9, (row - 1.5) / 9], axis=1))


def by_card(reference: Floats, cloth: Floats) -> Floats | None:
    """Return CIELAB by paper and patches of the photo card."""
    if encode_srgb(reference[[3, 4, 5, 6]]).max() > card_light.CLIPPED:
        return None
    fit = card_light.fit_greys(reference)
    return linear_to_lab(fit.tone.correct(cloth @ SRGB_TO_P3.T))


def doubt_by_card(reference: Floats, cloth: Floats) -> float:
    """Return the half width by paper and patches of the photo card."""
    fit = card_light.fit_greys(reference)
    return doubt_of(fit, FIRST)((cloth @ SRGB_TO_P3.T)[0])


def by_grey(name: str) -> Callable[[Floats, Floats], Floats | None]:
    """Return the way by one grey."""

    def read(reference: Floats, cloth: Floats) -> Floats | None:
        if encode_srgb(reference).min() > 0.985:
            return None
        tone = neutral.one_grey_tone(reference[0], neutral.LUMINANCE[name])
        return linear_to_lab(tone.correct(cloth @ SRGB_TO_P3.T))

    return read


def grey_half(name: str) -> Callable[[Floats, Floats], float]:
    """Return half the interval of a value that one grey gives."""

    def half(reference: Floats, cloth: Floats) -> float:
        tone = neutral.one_grey_tone(reference[0], neutral.LUMINANCE[name])
        return neutral.half_width_of(name, tone)(cloth[0] @ SRGB_TO_P3.T)

    return half


WAYS: dict[str, Way] = {
    "colour chart": (lambda rng: chart_reflectances(), by_chart, chart_half),
    "photo card": (
        lambda rng: greys_of(printed_luminance(random_printer(rng))),
        by_card,
        doubt_by_card,
    ),
    "grey card": (
        lambda rng: greys_of(rng.uniform(0.17, 0.19, 1)),
        by_grey("grey card"),
        grey_half("grey card"),
    ),
    "paper": (
        lambda rng: greys_of(rng.uniform(0.806, 0.899, 1)),  # L* 92 to 96
        by_grey("paper"),
        grey_half("paper"),
    ),
}


def measure(name: str, photos: int, seed: int = 1) -> dict[str, float]:
    """Return mean and 95th percentile of errors, wrong orders and coverage of one reference."""
    rng = np.random.default_rng(seed)
    read, known, half = [], [], []
    for _ in range(photos):
        index = int(rng.integers(len(CLOTH)))
        found = one_photo(name, CLOTH[index], random_phone(rng), rng)
        if found is not None:
            read.append(found[0])
            half.append(found[1])
            known.append(TRUTH[index])
    return {"fell back %": 100 * (1 - len(read) / photos)} | judge(
        np.array(read), np.array(known), np.array(half)
    )


def one_photo(
    name: str, cloth: Floats, phone: Phone, rng: np.random.Generator
) -> tuple[Floats, float] | None:
    """Return the CIELAB that one photo of cloth (31,) is read as and the half width of its value.

    None when the reference is of no use.
    """
    if name == "none":
        raw = phone.raw(cloth[None])
        linear = decode_srgb(np.rint(phone.develop(raw, phone.meter(raw)) * 255) / 255)
        return linear_to_lab(linear @ SRGB_TO_P3.T)[0], widened(BLIND_UNCERTAINTY, linear)
    make, read, half = WAYS[name]
    scene = np.concatenate([cloth[None], make(rng)])
    raw = phone.raw(scene)
    weight = np.concatenate([[2.0], np.full(len(scene) - 1, 1 / (len(scene) - 1))])
    codes = phone.develop(raw, phone.meter(raw, weight)) * 255 + rng.normal(0, 0.3, raw.shape)
    linear = decode_srgb(np.clip(np.rint(codes) / 255, 0, 1))
    lab = read(linear[1:], linear[:1])
    if lab is None:
        return None
    sure = half(linear[1:], linear[:1]) if callable(half) else half
    return lab[0], widened(sure, linear[:1])


def widened(half: float, cloth: Floats) -> float:
    """Return the half width for linear sRGB cloth (1, 3), wider where it is cut off."""
    return strained(half, cut_off_share(cloth @ SRGB_TO_P3.T))[0]


def in_order(name: str, phones: int, photos: int, seed: int = 2) -> float:
    """Return the share (%) of pairs in the wrong order among photos of one phone, over phones.

    The phone stays, light and white balance change from photo to photo: one person's stash.
    """
    rng = np.random.default_rng(seed)
    wrong = []
    for _ in range(phones):
        own = random_phone(rng)
        read, known = [], []
        for index in rng.integers(len(CLOTH), size=photos):
            light = LIGHTS[rng.integers(len(LIGHTS))]
            phone = replace(own, light=light, balance=float(rng.uniform(0.4, 0.9)))
            found = one_photo(name, CLOTH[index], phone, rng)
            if found is not None:
                read.append(found[0])
                known.append(TRUTH[index])
        wrong.append(judge(np.array(read), np.array(known), 0.0)["wrong order %"])
    return float(np.mean(wrong))


def judge(read: Floats, known: Floats, half: Floats | float) -> dict[str, float]:
    """Return the figures of the table for CIELAB read and known, (n, 3) each."""
    off = np.abs(read[:, 0] - known[:, 0])
    difference = delta_e_2000(read, known)
    first, other = np.triu_indices(len(read), 1)
    apart = np.abs(known[first, 0] - known[other, 0]) >= 5
    swapped = (read[first, 0] - read[other, 0]) * (known[first, 0] - known[other, 0]) < 0
    return {
        "dL": off.mean(),
        "dL p95": np.quantile(off, 0.95),
        "dE00": difference.mean(),
        "dE00 p95": np.quantile(difference, 0.95),
        "wrong order %": 100 * swapped[apart].mean(),
        "inside interval %": 100 * (off <= 10 * half).mean(),
    }


def scenes(count: int) -> None:
    """Print what whole rendered pictures give."""
    rng = np.random.default_rng(3)
    found, told, total, scale, read, known, halves = 0, 0, 0, [], [], [], []
    size = (1512, 1134)
    for number in range(count):
        index = int(rng.integers(len(CLOTH)))
        pose = Pose(
            share=float(np.exp(rng.uniform(np.log(1 / 20), np.log(1 / 3)))),
            tilt=rng.uniform(0, 35),
            axis=rng.uniform(0, 360),
            turn=rng.uniform(0, 360),
            x=rng.uniform(0.45, 0.55),
            y=rng.uniform(0.45, 0.55),
        )
        to_pixels = pose.to_pixels(size, *FIRST.size)
        corners = project(to_pixels, np.array([[0, 0], [180, 0], [180, 120], [0, 120]]))
        if (corners < 5).any() or (corners > np.array(size) - 5).any():
            continue
        is_shadowed = number % 4 == 0
        light = (
            shadow(size, rng.uniform(0.3, 0.6), 0.5)
            if is_shadowed
            else slope(size, rng.uniform(0, 0.3), rng.uniform(0, 6.28))
        )
        photo = card_scene(
            rng,
            phone=random_phone(rng),
            cloth=CLOTH[index],
            pose=pose,
            light=light,
            size=size,
            blur=1.5,
        )
        picture = decode_photo(photo)
        view, _ = card_view.find_card(picture)
        total += 1
        if view is None:
            continue
        found += 1
        middle = np.array([[90.0, 60], [100, 60], [90, 70]])
        back = project(view.to_mm, project(to_pixels, middle))
        scale += [abs(np.linalg.norm(back[i] - back[0]) / 10 - 1) for i in (1, 2)]
        appearance = read_picture(picture)
        if is_shadowed:
            told += any("shadow" in note for note in appearance.notes)
        elif appearance.reference == "photo card":
            read.append(appearance.far)
            halves.append(appearance.uncertainty)
            known.append(TRUTH[index])
    say(f"cards found {found} of {total}; scale off by at most {100 * max(scale):.2f} %")
    show("photo card, whole pictures", judge(np.array(read), np.array(known), np.array(halves)))


def false_finds(count: int) -> None:
    """Print how many pictures without a card seem to hold one."""
    rng = np.random.default_rng(5)
    wrong = 0
    for _ in range(count):
        phone = random_phone(rng)
        blocks = phone.raw(CLOTH[rng.integers(0, len(CLOTH), (rng.integers(8, 60), 40))])
        scene = cv2.resize(blocks, (1200, 900), interpolation=cv2.INTER_NEAREST)
        wrong += card_view.find_card(decode_photo(shoot(phone, scene, rng)))[0] is not None
    say(f"cards found in {count} pictures without one: {wrong}")


def show(name: str, figures: dict[str, float]) -> None:
    """Print one line of the table."""
    say(f"{name}: " + ", ".join(f"{key} {number:.2f}" for key, number in figures.items()))


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--photos", type=int, default=4000)
    parser.add_argument("--scenes", type=int, default=0)
    wanted = parser.parse_args()
    for name in (*WAYS, "none"):
        one_phone = {"wrong order % by one phone": in_order(name, 30, max(20, wanted.photos // 50))}
        show(name, measure(name, wanted.photos) | one_phone)
    if wanted.scenes:
        scenes(wanted.scenes)
        false_finds(wanted.scenes)


if __name__ == "__main__":
    main()
