"""How much longer a photo takes in a process of its own than in this one.

    python -m tests.benchmarks.photos.apart

Prints the ratio of wall times of a 12-megapixel photo, taken in turns, the peak of the process
above what its libraries take, and how long a shop trip of forty such photos takes in both
processes: with the photo card, with a chart and with neither, in turns.
"""

from __future__ import annotations

import os
import sys
from concurrent.futures import ThreadPoolExecutor
from statistics import median
from time import perf_counter

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.conf import settings  # noqa: E402

from stash.colour.references.card_print import ANY_PRINT  # noqa: E402
from stash.colour.taking import take  # noqa: E402
from stash.photos import store as photo_store  # noqa: E402
from stash.photos.apart import reading as reading_apart  # noqa: E402
from tests.benchmarks.colour.speed import large_photo  # noqa: E402
from tests.photos.pictures import cloth_photo  # noqa: E402

ROUNDS = 7
TRIP = 40


def peak(process: int) -> int:
    """Kilobytes, as Linux tells it."""
    with open(f"/proc/{process}/status") as file:
        return next(int(line.split()[1]) for line in file if line.startswith("VmHWM"))


def main() -> None:
    settings.READ_PHOTOS_APART = True
    data = cloth_photo(dots=(200, 180, 90), size=(4000, 3000))
    views = photo_store.early_views()
    reading_apart.take_apart(cloth_photo(), ANY_PRINT, views)
    process = reading_apart._idle[0].process.pid
    idle = peak(process)
    here, apart = [], []
    for _ in range(ROUNDS):
        begin = perf_counter()
        take(data, ANY_PRINT, views)
        here.append(perf_counter() - begin)
        begin = perf_counter()
        reading_apart.take_apart(data, ANY_PRINT, views)
        apart.append(perf_counter() - begin)
    sys.stdout.write(
        f"in a process of its own: {median(apart) / median(here):.2f} times as long" + "\n"
    )
    sys.stdout.write(f"its peak above idle: {(peak(process) - idle) / 1024:.0f} MB" + "\n")
    trip = [large_photo("jpeg", reference) for reference in ("card", "chart", "nothing")]

    def read(number: int) -> None:
        reading_apart.take_apart(trip[number % len(trip)], ANY_PRINT, views)

    begin = perf_counter()
    with ThreadPoolExecutor(2) as both:
        list(both.map(read, range(TRIP)))
    sys.stdout.write(f"{TRIP} photos: {perf_counter() - begin:.1f} s" + "\n")
    reading_apart.end_all()


if __name__ == "__main__":
    main()
