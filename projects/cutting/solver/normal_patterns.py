"""Where straight cuts can be useful: at sums of the sizes that are to be cut.

*Normal patterns* is the textbook name (from memory): any cutting can be pushed left and down until
every cut lies at such a sum, so no other place needs to be looked at.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from math import gcd

import numpy as np


def common_step(sizes: Iterable[int]) -> int:
    """Return the greatest common divisor of the sizes (1 when there are none)."""
    return reduce(gcd, sizes, 0) or 1


def reachable(sizes: Iterable[tuple[int, int]], limit: int) -> int:
    """Return the sums up to `limit` as bits; `sizes` holds (size, how often)."""
    mask = (1 << (limit + 1)) - 1
    bits = 1
    for size, count in sizes:
        if size <= 0 or size > limit:
            continue
        left, block = min(count, limit // size), 1
        while left > 0:  # doubling: 1, 2, 4, ... copies reach every number of copies
            take = min(block, left)
            bits |= (bits << (size * take)) & mask
            left -= take
            block *= 2
    return bits


def normal_patterns(sizes: list[tuple[int, int]], limit: int) -> np.ndarray:
    """Return the normal patterns up to a limit: all sums of sizes, each at most so often.

    Ascending from 0, in the unit of the sizes."""
    step = common_step(size for size, _ in sizes)
    bits = reachable([(size // step, count) for size, count in sizes], limit // step)
    text = bin(bits)[:1:-1]
    flags = np.frombuffer(text.encode(), dtype=np.uint8) == ord("1")
    return np.flatnonzero(flags).astype(np.int64) * step


def few_normal_patterns(sizes: list[tuple[int, int]], limit: int, most: int) -> np.ndarray:
    """Return at most about `most` useful sums: all of them, or those of fewest addends.

    Single sizes are always there.
    """
    every = normal_patterns(sizes, limit)
    if len(every) <= most:
        return every
    singles = sorted({size for size, _ in sizes if size <= limit})
    found = {0, *singles}
    multiples = sorted(
        {size * k for size, count in sizes for k in range(2, count + 1) if size * k <= limit}
    )
    found.update(multiples[:most])
    layer = set(singles)
    while len(found) < most:
        layer = {a + b for a in layer for b in singles if a + b <= limit} - found
        if not layer:
            break
        found.update(sorted(layer)[: most - len(found)])
    return np.array(sorted(found), dtype=np.int64)


def next_reachable(sizes: list[tuple[int, int]], at_least: int) -> int:
    """Return the least sum of sizes that is >= at_least (at_least itself when none is)."""
    every = normal_patterns(sizes, at_least + max((size for size, _ in sizes), default=0))
    place = int(np.searchsorted(every, at_least))
    return int(every[place]) if place < len(every) else at_least
