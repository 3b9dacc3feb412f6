"""Work that a page waits for a moment and then leaves to go on: one thread a lane.

A job is a generator of ever better results; the last one stands. Jobs are known by a key that
holds everything that their result depends on, so a page that comes back finds its own job, and
one whose question changed does not. Finished jobs are remembered for a while, in this process
only: what must survive a restart is stored in the database by whoever wrote the job.

Where `PLAN_IN_THREADS` is off, a job runs to its end at once.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict, deque
from collections.abc import Callable, Hashable, Iterator
from time import monotonic
from typing import Any, Generic, TypeVar

from django.conf import settings
from django.db import close_old_connections, connection

from stash.system.memory import give_back

__all__ = ["Job", "Lane"]

_log = logging.getLogger(__name__)
_Found = TypeVar("_Found")

#: How many finished jobs are remembered, and for how many seconds.
_MOST_REMEMBERED = 50
_REMEMBERED_FOR = 600.0
#: The same for a result that the clock ended: long enough to be shown, and no last word.
_STOPPED_REMEMBERED_FOR = 30.0


class Job(Generic[_Found]):
    """One search: the best result so far, and whether it is still going on."""

    def __init__(self, steps: Callable[[], Iterator[_Found]], *, remember: bool) -> None:
        self.best: _Found | None = None
        self._steps = steps
        self._remember = remember
        self._over = threading.Event()
        self.ended_at = 0.0
        self._has_failed = False

    @property
    def is_over(self) -> bool:
        return self._over.is_set()

    @property
    def still_stands(self) -> bool:
        """Whether asking again finds this job, rather than beginning anew."""
        return not self.is_over or (self._remember and not self._has_failed)

    def wait(self, seconds: float) -> None:
        """Return when it is over, or after so many seconds."""
        self._over.wait(seconds)

    def run(self) -> None:
        try:
            for found in self._steps():
                self.best = found
        except BaseException:
            self._has_failed = True
            raise
        finally:
            self.ended_at = monotonic()
            self._over.set()


class Lane:
    """Jobs one after the other, in a thread that ends when none is left."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._lock = threading.Lock()
        self._waiting: deque[Job[Any]] = deque()
        self._known: OrderedDict[Hashable, Job[Any]] = OrderedDict()
        self._is_running = False

    def job(
        self, key: Hashable, steps: Callable[[], Iterator[_Found]], *, remember: bool = True
    ) -> Job[_Found]:
        """The job of this key, begun now unless it is known already.

        Without ``remember`` it is known only while it goes on.
        """
        with self._lock:
            self._forget()
            known = self._known.get(key)
            if known is not None and known.still_stands:
                return known
            made: Job[_Found] = Job(steps, remember=remember)
            self._known[key] = made
            if settings.PLAN_IN_THREADS:
                self._waiting.append(made)
                if not self._is_running:
                    self._is_running = True
                    threading.Thread(target=self._work, name=self._name, daemon=True).start()
                return made
        try:
            made.run()
        finally:
            with self._lock:
                self._known.pop(key, None)
        return made

    def _forget(self) -> None:
        """Drop what ended long ago, and the oldest of too many."""
        over = [key for key, job in self._known.items() if job.is_over]
        now = monotonic()
        for place, key in enumerate(over):
            job = self._known[key]
            stopped = getattr(job.best, "stopped_by_clock", False)
            late = now - (_STOPPED_REMEMBERED_FOR if stopped else _REMEMBERED_FOR)
            if len(over) - place > _MOST_REMEMBERED or job.ended_at < late or not job.still_stands:
                del self._known[key]

    def _work(self) -> None:
        """Connections belong to threads: this one's is closed between jobs."""
        while True:
            with self._lock:
                is_last = not self._waiting
                if is_last:
                    self._is_running = False
                else:
                    job = self._waiting.popleft()
            if is_last:
                give_back()
                return
            close_old_connections()
            try:
                job.run()
            except Exception:
                # Nobody waits for it any more; the page shows the best result so far.
                _log.exception("A search in the background failed.")
            finally:
                connection.close()
