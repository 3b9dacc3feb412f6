"""Measure every page of the demo on a phone.

    python -m tests.benchmarks.pages.measure DATA PORT [NAME...]

DATA is the data folder of a demo that answers at PORT; with NAMEs, only pages whose name holds one
of them. Prints what is over the limits: six screens of 740 pixels, 60 kB, 44 pixels for whatever is
pressed, nothing wider than the screen.
"""

from __future__ import annotations

import sys

from tests.benchmarks.pages.demo import browser_at_the_demo, pages_of_the_demo
from tests.page_measures import PHONE, measure


def main(data: str, port: str, *names: str) -> None:
    pages = pages_of_the_demo(data, list(names))
    wrong = 0
    with browser_at_the_demo(port, viewport=PHONE, has_touch=True, is_mobile=True) as page:
        for shown in pages:
            measured = measure(page, shown.address)
            found = measured.complaints(is_paper=shown.is_paper)
            wrong += bool(found)
            size = f"{measured.screens:4.1f} screens {measured.kilobytes:4.0f} kB"
            sys.stdout.write(f"{shown.name:30} {size} {shown.address}\n")
            sys.stdout.writelines(f"    {line}\n" for line in found)
    sys.stdout.write(f"{wrong} of {len(pages)} pages are over a limit\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
