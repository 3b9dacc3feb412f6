"""What each condition keeps, and that facets count what ticking them shows."""

from __future__ import annotations

import numpy as np
import pytest
from django.http import QueryDict
from hypothesis import given, settings
from hypothesis import strategies as st

from stash.finding.columns.arrays import Columns
from stash.finding.facets import FACETS
from stash.finding.orders import SORTS
from stash.finding.results import run
from stash.finding.search import read_search
from stash.finding.words import Known
from stash.lengths import INCH, YARD
from tests.finding.stashes import GREY, a_stash

NAN = (np.nan, np.nan, np.nan)
# CSS Color Module Level 4 named colours in CIELAB (D65), by IEC 61966-2-1.
NAVY = (12.97, 47.5, -64.7)
SKY = (79.2, -14.8, -21.3)


def found(columns: Columns, words: str = "", **asked: str) -> list[int]:
    query = QueryDict(mutable=True)
    query["words"] = words
    for name, values in asked.items():
        query[name] = values
    known = Known(fabric_key=columns.key_of_name.get, shops=columns.shops, today=20_000)
    search = read_search(query, columns, known)
    return columns.fabrics.key[run(search, columns).rows].tolist()


def test_nothing_asked_shows_everything_once() -> None:
    assert sorted(found(a_stash([NAVY, SKY, NAN]))) == [1, 2, 3]


def test_value_and_thirds() -> None:
    columns = a_stash([(lightness, 0, 0) for lightness in (10, 20, 30, 40, 50, 60, 70, 80, 90)])
    assert found(columns, "value 2 to 4", sort="dark") == [2, 3, 4]
    assert found(columns, "dark third", sort="dark") == [1, 2, 3]
    assert found(columns, "medium third", sort="dark") == [4, 5, 6]
    assert found(columns, "light third", sort="dark") == [7, 8, 9]


def test_a_fabric_without_a_value_is_in_no_third() -> None:
    assert found(a_stash([NAN, GREY]), "dark third") == []


def test_a_step_is_one_unit_of_value() -> None:
    columns = a_stash([(lightness, 0, 0) for lightness in (20, 34, 40, 46, 50, 60)])
    assert found(columns, "darker than fabric 5", sort="dark") == [1, 2, 3, 4]
    assert found(columns, "one step darker than fabric 5", sort="dark") == [3]
    assert found(columns, "same value as fabric 5", sort="dark") == [4]
    assert found(columns, "one step lighter than fabric 5", sort="dark") == [6]


def test_an_amount_is_one_length_and_not_a_sum() -> None:
    columns = a_stash(
        [GREY, GREY],
        [(1, 42 * INCH, YARD // 4, 1), (1, 42 * INCH, YARD // 4, 1), (2, 42 * INCH, YARD // 2, 1)],
    )
    assert found(columns, "at least 1/2 yd") == [2]
    assert found(columns, "at most 1/4 yd") == [1]
    assert found(columns, "less than 1/4 yd") == []
    assert found(columns, "less than 1/2 yd") == [1]
    assert found(columns, "more than 1/4 yd") == [2]
    assert found(columns, "more than 1/2 yd") == []


def test_fits_turns_only_what_has_no_direction() -> None:
    columns = a_stash(
        [GREY, GREY],
        [(1, 10 * INCH, 20 * INCH, 1), (2, 10 * INCH, 20 * INCH, 1)],
        direction=["none", "one-way"],
    )
    assert sorted(found(columns, "fits 20 x 10")) == [1]
    assert sorted(found(columns, "fits 10 x 20")) == [1, 2]


def test_cloth_that_is_not_free_does_not_count() -> None:
    columns = a_stash([GREY], [(1, 42 * INCH, 36 * INCH, 0)])
    for words in ("1/2 yd", "fits 5 x 5", "1 squares 5 in", "available"):
        assert found(columns, words) == []


def test_a_word_searches_texts_and_shops_but_not_across_fabrics() -> None:
    columns = a_stash(
        [GREY, GREY, GREY],
        [(3, 10, 10, 1)],
        text=np.array(["ends in har", "vest begins", ""]),
        shop=["harvest fair"],
    )
    assert found(columns, "harvest") == [3]
    assert found(columns, "har") == [3, 1]


def test_likeness_is_nearest_first_and_leaves_the_fabric_itself_out() -> None:
    columns = a_stash([(50, 0, 0), (52, 0, 0), (51, 0, 0), NAN])
    assert found(columns, like="1") == [3, 2]
    assert found(columns, like="51,0,0", by="palette") == [3, 2, 1]
    assert found(columns, like="1", words="value 5.15 to 6") == [2]


@pytest.mark.parametrize("sort", sorted(set(SORTS) - {"alike"}))
def test_every_order_breaks_ties_by_name_or_age_whatever_the_rows_are(sort: str) -> None:
    names = np.array(["b", "Á", "a", "c"], dtype=object)
    columns = a_stash([GREY, GREY, GREY, NAN], name=names)
    turned = Columns(
        fabrics=columns.fabrics.taken(np.array([3, 2, 1, 0])), pieces=columns.pieces, tick=0
    )
    assert found(columns, sort=sort) == found(turned, sort=sort)


LABS = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.one_of(LABS, st.just(NAN)), min_size=1, max_size=25),
    st.sampled_from(["", "dark", "blue", "value 2 to 7", "light green"]),
    st.sampled_from(["", "dark", "not read"]),
)
def test_a_facet_counts_what_ticking_it_shows(
    labs: list[tuple[float, float, float]], words: str, band: str
) -> None:
    columns = a_stash(labs, [(i + 1, 42 * INCH, YARD, i % 2) for i in range(len(labs))])
    query = QueryDict(mutable=True)
    query["words"] = words
    if band:
        query["value"] = band
    shown = run(read_search(query, columns, Known()), columns)
    assert {facet.name for facet in shown.facets} == set(FACETS)
    for facet in shown.facets:
        for choice in facet.choices:
            asked = query.copy()
            asked.setlist(facet.name, [choice.key])
            ticked = run(read_search(asked, columns, Known()), columns)
            assert len(ticked.rows) == choice.count
