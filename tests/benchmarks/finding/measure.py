"""How long finding takes on a stash of many fabrics, beside plain yardsticks.

Fill a data folder first and name it; nothing is asserted, everything is printed:

    STASH_DATA=/tmp/big python manage.py make_big_stash OWNER --fabrics 100000
    STASH_DATA=/tmp/big python tests/benchmarks/finding/measure.py OWNER

The yardstick of pages is a full scan: reading value and colour of every fabric with one query
and testing them row by row in Python, as a page without columns in memory would have to. The
yardstick of nearest colours is colour-science's CIEDE2000 over all rows, sorted.
"""

# ruff: noqa: E402  (Django must be set up before its models are imported)

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")

import django

django.setup()

import numpy as np
from django.contrib.auth.models import User
from django.test import Client

from stash.finding.columns import store
from stash.finding.columns.store import columns_of
from stash.finding.conditions import Condition
from stash.models import Fabric

SEARCHES = (
    "dark blue",
    "light green",
    "navy",
    "reads blue with yellow",
    "dots cotton",
    "value 2 to 4",
    "dark third at least 1/2 yd",
    "pale pink not promised",
    "warm brown fat quarters",
    "harbour rain 12",
    "not blue",
    "blue or black but not dark",
    "",
)
SHAPES = (
    "12 squares 5 in",
    "fits 10 1/2 x 10 1/2",
    "12 rectangles 5 x 7",
    "37 rectangles 2 1/2 x 4 1/2",
)


def times(act: Callable[[], Any], repeats: int) -> list[float]:
    """Milliseconds of each repeat, the first left out."""
    act()
    found = []
    for _ in range(repeats):
        start = time.perf_counter()
        act()
        found.append(1000 * (time.perf_counter() - start))
    return found


def line(name: str, found: list[float], yardstick: float, of: str) -> float:
    median = statistics.median(found)
    high = float(np.quantile(found, 0.95))
    ratio = yardstick / median
    sys.stdout.write(
        f"{name:<44} median {median:8.1f} ms   p95 {high:8.1f} ms   {ratio:6.1f} x {of}\n"
    )
    return median


def page(client: Client, columns: Any, address: str, **query: str) -> Callable[[], None]:
    """Get the page as if its words were asked for the first time on these columns."""

    def act() -> None:
        for asked in list(columns.answers):
            if isinstance(asked, Condition) or (isinstance(asked, tuple) and "may" in asked):
                del columns.answers[asked]
        response = client.get(address, query)
        assert response.status_code == 200, response.status_code

    return act


def main(name: str) -> None:
    owner = User.objects.get(username=name)
    client = Client(headers={"host": "localhost"})
    client.force_login(owner)

    def scan() -> None:
        rows = Fabric.objects.filter(owner=owner, removed_at=None).values_list(
            "pk", "name", "value", "far_l", "far_a", "far_b"
        )
        assert sum(1 for row in rows if row[2] is not None and row[2] < 4 and row[5] < 0) >= 0

    full = statistics.median(times(scan, 3))
    sys.stdout.write(f"{len(columns_of(owner))} fabrics; a full scan takes {full:.0f} ms\n")

    store._kept.clear()
    start = time.perf_counter()
    columns = columns_of(owner)
    line("columns after a start", [1000 * (time.perf_counter() - start)], full, "the scan")
    start = time.perf_counter()
    client.get("/find/", {"words": "dark blue"})
    line("first page after that", [1000 * (time.perf_counter() - start)], full, "the scan")

    every: list[float] = []
    for words in SEARCHES:
        found = times(page(client, columns, "/find/", words=words), 15)
        every += found
        line(f"words page: {words or '(all)'}", found, full, "the scan")
    line("words pages together", every, full, "the scan")
    for words in SHAPES:
        line(
            f"shape page: {words}",
            times(page(client, columns, "/find/", words=words), 5),
            full,
            "the scan",
        )

    for address in ("/map/", "/map.png", "/value-line/"):
        line(f"{address} of all", times(page(client, columns, address), 5), full, "the scan")

    def change() -> None:
        Fabric.objects.filter(owner=owner, pk=int(columns.fabrics.key[7])).update(notes="x")
        client.get("/find/", {"words": "dark blue"})

    line("page after one change", times(change, 5), full, "the scan")
    nearest(columns)


def nearest(columns: Any) -> None:
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour.difference import delta_E_CIE2000

    far = columns.fabrics.far
    targets = far[np.random.default_rng(3).choice(len(far), 12, replace=False)]

    def library() -> Any:
        return np.argsort(delta_E_CIE2000(far, np.broadcast_to(targets[0], far.shape)))[:50]

    yardstick = statistics.median(times(library, 3))
    sys.stdout.write(f"colour-science over all rows takes {yardstick:.0f} ms\n")
    found: list[float] = []
    for target in targets:
        found += times(lambda target=target: columns.far_index.nearest(target, 50), 5)
    line("nearest 50 by CIEDE2000", found, yardstick, "colour-science over all rows")


if __name__ == "__main__":
    main(sys.argv[1])
