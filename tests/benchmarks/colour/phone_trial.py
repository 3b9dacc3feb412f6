"""A tested phone: is its interval wide enough, and should it be added to what a photo states?

First invented errors: a part that all photos of a phone share, which no repetition shows, and a
part that differs from photo to photo, larger or smaller than the readings state. Then rendered
photos of phones with and without a processing that the readings do not know (each part of
the picture is lifted or lowered towards mid grey): a test with three grey cloths, and afterwards
photos of other cloth whose value is known.

    python -m tests.benchmarks.colour.phone_trial [--phones 6]
"""

import argparse
from dataclasses import dataclass
from math import erf, hypot, sqrt

import cv2
import numpy as np

from stash.colour.beside_bought import read_twice
from stash.colour.phone_trial import (
    CLOTHS,
    FILLING,
    MIDDLE,
    SMALL,
    WAYS,
    Finding,
    FindingError,
    Shot,
    judge,
)
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from stash.colour.references.editions import FIRST
from tests.benchmarks.colour.accuracy import say
from tests.colour.rendering import (
    LIGHTS,
    Floats,
    Phone,
    cloth_reflectances,
    grey_reflectance,
    random_phone,
    true_lab,
)
from tests.colour.scenes import Pose, card_scene, drawn_card, place, random_printer, shoot

_Z = 1.6449
_SIZE = (900, 675)
_LUMINANCE = {"light": 0.6, "medium": 0.25, "dark": 0.05}
_POSES = {
    "window": Pose(share=0.15, turn=10),
    "lamp": Pose(share=0.15, turn=190, x=0.6, y=0.6),
    "edge": Pose(share=0.12, x=0.76, y=0.7),
    "away": Pose(share=0.05, x=0.4, y=0.35),
}


@dataclass(frozen=True, kw_only=True)
class LocalPhone(Phone):
    """A phone that brings every part of the picture nearer to mid grey, by this power."""

    local: float = 0.0

    def develop(self, raw: Floats, exposure: float) -> Floats:
        """Return encoded sRGB 0..1 (h, w, 3)."""
        encoded = super().develop(raw, exposure)
        if not self.local or encoded.ndim != 3:
            return encoded
        luma = encoded @ np.array([0.2126, 0.7152, 0.0722], encoded.dtype)
        around = cv2.GaussianBlur(luma, (0, 0), encoded.shape[1] / 10)
        return np.clip(encoded * (0.46 / np.maximum(around, 0.05))[..., None] ** self.local, 0, 1)


def invented(rng: np.random.Generator, *, shared: float, times: float, trials: int = 400) -> None:
    """Print how many later values lie inside, where readings state 1.64 deviations of 1."""
    single = sqrt(1 - shared**2) * times
    total = hypot(shared, single)
    covers = []
    for _ in range(trials):
        ways = rng.normal(size=len(WAYS)) * 0.7 * single
        shots = [
            Shot(cloth=cloth, way=way, value=float(5 + at + rng.normal() * 0.714 * single))
            for cloth in CLOTHS
            for way, at in zip(WAYS, ways, strict=True)
        ]
        found = judge(shots).half_width
        covers.append([erf(half / total / sqrt(2)) for half in _halves(_Z, found)])
    alone, larger, added = 100 * np.mean(covers, axis=0)
    say(
        f"shared {shared:.1f}, photo to photo {times:.1f} times: inside, stated {alone:.1f} %,"
        f" the larger {larger:.1f} %, both added {added:.1f} %"
    )


def rendered(rng: np.random.Generator, *, local: float, phones: int, later: int = 12) -> None:
    """Print the same of rendered photos."""
    inside: list[list[bool]] = []
    for _ in range(phones):
        plain = random_phone(rng)
        printer = random_printer(rng)
        try:
            found = _tested(rng, plain, printer, local)
        except FindingError as error:  # the card was not read in a photo
            say(f"  a phone without a test: {error}")
            continue
        for number in rng.choice(len(cloth_reflectances()), later, replace=False):
            cloth = cloth_reflectances()[number]
            pose = Pose(
                share=float(rng.uniform(0.08, 0.2)),
                turn=float(rng.uniform(-20, 20)),
                x=float(rng.uniform(0.25, 0.75)),
                y=float(rng.uniform(0.3, 0.7)),
            )
            phone = _in_light(plain, LIGHTS[rng.integers(len(LIGHTS))], local)
            data = card_scene(rng, phone=phone, cloth=cloth, pose=pose, size=_SIZE, printer=printer)
            read = read_picture(decode_photo(data))
            if read.reference != "photo card":
                continue
            off = abs(read.value - float(true_lab(cloth)[0]) / 10)
            inside.append([off <= half for half in _halves(read.uncertainty, found.half_width)])
        shift = "not read" if found.shift is None else f"{found.shift:+.2f}"
        say(f"  a phone: steady {found.steady:.2f}, surroundings {shift}, ± {found.half_width:.2f}")
    alone, larger, added = 100 * np.mean(inside, axis=0)
    say(
        f"local {local:.2f}, {len(inside)} photos: inside, stated {alone:.1f} %, the larger"
        f" {larger:.1f} %, both added {added:.1f} %"
    )


def _halves(stated: float, phone: float) -> tuple[float, float, float]:
    return stated, max(stated, phone), hypot(stated, phone)


def _in_light(phone: Phone, light: str, local: float) -> LocalPhone:
    return LocalPhone(
        camera=phone.camera,
        light=light,
        balance=phone.balance,
        contrast=phone.contrast,
        pivot=phone.pivot,
        saturation=phone.saturation,
        headroom=phone.headroom,
        local=local,
    )


def _tested(rng: np.random.Generator, plain: Phone, printer: Floats, local: float) -> Finding:
    shots = []
    for cloth in CLOTHS:
        grey = grey_reflectance(_LUMINANCE[cloth])
        for way in WAYS:
            phone = _in_light(plain, "A" if way == "lamp" else "D65", local)
            data = card_scene(
                rng, phone=phone, cloth=grey, pose=_POSES[way], size=_SIZE, printer=printer
            )
            shots += _shot(cloth, way, data)
    phone = _in_light(plain, "D65", local)
    dark = grey_reflectance(_LUMINANCE["dark"])
    pose = Pose(share=0.06, x=0.84, y=0.75)
    data = card_scene(rng, phone=phone, cloth=dark, pose=pose, size=_SIZE, printer=printer)
    shots += _shot("dark", FILLING, data)
    shots += _shot("dark", SMALL, _small(rng, phone, dark, printer))
    return judge(shots)


def _shot(cloth: str, way: str, data: bytes) -> list[Shot]:
    picture = decode_photo(data)
    read = read_twice(picture, region=MIDDLE).card if way == SMALL else read_picture(picture)
    is_read = read.reference == "photo card"
    return [Shot(cloth=cloth, way=way, value=read.value)] if is_read else []


def _small(rng: np.random.Generator, phone: Phone, cloth: Floats, printer: Floats) -> bytes:
    width, height = _SIZE
    scene = np.ones((height, width, 1)) * phone.raw(grey_reflectance(0.8))
    left, top = int(0.38 * width), int(0.33 * height)
    patch = scene[top : top + height // 3, left : left + width // 4]
    grain = 1 + 0.05 * rng.normal(size=(*patch.shape[:2], 1))
    patch[:] = phone.raw(cloth) * grain
    card = drawn_card(printer)[..., None] * phone.raw(grey_reflectance(1.0))
    pose = Pose(share=0.06, x=0.82, y=0.5)
    scene = place(scene, card, pose.to_pixels(_SIZE, *FIRST.size), 6)
    return shoot(phone, scene, rng)


def main() -> None:
    """Print one line for each kind of phone."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--phones", type=int, default=6, help="rendered phones of each kind")
    phones = parser.parse_args().phones
    rng = np.random.default_rng(17)
    for shared in (0.3, 0.6, 0.9):
        for times in (0.5, 1.0, 1.5, 2.0, 3.0):
            invented(rng, shared=shared, times=times)
    for local in (0.0, 0.15, 0.3):
        rendered(rng, local=local, phones=phones)


if __name__ == "__main__":
    main()
