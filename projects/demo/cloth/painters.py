"""Many photos at once, painted and read by other processes.

They know nothing of the database, so that they can begin before there is one.
"""

import os
import signal
import threading
from collections.abc import Generator, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from typing import cast

import cv2

from stash.colour.references.card_print import ANY_PRINT
from stash.colour.taking import Taken, View, take

from .paint import paint
from .recipe import Recipe

_MOST = 2


@dataclass(frozen=True, kw_only=True)
class Shot:
    """A photo as a phone would send it, and what `stash.colour.taking.take` makes of it."""

    data: bytes
    taken: Taken


def paint_all(recipes: Sequence[Recipe], views: Mapping[str, View]) -> Generator[Shot, None, None]:
    """Begin to paint, and return what yields the photos in order, read as usual prints of the card.

    Close it to stop early: what is not begun by then is not painted.
    """
    shots = _painted(recipes, views)
    next(shots)
    return cast(Generator[Shot, None, None], shots)


def _painted(
    recipes: Sequence[Recipe], views: Mapping[str, View]
) -> Generator[Shot | None, None, None]:
    """Yield nothing when painting has begun, then the photos."""
    workers = max(1, min(_MOST, os.cpu_count() or 1, len(recipes)))
    # Fresh processes: a copy of this one would share its database connection.
    painters = ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=cv2.setNumThreads, initargs=(1,)
    )
    try:
        with _deaf_to_ctrl_c():
            shots = painters.map(partial(_shot, views=views), recipes)
        yield None
        yield from shots
    finally:
        painters.shutdown(cancel_futures=True)


@contextmanager
def _deaf_to_ctrl_c() -> Iterator[None]:
    """Processes that begin in here leave Ctrl-C to this one, which ends them quietly."""
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may say how signals are taken
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _shot(recipe: Recipe, views: Mapping[str, View]) -> Shot:
    photo = paint(recipe).photo
    return Shot(data=photo, taken=take(photo, ANY_PRINT, views))
