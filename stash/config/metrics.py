"""How many requests came and how long they took, by the name of their route.

Counted in this process since its start, and told in the text format that open-source monitors read.

Source: the exposition format, version 0.0.4 (lines HELP, TYPE, and name{labels} value; histograms
with growing buckets, a sum and a count), from memory.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from threading import Lock

from stash.system.version import release

__all__ = ["CONTENT_TYPE", "METRICS", "Metrics"]

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"
#: Upper ends in seconds.
BUCKETS = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)


@dataclass(slots=True)
class _Times:
    counts: list[int] = field(default_factory=lambda: [0] * (len(BUCKETS) + 1))
    seconds: float = 0.0


class Metrics:
    def __init__(self) -> None:
        self._lock = Lock()
        self._answers: dict[tuple[str, str, int], int] = {}
        self._times: dict[str, _Times] = {}

    def count(self, *, route: str, method: str, status: int, seconds: float) -> None:
        key = route, method, status
        with self._lock:
            self._answers[key] = self._answers.get(key, 0) + 1
            times = self._times.setdefault(route, _Times())
            times.counts[bisect_left(BUCKETS, seconds)] += 1
            times.seconds += seconds

    def told(self) -> str:
        """Return all of it as the page shows it."""
        with self._lock:
            lines = [
                "# HELP clothlight_release_info The release that runs.",
                "# TYPE clothlight_release_info gauge",
                f"clothlight_release_info{_labels(release=release())} 1",
                "# HELP clothlight_requests_total Requests answered.",
                "# TYPE clothlight_requests_total counter",
            ]
            for (route, method, status), count in sorted(self._answers.items()):
                labels = _labels(route=route, method=method, status=str(status))
                lines.append(f"clothlight_requests_total{labels} {count}")
            lines += [
                "# HELP clothlight_request_seconds Time until a request was answered.",
                "# TYPE clothlight_request_seconds histogram",
            ]
            for route, times in sorted(self._times.items()):
                lines += _histogram(route, times)
        return "\n".join(lines) + "\n"


def _histogram(route: str, times: _Times) -> list[str]:
    lines, total = [], 0
    for end, count in zip([*map(str, BUCKETS), "+Inf"], times.counts, strict=True):
        total += count
        lines.append(f"clothlight_request_seconds_bucket{_labels(route=route, le=end)} {total}")
    lines.append(f"clothlight_request_seconds_sum{_labels(route=route)} {times.seconds:.6f}")
    lines.append(f"clothlight_request_seconds_count{_labels(route=route)} {total}")
    return lines


def _labels(**labels: str) -> str:
    def escaped(text: str) -> str:
        return text.replace("\\", r"\\").replace('"', r"\"").replace("\n", r"\n")

    return "{" + ",".join(f'{name}="{escaped(text)}"' for name, text in labels.items()) + "}"


#: Of this process.
METRICS = Metrics()
