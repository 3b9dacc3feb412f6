"""What the search box understands. The meanings of the words are ours; lengths and colours are
checked against published facts where they are tested themselves.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stash.finding import conditions as c
from stash.finding.words import Known, read_words
from stash.lengths import CM, INCH, METRE, YARD

KNOWN = Known(
    fabric_key={"harbour rain": 1, "blue dots": 2}.get,
    places={"top shelf": frozenset({1, 2}), "bin 3": frozenset({2})},
    shops=frozenset({"corner shop"}),
    projects=lambda: {"lamplight": frozenset({1})},
    today=20_000,
)


def read(text: str) -> tuple[c.Condition, ...]:
    return read_words(text, KNOWN)


def only(text: str) -> c.Condition:
    (found,) = read(text)
    return found


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("blue", ("blue",)),
        ("dark blue", ("dark", "blue")),
        ("Blue, DARK", ("dark", "blue")),
        ("navy blue", ("navy",)),
        ("gray", ("grey",)),
        ("greyed red", ("dull", "red")),
        ("reads blue", ("blue",)),
        ("warm bright orange", ("warm", "bright", "orange")),
        ("neutral", ("neutral",)),
        ("light", ("light",)),
        ("yellow green", ("yellow", "green")),
    ],
)
def test_colour_words_in_any_order_become_one_colour(text: str, words: tuple[str, ...]) -> None:
    found = only(text)
    assert isinstance(found, c.Colour)
    assert found.words == words


@pytest.mark.parametrize(
    ("text", "words", "share"),
    [
        ("with yellow", ("yellow",), 0.1),
        ("with light blue", ("light", "blue"), 0.1),
        ("with 25% yellow", ("yellow",), 0.25),
        ("with at least 5 % red", ("red",), 0.05),
    ],
)
def test_with_asks_the_palette(text: str, words: tuple[str, ...], share: float) -> None:
    found = only(text)
    assert isinstance(found, c.WithColour)
    assert (found.words, found.least_share) == (words, share)


def test_reads_and_with_are_two_conditions() -> None:
    reads, has = read("reads blue with yellow")
    assert isinstance(reads, c.Colour)
    assert isinstance(has, c.WithColour)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("value 2 to 4", 2, 4),
        ("value from 2 to 4", 2, 4),
        ("value 4-2", 2, 4),
        ("value 2.5 to 3", 2.5, 3),
        ("value 3", 2.5, 3.5),
    ],
)
def test_value_in_numbers(text: str, low: float, high: float) -> None:
    found = only(text)
    assert isinstance(found, c.ValueBetween)
    assert (found.low, found.high) == (low, high)


@pytest.mark.parametrize("band", ["dark", "medium", "light"])
def test_thirds(band: str) -> None:
    assert only(f"{band} third") == c.Third(
        source=f"{band} third", label=f"{band} third of the stash", band=band
    )


@pytest.mark.parametrize(
    ("text", "key", "relation", "steps"),
    [
        ("darker than harbour rain", 1, "darker", 0),
        ("lighter than Blue Dots", 2, "lighter", 0),
        ("same value as harbour rain", 1, "same", 0),
        ("one step darker than harbour rain", 1, "darker", 1),
        ("a step lighter than harbour rain", 1, "lighter", 1),
        ("half a step darker than harbour rain", 1, "darker", 0.5),
        ("2 steps lighter than harbour rain", 1, "lighter", 2),
    ],
)
def test_value_beside_a_fabric(text: str, key: int, relation: str, steps: float) -> None:
    found = only(text)
    assert isinstance(found, c.NearValue)
    assert (found.key, found.relation, found.steps) == (key, relation, steps)


def test_a_fabric_of_unknown_name_leaves_plain_words() -> None:
    assert not any(
        isinstance(condition, c.NearValue) for condition in read("darker than nothing here")
    )


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("at least 1/2 yd", YARD // 2),
        ("1/2 yd", YARD // 2),
        ("½ yard", YARD // 2),
        ("half a yard", YARD // 2),
        ("1 1/2 yds", 3 * YARD // 2),
        ("over 2 yards", 2 * YARD),
        ("3/4 m", 3 * METRE // 4),
        ("0,75 m", 3 * METRE // 4),
        ("30 cm", 30 * CM),
        ("9 in", 9 * INCH),
    ],
)
def test_an_amount_is_one_unbroken_length(text: str, length: int) -> None:
    found = only(text)
    assert isinstance(found, c.Amount)
    assert found.length == length


@pytest.mark.parametrize("text", ["less than 1/2 yd", "under 1/2 yd", "at most 1/2 yd"])
def test_less_is_never_read_as_at_least(text: str) -> None:
    found = only(text)
    assert isinstance(found, c.AmountAtMost)
    assert found.length == YARD // 2


@pytest.mark.parametrize(
    ("text", "width", "length"),
    [
        ("fits 10 1/2 x 10 1/2", 21 * INCH // 2, 21 * INCH // 2),
        ("fits 10 × 12 cm", 10 * CM, 12 * CM),
        ("holds 18 in x 21 in", 18 * INCH, 21 * INCH),
    ],
)
def test_fits(text: str, width: int, length: int) -> None:
    found = only(text)
    assert isinstance(found, c.Holds)
    assert (found.width, found.length) == (width, length)


@pytest.mark.parametrize(
    ("text", "count", "width", "length"),
    [
        ("12 squares 5 in", 12, 5 * INCH, 5 * INCH),
        ("12 squares of 5", 12, 5 * INCH, 5 * INCH),
        ("12 5-inch squares", 12, 5 * INCH, 5 * INCH),
        ("12 2 1/2 in squares", 12, 5 * INCH // 2, 5 * INCH // 2),
        ("8 rectangles 2 1/2 x 4 1/2", 8, 5 * INCH // 2, 9 * INCH // 2),
        ("4 strips 6 cm x 100 cm", 4, 6 * CM, 100 * CM),
    ],
)
def test_a_count_of_cuts(text: str, count: int, width: int, length: int) -> None:
    found = only(text)
    assert isinstance(found, c.Yields)
    assert (found.count, found.width, found.length) == (count, width, length)


@pytest.mark.parametrize(
    ("text", "form", "side"),
    [
        ("fat quarters", "fat quarter", None),
        ("fat eighth", "fat eighth", None),
        ("squares", "square", None),
        ("5 in squares", "square", 5 * INCH),
        ("2 1/2 in squares", "square", 5 * INCH // 2),
        ("2 1/2-inch strips", "strip", 5 * INCH // 2),
    ],
)
def test_forms(text: str, form: str, side: int | None) -> None:
    found = only(text)
    assert isinstance(found, c.FormIs)
    assert (found.form, found.side) == (form, side)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("washed", c.Washed),
        ("not washed", c.Washed),
        ("favourites", c.Favourite),
        ("available", c.Available),
        ("not promised", c.NotPromised),
        ("measured", c.Measured),
        ("estimate", c.Measured),
        ("one-way", c.DirectionIs),
        ("stripes", c.DirectionIs),
        ("small print", c.ScaleIs),
        ("solid", c.ScaleIs),
        ("in top shelf", c.InPlace),
        ("in the bin 3", c.InPlace),
        ("from corner shop", c.FromShop),
        ("for Lamplight", c.ForProject),
        ("cotton", c.Word),
    ],
)
def test_everything_else(text: str, kind: type[c.Condition]) -> None:
    assert isinstance(only(text), kind)


@pytest.mark.parametrize(
    ("text", "since"),
    [
        ("unused for 2 years", 20_000 - 730),
        ("unused for two years", 20_000 - 730),
        ("unused for a year", 20_000 - 365),
        ("unused for 6 months", 20_000 - 180),
    ],
)
def test_unused(text: str, since: int) -> None:
    found = only(text)
    assert isinstance(found, c.Unused)
    assert found.since == since


def test_a_slip_is_read_as_the_colour_it_means() -> None:
    found = only("purpel")
    assert isinstance(found, c.Colour)
    assert (found.words, found.corrected) == (("purple",), (("purpel", "purple"),))


def test_a_less_plain_slip_carries_a_suggestion() -> None:
    found = only("aubergene")
    assert isinstance(found, c.Word)
    assert found.near == "aubergine"


def test_the_same_thing_said_twice_is_asked_once() -> None:
    assert len(read("1/2 yd 1/2 yd cotton cotton washed washed")) == 3


def test_each_condition_can_be_taken_out_by_its_words() -> None:
    found = read("dark blue dots at least 1/2 yd in top shelf not promised 12 squares 5 in")
    assert len(found) == 6
    for left_out in found:
        kept = [condition for condition in found if condition is not left_out]
        again = read(" ".join(condition.source for condition in kept))
        assert sorted(condition.label for condition in again) == sorted(
            condition.label for condition in kept
        )


SPOKEN = st.lists(
    st.sampled_from(
        "value third 2 4 to - x × 1/2 1/0 ½ in yd cm squares strips of 12 0 fits holds with %"
        " darker than same as steps one unused for years from dark blue navy , \x00 \u202e"
        " harbour rain top shelf at least not promised 99999999999 1.5.2 −3".split(" ")
    ),
    max_size=60,
).map(" ".join)


@settings(max_examples=120, deadline=None)
@given(st.one_of(SPOKEN, st.text(max_size=500)))
def test_nothing_typed_raises(text: str) -> None:
    for condition in read(text):
        assert condition.label


@pytest.mark.parametrize("part", ["1 ", "1 1/2 ", "fits 1 x ", "with ", "value ", "in ", "9 yd "])
def test_long_repetitions_stay_few_conditions(part: str) -> None:
    assert len(read(part * 400)) <= 24
