"""Many photos at once, painted by other processes."""

import os
import signal
import threading
from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context

import cv2

from .paint import paint
from .recipe import Recipe

_MOST = 2


def paint_all(recipes: Sequence[Recipe]) -> Generator[bytes, None, None]:
    """Yield the photos in order; later ones are painted while earlier ones are being used.

    Close the iterator to stop early: what is not begun by then is not painted.
    """
    workers = max(1, min(_MOST, os.cpu_count() or 1, len(recipes)))
    # Fresh processes: a copy of this one would share its database connection.
    painters = ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=cv2.setNumThreads, initargs=(1,)
    )
    try:
        with _deaf_to_ctrl_c():
            photos = painters.map(_photo, recipes)
        yield from photos
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


def _photo(recipe: Recipe) -> bytes:
    return paint(recipe).photo
