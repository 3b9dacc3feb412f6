"""The nearest colours are exactly those that comparing every row gives."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from stash.colour.spaces.difference import delta_e_2000
from stash.finding.columns.nearest import ColourIndex

COLOUR = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


def brute_force(labs: Any, keys: Any, lab: Any, count: int) -> tuple[Any, Any]:
    """Every difference, sorted. The formula itself is checked against published pairs."""
    rows = np.flatnonzero(np.isfinite(labs).all(axis=1))
    differences = delta_e_2000(labs[rows], lab) if len(rows) else np.zeros(0)
    order = np.lexsort((keys[rows], differences))[:count]
    return rows[order], differences[order]


def assert_same(labs: Any, lab: Any, count: int) -> None:
    keys = np.arange(len(labs))[::-1]
    rows, differences = ColourIndex(labs, keys).nearest(lab, count)
    expected_rows, expected = brute_force(labs, keys, lab, count)
    assert rows.tolist() == expected_rows.tolist()
    assert differences.tolist() == expected.tolist()


@settings(max_examples=60, deadline=None)
@given(
    arrays(np.float64, st.tuples(st.integers(0, 60), st.just(3)), elements=st.floats(0, 100)),
    COLOUR,
    st.integers(0, 70),
)
def test_any_rows_any_colour(labs: Any, lab: Any, count: int) -> None:
    labs[:, 1:] = 2.4 * labs[:, 1:] - 120
    assert_same(labs, lab, count)


@pytest.mark.parametrize("seed", range(4))
def test_two_thousand_random_rows(seed: int) -> None:
    random = np.random.default_rng(seed)
    labs = random.uniform((0, -100, -100), (100, 100, 100), (2000, 3))
    for lab in (labs[7], (0, 0, 0), (100, 0, 0), (32, 79, -108), (50, 2.5, 0), (98, -20, 94)):
        assert_same(labs, np.asarray(lab, dtype=float), 50)


def test_ties_come_in_the_order_of_keys() -> None:
    labs = np.tile([[40.0, 10.0, -30.0], [41.0, 10.0, -30.0]], (300, 1))
    assert_same(labs, np.array([40.0, 10.0, -30.0]), 350)


def test_rows_without_a_colour_never_match() -> None:
    labs = np.array([[50.0, 0, 0], [np.nan, np.nan, np.nan], [51.0, 0, 0]])
    rows, _ = ColourIndex(labs, np.arange(3)).nearest((50, 0, 0), 3)
    assert rows.tolist() == [0, 2]


@settings(max_examples=100, deadline=None)
@given(COLOUR, COLOUR)
def test_the_bound_is_never_above_the_difference(first: Any, second: Any) -> None:
    index = ColourIndex(np.array([first]), np.array([1]))
    least = float(index.least_difference(0, 1, np.array(second))[0])
    assert least <= float(delta_e_2000(first, second)) + 1e-9
