"""The same act on several connections at once."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

from django.db import connection

RACERS = 4


def race(act: Callable[[], Any]) -> list[Any]:
    """Run the act on several connections from the same moment; return results and errors."""
    start = threading.Barrier(RACERS)
    results: list[Any] = []

    def run() -> None:
        start.wait()
        try:
            results.append(act())
        except Exception as error:
            results.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _ in range(RACERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results
