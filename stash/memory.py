"""Giving memory back to the system after work that took much of it for a moment."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache

__all__ = ["give_back"]


def give_back() -> None:
    """Return memory that is free to the system, where the C library would keep it.

    glibc keeps what each thread freed for that thread's next turn; after a search that is some
    twenty megabytes which nobody uses. Takes milliseconds; elsewhere it does nothing.
    """
    trim = _trim()
    if trim is not None:
        trim(0)


@cache
def _trim() -> Callable[[int], int] | None:
    try:
        trim = ctypes.CDLL(None).malloc_trim
    except (AttributeError, OSError, TypeError):  # no such function, no such library, Windows
        return None
    trim.argtypes, trim.restype = [ctypes.c_size_t], ctypes.c_int
    return trim  # type: ignore[no-any-return]
