"""The light of cloths mixed by their share of the surface, and how far it can be off."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping

import numpy as np

from projects.quilt_design.drawing.patch import Cloth, SeeingError
from stash.colour.spaces.cielab import lab_to_xyz, lightness

__all__ = ["cloths_of", "mixed", "spread"]


def cloths_of(keys: Iterable[str], cloths: Mapping[str, Cloth]) -> dict[str, Cloth]:
    """Return the cloths of these keys, in their order.

    Parameters
    ----------
    keys : of cloths that patches are cut from
    cloths : by key

    Returns
    -------
    By key; only those that are asked for.

    Raises
    ------
    SeeingError
        A key is not among the cloths; the message names it.
    """
    found = {}
    for key in keys:
        if key not in cloths:
            raise SeeingError(
                f"A patch is cut from “{key}”, which is not among the cloths; give that cloth, or "
                "none."
            )
        found[key] = cloths[key]
    return found


def mixed(weights: Mapping[str, float], values: Mapping[str, float]) -> float:
    """Return the value of the light that cloths of these values send back, by weight.

    Parameters
    ----------
    weights : shares of the surface, 0 to 1, by cloth; together 1
    values : 0 to 10, by cloth

    Returns
    -------
    A value, 0 to 10 (L*/10).

    Source
    ------
    L* of CIE 1976; mixing by area in linear light: own derivation.

    Examples
    --------
    >>> round(mixed({"black": 0.5, "white": 0.5}, {"black": 0, "white": 10}), 2)
    7.61
    """
    lab = np.zeros((len(weights), 3))
    lab[:, 0] = [10 * values[key] for key in weights]
    light = np.dot(list(weights.values()), lab_to_xyz(lab)[:, 1])
    return float(lightness(light)) / 10


def spread(
    result: Callable[[Mapping[str, float]], float], used: Mapping[str, Cloth]
) -> tuple[float, float]:
    """Return how far a result moves: for independent errors, and for errors of one direction.

    Each value is moved up and down by its half width, inside 0 to 10; the larger move counts,
    because light is no straight line of value. Independent moves add as squares.

    Parameters
    ----------
    result : what is asked of values by cloth, 0 to 10
    used : cloths by key, with the half widths of their 90 % intervals

    Returns
    -------
    Half widths of the 90 % interval, in what ``result`` returns, 0 or more; the second is never
    smaller than the first.

    Source
    ------
    Own derivation.

    Examples
    --------
    >>> grey = Cloth(key="grey", far=(50, 0, 0), value=5, uncertainty=0.3)
    >>> [round(one, 2) for one in spread(lambda values: values["grey"], {"grey": grey})]
    [0.3, 0.3]
    """
    values = {key: cloth.value for key, cloth in used.items()}
    middle = result(values)

    def moved(keys: Iterable[str], sign: int) -> float:
        changed = dict(values)
        for key in keys:
            changed[key] = min(10.0, max(0.0, values[key] + sign * used[key].uncertainty))
        return abs(result(changed) - middle)

    alone = math.sqrt(sum(max(moved([key], 1), moved([key], -1)) ** 2 for key in used))
    # Where the ends of the scale cut the common move short, it is not the worst case.
    return alone, max(alone, moved(used, 1), moved(used, -1))
