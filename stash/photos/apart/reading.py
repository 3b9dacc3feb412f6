"""Reading photos in processes of their own, so that no file can take the site with it.

A process that takes too much memory or time is ended, the person gets one plain sentence, and
the next photo finds a new one. At most two are kept, as many as photos are decoded at once.
"""

from __future__ import annotations

import logging
import signal
import subprocess
import sys
import threading
import traceback
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import IO

from django.conf import settings

from stash.colour.picture.photo import PhotoError
from stash.colour.references.card_print import CardPrint
from stash.colour.taking import Fault, Taken, View, take
from stash.photos.apart.reader import receive, send

__all__ = ["end_all", "take_apart"]

logger = logging.getLogger(__name__)

#: Above what the libraries take; pictures within the limits of `decode_photo` need half of it.
MEMORY_BYTES = 1024**3
#: Of processor time; a picture within the limits takes under five.
PROCESSOR_SECONDS = 25
#: Whatever the processor does: a machine that is busy with other things may be this slow.
WAIT_SECONDS = 120.0
#: From the end of its answers to the end of the process, which may leave a core behind.
_END_SECONDS = 20.0
_KEPT, _PHOTOS_EACH = 2, 200
_ROOT = Path(__file__).resolve().parents[3]

TOO_MUCH = (
    "The photo could not be read: it takes more memory or time than a photo may. "
    "Take it again, or send it as a JPEG."
)
UNFORESEEN = (
    "The photo could not be read: there is something in it that this site does not know how to"
    " handle. The log of the site says what; take the photo again, or send it as a JPEG."
)
NOT_STARTED = (
    "The photo could not be read: the process that reads photos did not start. "
    "The log of the site says why; try again."
)

#: How a process ends that took too much: by itself, by the limit of its time (the system sends
#: one signal, then the other), by this site or by a system without memory (the latter again).
_TOOK_TOO_MUCH = (0, -signal.SIGKILL, -getattr(signal, "SIGXCPU", signal.SIGKILL))

_lock = threading.Lock()
_idle: list[_Reader] = []


class _Reader:
    """One process, and how many photos it has read."""

    def __init__(self) -> None:
        self.photos = 0
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-m", "stash.photos.apart.reader"),
                *(str(MEMORY_BYTES), str(PROCESSOR_SECONDS)),
            ],
            cwd=_ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            # Ctrl-C in the site's terminal is for the site, whose end ends this one.
            start_new_session=True,
        )
        try:
            receive(self._out)
        except EOFError:
            self.end()
            raise PhotoError(NOT_STARTED) from None

    @property
    def _out(self) -> IO[bytes]:
        assert self.process.stdout is not None
        return self.process.stdout

    def ask(self, question: object) -> object:
        """Return the answer; raises EOFError where the process ended over it."""
        assert self.process.stdin is not None
        self.photos += 1
        late = threading.Timer(WAIT_SECONDS, self.process.kill)
        late.daemon = True
        late.start()
        try:
            send(self.process.stdin, question)
            return receive(self._out)
        except BrokenPipeError as error:
            raise EOFError from error
        finally:
            late.cancel()

    def end(self) -> None:
        self.process.kill()
        self.process.wait()
        for stream in (self.process.stdin, self.process.stdout):
            if stream is not None:
                with suppress(BrokenPipeError):
                    stream.close()

    def ended(self) -> int:
        """Return how a process that closed its answers came to its end, as `Popen` tells it."""
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(_END_SECONDS)
        self.end()
        return int(self.process.returncode)


def take_apart(data: bytes, card_print: CardPrint, views: Mapping[str, View]) -> Taken:
    """Return what `stash.colour.taking.take` makes of a photo, made in a process with limits.

    Raises PhotoError with one sentence, also for a photo that the process ended over, and for one
    at which the reading failed in a way that nobody foresaw; the log then has its traceback.
    """
    if settings.READ_PHOTOS_APART:
        answer = _ask(data, card_print, views)
    else:
        answer = _take_here(data, card_print, views)
    if isinstance(answer, Fault):
        logger.error("reading a photo of %d bytes failed\n%s", len(data), answer.trace)
        raise PhotoError(UNFORESEEN)
    if isinstance(answer, PhotoError):
        raise answer
    assert isinstance(answer, Taken)
    return answer


def _take_here(data: bytes, card_print: CardPrint, views: Mapping[str, View]) -> object:
    try:
        return take(data, card_print, views)
    except PhotoError:
        raise
    except Exception:
        return Fault(trace=traceback.format_exc())


def _ask(data: bytes, card_print: CardPrint, views: Mapping[str, View]) -> object:
    """Return the answer of a process with limits."""
    reader = _borrow()
    try:
        answer = reader.ask((data, card_print, dict(views)))
    except EOFError as error:
        code = reader.ended()
        if code in _TOOK_TOO_MUCH:
            raise PhotoError(TOO_MUCH) from error
        return Fault(trace=f"The process that read it crashed (code {code}).")
    except BaseException:
        reader.end()
        raise
    _give_back(reader)
    return answer


def end_all() -> None:
    """End the processes that wait for photos; the next photo starts a new one."""
    with _lock:
        waiting, _idle[:] = list(_idle), []
    for reader in waiting:
        reader.end()


def _borrow() -> _Reader:
    """A process that is alive: one that waited may have been ended by the system."""
    while True:
        with _lock:
            reader = _idle.pop() if _idle else None
        if reader is None:
            return _Reader()
        if reader.process.poll() is None:
            return reader
        reader.end()


def _give_back(reader: _Reader) -> None:
    with _lock:
        if len(_idle) < _KEPT and reader.photos < _PHOTOS_EACH:
            _idle.append(reader)
            return
    reader.end()
