"""In which order found fabrics are shown; each order is total."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from stash.finding.columns.arrays import Columns
from stash.finding.filters import ORDERS

__all__ = ["SORTS"]


def _order(columns: Columns, rows: Any, *keys: Any) -> Any:
    """The order by the keys, the last one first; only rows that tie are compared by name."""
    order = np.lexsort(keys)
    same = np.ones(max(0, len(rows) - 1), dtype=bool)
    for key in keys:
        there = key[order]
        same &= (there[1:] == there[:-1]) | (np.isnan(there[1:]) & np.isnan(there[:-1]))
    tied = np.zeros(len(rows), dtype=bool)
    tied[1:] |= same
    tied[:-1] |= same
    at = order[tied]
    rank = np.zeros(len(rows), dtype=np.int64)
    rank[at] = columns.name_rank(rows[at])
    return np.lexsort((rank, *keys))


def _by_value(columns: Columns, rows: Any, sign: float) -> Any:
    # NaN sorts last whichever way the values run.
    return _order(columns, rows, sign * columns.fabrics.value[rows])


def _by_hue(columns: Columns, rows: Any) -> Any:
    """Around the colour circle from red; near-greys (chroma below 8) after, then the unread."""
    far = columns.fabrics.far[rows]
    angle = np.degrees(np.arctan2(far[:, 2], far[:, 1])) % 360
    group = np.where(np.hypot(far[:, 1], far[:, 2]) >= 8, 0, 1)
    group = np.where(np.isfinite(far[:, 0]), group, 2)
    within = np.where(group == 0, angle, np.nan_to_num(far[:, 0]))
    return _order(columns, rows, within, group)


def _newest(columns: Columns, rows: Any) -> Any:
    """As they came, whatever the clock said then."""
    return np.argsort(-columns.fabrics.key[rows], kind="stable")


def _by_amount(columns: Columns, rows: Any) -> Any:
    return _order(columns, rows, -columns.free_area[rows])


def _by_name(columns: Columns, rows: Any) -> Any:
    return np.argsort(columns.name_rank(rows), kind="stable")


_BY: dict[str, Callable[[Columns, Any], Any]] = {
    "newest": _newest,
    "dark": lambda columns, rows: _by_value(columns, rows, 1.0),
    "light": lambda columns, rows: _by_value(columns, rows, -1.0),
    "hue": _by_hue,
    "amount": _by_amount,
    "name": _by_name,
    "alike": _by_name,
}
#: Each order with its label and how it is found.
SORTS = {key: (label, _BY[key]) for key, label in ORDERS.items()}
