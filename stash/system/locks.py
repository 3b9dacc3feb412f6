"""Locks between processes that share a data folder (without effect on Windows).

They are held on files that exist anyway, and the system lets go of them when a process ends in
whatever way, so nothing is left behind.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class InUseError(Exception):
    """Another process holds the lock."""


@contextmanager
def hold(path: Path, *, shared: bool = False, wait: bool = True) -> Iterator[None]:
    """Hold a lock on an existing file or folder; raise InUseError instead of waiting on request."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        try:
            fcntl.flock(
                handle,
                (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | (0 if wait else fcntl.LOCK_NB),
            )
        except BlockingIOError as error:
            raise InUseError(str(path)) from error
        yield
    finally:
        os.close(handle)
