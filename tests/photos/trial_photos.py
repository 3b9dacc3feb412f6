"""Photos of a test of a phone: three cloths with the card on them, by an invented phone."""

from __future__ import annotations

from functools import cache

import numpy as np
from django.contrib.auth.models import User

from stash.colour.references.editions import FIRST
from stash.models import PhoneTrial, TrialPhoto
from stash.photos.phone import acts
from tests.colour.rendering import Phone, grey_reflectance
from tests.colour.scenes import Pose, card_scene, drawn_card, place, shoot, texture
from tests.colour.side_by_side import PRINTER
from tests.photos.phone_photos import with_entries

CLOTH = {"light": 0.6, "medium": 0.25, "dark": 0.07}  # luminance
POSES = {
    "window": Pose(share=0.15, turn=10),
    "lamp": Pose(share=0.15, turn=185, x=0.6, y=0.6),
    "edge": Pose(share=0.12, x=0.75, y=0.7),
    "away": Pose(share=0.08, x=0.4, y=0.3),
}
SIZE = (900, 675)


@cache
def bare_photo(cloth: str, way: str) -> bytes:
    """Without a word of which camera took it."""
    phone = Phone(light="LED-B3" if way == "lamp" else "D65", balance=0.8)
    if way == "small":
        return _small(phone, cloth)
    return card_scene(
        np.random.default_rng(len(cloth) + 10 * len(way)),
        phone=phone,
        cloth=grey_reflectance(CLOTH[cloth]),
        pose=POSES.get(way, POSES["window"]),
        size=SIZE,
        printer=PRINTER,
    )


def _small(phone: Phone, cloth: str) -> bytes:
    """A cloth of a quarter of the width in the middle of something white, the card beside it."""
    rng, (width, height) = np.random.default_rng(5), SIZE
    scene = phone.raw(grey_reflectance(0.8)) * texture(rng, SIZE, 0.02)[..., None]
    rows, columns = slice(height // 3, 2 * height // 3), slice(3 * width // 8, 5 * width // 8)
    scene[rows, columns] = phone.raw(grey_reflectance(CLOTH[cloth]))
    card = drawn_card(PRINTER)[..., None] * phone.raw(grey_reflectance(1.0))
    pose = Pose(share=0.07, x=0.82, y=0.5)
    return shoot(phone, place(scene, card, pose.to_pixels(SIZE, *FIRST.size), 6), rng)


def trial_photo(cloth: str, way: str, *, make: str = "Invented") -> bytes:
    return with_entries(bare_photo(cloth, way), {}, make=make)


def take(owner: User, *slots: tuple[str, str]) -> PhoneTrial:
    """The test that runs, after these photos were sent."""
    taken = TrialPhoto.objects.filter(trial__owner=owner, trial__kept_at=None)
    for cloth, way in slots:
        if not taken.filter(cloth=cloth, way=way).exists():
            acts.take_shot(owner=owner, cloth=cloth, way=way, data=trial_photo(cloth, way))
    return PhoneTrial.objects.get(owner=owner, kept_at=None)


def enough(owner: User) -> PhoneTrial:
    """A test that runs and has two photos of each cloth, in two lights."""
    return take(owner, *((cloth, way) for cloth in CLOTH for way in ("window", "lamp")))


def kept(owner: User, half_width: float = 0.9, camera: str = "a" * 12) -> PhoneTrial:
    """A test that counts, with this result, of a camera without photos."""
    trial: PhoneTrial = PhoneTrial.objects.create(
        owner=owner,
        camera=camera,
        finding={
            "photos": 12,
            "spread": 0.2,
            "freedom": 9.0,
            "widest": "",
            "steady": 0.5,
            "shift": None,
            "bias": None,
            "pairs": 0,
            "unexplained": 0.0,
            "half_width": half_width,
        },
        kept_at="2026-05-03T10:00:00Z",
        changed_at="2026-05-03T10:00:00Z",
    )
    trial.refresh_from_db()
    return trial


def first_shot(owner: User) -> TrialPhoto:
    """The first photo of a test that has begun."""
    found: TrialPhoto = take(owner, ("light", "window")).shots.order_by("pk")[0]
    return found
