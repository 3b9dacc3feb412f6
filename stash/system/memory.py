"""Keeping no more memory than is used, after work that took much of it for a moment.

glibc gives each thread a heap of its own and keeps in it what the thread freed, for that thread's
next turn. Photos and searches take hundreds of megabytes for seconds, in whichever thread answers.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache

__all__ = ["give_back", "share_heaps"]

_M_ARENA_MAX = -8  # malloc.h of glibc
_HEAPS = 2


def share_heaps() -> None:
    """Let all threads that begin from now on share two heaps; elsewhere it does nothing."""
    set_option = _function("mallopt", ctypes.c_int, ctypes.c_int)
    if set_option is not None:
        set_option(_M_ARENA_MAX, _HEAPS)


def give_back() -> None:
    """Return memory that is free to the system; takes milliseconds, elsewhere it does nothing."""
    trim = _function("malloc_trim", ctypes.c_size_t)
    if trim is not None:
        trim(0)


@cache
def _function(name: str, *told: type) -> Callable[..., int] | None:
    """A function of glibc, or nothing where the C library is another."""
    try:
        library = ctypes.CDLL(None)
        library.gnu_get_libc_version  # noqa: B018  (numbers of options are its own)
        found = getattr(library, name)
    except (AttributeError, OSError, TypeError):  # another library, none, Windows
        return None
    found.argtypes, found.restype = told, ctypes.c_int
    return found  # type: ignore[no-any-return]
