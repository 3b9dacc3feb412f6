"""Many photos at once, painted by other processes."""

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import cv2

from .paint import paint
from .recipe import Recipe

_MOST = 2


def paint_all(recipes: Sequence[Recipe]) -> Iterator[bytes]:
    """Yield the photos in order; later ones are painted while earlier ones are being used."""
    workers = max(1, min(_MOST, os.cpu_count() or 1, len(recipes)))
    # Fresh processes: a copy of this one would share its database connection.
    with ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=cv2.setNumThreads, initargs=(1,)
    ) as painters:
        yield from painters.map(_photo, recipes)


def _photo(recipe: Recipe) -> bytes:
    return paint(recipe).photo
