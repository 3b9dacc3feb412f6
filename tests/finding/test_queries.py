"""Queries as people type them: what each must mean, and that none is answered by its opposite.

The meanings are ours; what fabrics there are to be found is counted by hand from plain facts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from django.http import QueryDict

from stash.finding.columns.arrays import Columns
from stash.finding.results import Found, run
from stash.finding.search import read_search
from stash.finding.slips import slips
from stash.finding.words import Known, read_words
from stash.lengths import YARD
from tests.finding.queries import KNOWN, corpus, told, wanted
from tests.finding.stashes import a_stash

#: Queries that are read otherwise than was meant when they were written, held back or not.
LEAST_RIGHT = 0.97


@pytest.mark.parametrize("name", ["queries.txt", "queries_held_back.txt"])
def test_queries_are_read_as_they_were_meant(name: str) -> None:
    pairs = corpus(name)
    assert len(pairs) >= 200
    wrong = {
        query: told(read_words(query, KNOWN))
        for query, meaning in pairs
        if told(read_words(query, KNOWN)) != wanted(meaning)
    }
    assert len(wrong) <= (1 - LEAST_RIGHT) * len(pairs), wrong


def test_each_query_can_be_taken_apart_by_its_chips() -> None:
    """Leaving one condition out leaves the others: their sources are read as the same again."""
    lost = []
    for query, _ in corpus("queries.txt"):
        found = read_words(query, KNOWN)
        for left_out in found:
            kept = [part for part in found if part is not left_out]
            again = read_words(" ".join(part.source for part in kept), KNOWN)
            if told(again) != told(tuple(kept)):
                lost.append((query, left_out.label))
    assert lost == []


@pytest.mark.parametrize("name", ["queries.txt", "queries_held_back.txt"])
def test_no_query_fails_on_a_shelf(name: str) -> None:
    columns = a_stash([(22, 8, -30), (np.nan,) * 3, (80, 0, 40)], [(1, 8128, 8128, 1)])
    for query, _ in corpus(name):
        assert len(answered(columns, query, KNOWN).rows) <= 3


@dataclass(frozen=True)
class Cloth:
    """A fabric that nobody could mistake, with what its maker would say of it."""

    hue: str
    tone: str
    lab: tuple[float, float, float]
    stripe: bool = False
    yards: float = 1.0


# Tone and hue as the middles of ISCC-NBS blocks have them (NBS Special Publication 440).
SHELF = (
    Cloth("blue", "dark", (22, 8, -30)),
    Cloth("blue", "light", (76, -8, -20), stripe=True, yards=0.4),
    Cloth("green", "dark", (26, -22, 12), yards=2.0),
    Cloth("green", "light", (80, -22, 16)),
    Cloth("red", "dark", (30, 50, 22), stripe=True),
    Cloth("black", "dark", (15, 0, 0), yards=0.25),
    Cloth("white", "light", (95, 0, 1)),
    Cloth("yellow", "light", (88, -2, 45), yards=3.0),
    Cloth("brown", "dark", (27, 12, 16)),
)


def found(words: str) -> set[int]:
    columns = a_stash(
        [cloth.lab for cloth in SHELF],
        [(i, 44 * 8128, int(cloth.yards * YARD), 1) for i, cloth in enumerate(SHELF, 1)],
        direction=["stripe" if cloth.stripe else "none" for cloth in SHELF],
    )
    query = QueryDict(mutable=True)
    query["words"] = words
    rows = run(read_search(query, columns, Known()), columns).rows
    return {int(row) for row in rows}


@pytest.mark.parametrize(
    ("words", "holds"),
    [
        ("not blue", lambda cloth: cloth.hue != "blue"),
        ("blue but not dark", lambda cloth: cloth.hue == "blue" and cloth.tone != "dark"),
        ("blue or black", lambda cloth: cloth.hue in ("blue", "black")),
        ("dark blues", lambda cloth: (cloth.hue, cloth.tone) == ("blue", "dark")),
        ("neither blue nor green", lambda cloth: cloth.hue not in ("blue", "green")),
        ("not blue, green or red", lambda cloth: cloth.hue not in ("blue", "green", "red")),
        ("blue or green stripes", lambda c: c.hue in ("blue", "green") and c.stripe),
        ("no stripes", lambda cloth: not cloth.stripe),
        ("stripes but not blue", lambda cloth: cloth.stripe and cloth.hue != "blue"),
        ("more than half a yard of dark green", lambda c: c.hue == "green" and c.tone == "dark"),
        ("less than half a yard", lambda cloth: cloth.yards < 0.5),
        ("no more than 1 yd", lambda cloth: cloth.yards <= 1),
        ("2 yards or more", lambda cloth: cloth.yards >= 2),
        ("more than 2 yards", lambda cloth: cloth.yards > 2),
        ("between 1/4 and 1/2 yd", lambda cloth: 0.25 <= cloth.yards <= 0.5),
        ("anything but brown", lambda cloth: cloth.hue != "brown"),
        ("nothing but blue", lambda cloth: cloth.hue == "blue"),
        ("dark or light blue", lambda cloth: cloth.hue == "blue"),
        ("drk blue", lambda cloth: (cloth.hue, cloth.tone) == ("blue", "dark")),
        ("yelow", lambda cloth: cloth.hue == "yellow"),
        ("blue stripes or dark green", lambda c: (c.hue == "blue" and c.stripe)
         or (c.hue, c.tone) == ("green", "dark")),
    ],
)  # fmt: skip
def test_what_is_found_is_what_the_words_say_of_plain_cloth(
    words: str, holds: Callable[[Cloth], bool]
) -> None:
    assert found(words) == {i for i, cloth in enumerate(SHELF) if holds(cloth)}


@pytest.mark.parametrize(
    "words", ["not dark", "light", "not dark blue", "lightest", "pale", "bright", "no dark"]
)
def test_what_is_light_is_never_answered_by_the_darkest(words: str) -> None:
    black = next(i for i, cloth in enumerate(SHELF) if cloth.hue == "black")
    if words in ("lightest", "not dark blue"):
        assert black in found(words)  # these ask for an order, or for a hue besides
    else:
        assert black not in found(words)


def answered(columns: Columns, words: str, known: Known | None = None) -> Found:
    query = QueryDict(mutable=True)
    query["words"] = words
    return run(read_search(query, columns, known or Known()), columns)


def test_what_may_be_dark_blue_is_listed_apart() -> None:
    """Estimates reach 0.8 either way: of three blues one is dark, one may be, one is too light."""
    columns = a_stash([(22, 5, -28), (46, 2, -32), (75, -6, -22)])
    result = answered(columns, "dark blue")
    assert columns.fabrics.key[result.rows].tolist() == [1]
    (apart,) = result.apart
    assert (apart.what, columns.fabrics.key[apart.rows].tolist()) == ("may be dark blue", [2])


def test_a_measured_value_leaves_nothing_open() -> None:
    columns = a_stash([(46, 2, -32)], is_measured=[True])
    assert answered(columns, "dark blue").apart == ()


def test_values_in_numbers_reach_as_far_as_they_are_uncertain() -> None:
    columns = a_stash([(30, 0, 0), (45, 0, 0), (60, 0, 0)])
    result = answered(columns, "value 2 to 4")
    assert columns.fabrics.key[result.rows].tolist() == [1]
    (apart,) = result.apart
    assert columns.fabrics.key[apart.rows].tolist() == [2]


def test_medium_is_a_value_first_and_a_size_of_print_apart() -> None:
    columns = a_stash(
        [(46, -2, -32), (20, 8, -28)], is_measured=[True, True], print_scale=["", "medium"]
    )
    result = answered(columns, "medium blue")
    assert columns.fabrics.key[result.rows].tolist() == [1]
    (apart,) = result.apart
    assert apart.what == "have a medium print"
    assert columns.fabrics.key[apart.rows].tolist() == [2]


def test_a_name_comes_before_the_colour_and_says_so() -> None:
    names = np.array(["Plain", "Midnight Indigo", "Sunny"], dtype=object)
    columns = a_stash([(22, 5, -25), (80, 0, 40), (85, 0, 60)], name=names)
    known = Known(is_called=lambda words: bool(columns.rows_called(words).any()))
    result = answered(columns, "indigo", known)
    assert columns.fabrics.key[result.rows].tolist() == [2, 1]
    assert result.why(0) == "found by name"
    assert result.why(1).startswith("fits")


def test_a_slip_is_said_and_can_be_looked_for_as_typed() -> None:
    columns = a_stash([(22, 5, -25)])
    query = QueryDict(mutable=True)
    query["words"] = "dark bleu"
    (slip,) = slips(read_search(query, columns, Known()))
    assert (slip.typed, slip.near, slip.words) == ("bleu", "blue", 'dark "bleu"')
    (literal,) = (part for part in read_words(slip.words) if part.source.startswith('"'))
    assert literal.label == "“bleu”"
