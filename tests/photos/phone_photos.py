"""Photos as a phone sends them: of one sitting, and of the card beside what calibrates it."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from PIL import Image

from tests.colour.rendering import MeteredPhone, cloth_reflectances
from tests.colour.scenes import Pose, card_scene
from tests.colour.side_by_side import beside

NUMBERS = (40, 12, 100)
EXIF, MAKE = 0x8769, 0x010F
TAKEN, TIME, F_NUMBER, ISO, FLASH, BALANCE = 0x9003, 0x829A, 0x829D, 0x8827, 0x9209, 0xA403


@cache
def rendered() -> tuple[tuple[bytes, float], ...]:
    """The first cloth with a card and two alone, each metered by itself, with its exposure."""
    phone = MeteredPhone(light="LED-B3", balance=0.8)
    photos = []
    for order, number in enumerate(NUMBERS):
        pose = Pose(share=0.15, turn=10) if order == 0 else None
        scene = card_scene(
            np.random.default_rng(order),
            phone=phone,
            cloth=cloth_reflectances()[number],
            pose=pose,
            size=(900, 675),
        )
        photos.append((scene, phone.exposures[-1]))
    return tuple(photos)


def with_exif(order: int, **changed: Any) -> bytes:
    """The photo as a phone would send it; None leaves an entry out."""
    data, exposure = rendered()[order]
    entries = {
        TAKEN: "2026:05:04 10:11:12",
        TIME: 0.01 * exposure,
        F_NUMBER: 1.8,
        ISO: 100,
        FLASH: 0,
        BALANCE: 1,
    }
    named = {"taken": TAKEN, "time": TIME, "flash": FLASH, "balance": BALANCE}
    entries |= {named[name]: entry for name, entry in changed.items()}
    return with_entries(data, {tag: entry for tag, entry in entries.items() if entry is not None})


def with_entries(data: bytes, entries: dict[int, Any], *, make: str = "Invented") -> bytes:
    """A JPEG with what a camera of this make tells."""
    exif = Image.Exif()
    exif[MAKE] = make
    exif.get_ifd(EXIF).update(entries)
    block = exif.tobytes()
    return data[:2] + b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big") + block + data[2:]


@cache
def with_chart() -> bytes:
    return beside(np.random.default_rng(1), chart=True)


@cache
def with_grey() -> bytes:
    return beside(np.random.default_rng(2), grey=0.18)
