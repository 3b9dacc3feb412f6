"""Small files changed at random."""

from __future__ import annotations

import random
from collections.abc import Iterator

from tests.reliability.photo_files.claims import whole_files


def mutants(count: int, seed: int) -> Iterator[tuple[str, bytes]]:
    """Yield small sound files with something changed, and what was done to which."""
    chance = random.Random(seed)
    files = list(whole_files().items())
    for number in range(count):
        name, data = files[number % len(files)]
        done = []
        for _ in range(chance.choice((1, 1, 1, 2, 4))):
            way = chance.choice(_WAYS)
            data = way(data, chance, chance.choice(files)[1])
            done.append(way.__name__.strip("_"))
        yield f"{number}: {name}, {' and '.join(done)}", data


def _flip(data: bytes, chance: random.Random, other: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 8, 64))):
        if changed:
            changed[chance.randrange(len(changed))] ^= 1 << chance.randrange(8)
    return bytes(changed)


def _field(data: bytes, chance: random.Random, other: bytes) -> bytes:
    """Put a telling number into the head, where lengths, sizes and offsets stand."""
    width = chance.choice((1, 2, 4))
    telling = chance.choice((0, 1, 0x7F, 0xFF, 0x7FFF, 0xFFFF, 0x7FFFFFFF, 0xFFFFFFFF))
    number = (telling & (256**width - 1)).to_bytes(width, chance.choice(("big", "little")))
    at = chance.randrange(max(1, min(len(data), 700)))
    return data[:at] + number + data[at + width :]


def _drop(data: bytes, chance: random.Random, other: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + data[at + chance.choice((1, 2, 4, 60, 900)) :]


def _double(data: bytes, chance: random.Random, other: bytes) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[: at + chance.choice((1, 4, 60, 900))] + data[at:]


def _cut_off(data: bytes, chance: random.Random, other: bytes) -> bytes:
    return data[: chance.randrange(len(data) + 1)]


def _splice(data: bytes, chance: random.Random, other: bytes) -> bytes:
    return data[: chance.randrange(len(data) + 1)] + other[chance.randrange(len(other)) :]


def _noise_in(data: bytes, chance: random.Random, other: bytes) -> bytes:
    at, length = chance.randrange(len(data) + 1), chance.choice((4, 16, 200))
    return data[:at] + chance.randbytes(length) + data[at + length :]


_WAYS = (_flip, _flip, _field, _field, _drop, _double, _cut_off, _splice, _noise_in)
