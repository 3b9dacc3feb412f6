"""Three piles by true lightness, and what a phone's grey picture would have said.

Check values: sRGB primaries' L* 53.23, 87.74, 32.30 and yellow 97.14 (IEC 61966-2-1 with CIE
1976 lightness); luma 0.299, 0.587, 0.114 of coded red, green and blue (ITU-R BT.601-7, 2.5.1).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from projects.quilt_design.squares.piles import PilesError, Square, phone_value, split
from stash.colour.spaces.cielab import hex_to_lab


def grey(key: str, value: float, *, uncertainty: float = 0.2, count: int = 1) -> Square:
    return Square(
        key=key, far=(10 * value, 0.0, 0.0), value=value, uncertainty=uncertainty, count=count
    )


def coloured(key: str, code: str) -> Square:
    far = hex_to_lab(code)
    return Square(key=key, far=far, value=far[0] / 10, uncertainty=0.2)


values = st.integers(0, 1000).map(lambda hundredths: hundredths / 100)


@given(st.lists(st.tuples(values, st.integers(1, 4)), max_size=30))
def test_piles_are_the_squares_sorted_by_lightness(rows: list[tuple[float, int]]) -> None:
    squares = [grey(f"{at:02}", value, count=count) for at, (value, count) in enumerate(rows)]
    piles = split(squares)
    single = [square for square in squares for _ in range(square.count)]
    by_lightness = sorted(single, key=lambda item: item.far[0], reverse=True)
    assert piles.in_order == tuple(square.key for square in by_lightness)
    sizes = [len(piles.light), len(piles.medium), len(piles.dark)]
    assert sum(sizes) == len(single)
    assert max(sizes) - min(sizes) <= 1


@given(st.lists(values, max_size=30), values, values)
def test_at_limits_a_square_on_a_limit_is_in_the_lighter_pile(
    rows: list[float], first: float, other: float
) -> None:
    squares = [grey(f"{at:02}", value) for at, value in enumerate(rows)]
    low, high = sorted((first, other))
    piles = split(squares, limits=(first, other))
    by_key = {square.key: square.value for square in squares}
    assert all(by_key[key] >= high for key in piles.light)
    assert all(low <= by_key[key] < high for key in piles.medium)
    assert all(by_key[key] < low for key in piles.dark)
    assert piles.limits == (high, low)


@given(st.lists(values, max_size=20), st.randoms(use_true_random=False))
def test_the_order_in_which_squares_are_given_changes_nothing(rows, shuffled) -> None:  # type: ignore[no-untyped-def]
    squares = [grey(f"{at:02}", value) for at, value in enumerate(rows)]
    mixed = squares.copy()
    shuffled.shuffle(mixed)
    assert split(squares) == split(mixed)


def test_limits_outside_the_scale_are_refused() -> None:
    with pytest.raises(PilesError, match="3 and 12 are not two values"):
        split([grey("a", 5)], limits=(3, 12))


def test_a_tie_and_a_near_tie_are_named_and_a_clear_step_is_not() -> None:
    squares = [grey("a", 8), grey("b", 6), grey("c", 6), grey("d", 5), grey("e", 2.2), grey("f", 2)]
    piles = split(squares)
    assert (piles.light, piles.medium, piles.dark) == (("a", "b"), ("c", "d"), ("e", "f"))
    (tie,) = piles.near_ties
    assert (tie.lighter, tie.darker, tie.is_tie) == ("b", "c", True)
    assert tie.between == ("light", "medium")


def test_uncertainties_add_as_independent_readings_do() -> None:
    """JCGM 100:2008, 5.1.2: sqrt(0.3² + 0.4²) = 0.5."""
    squares = [
        grey("a", 6.5, uncertainty=0.3),
        grey("b", 6.0, uncertainty=0.4),
        grey("c", 1.0),
    ]
    (tie,) = split(squares).near_ties
    assert tie.uncertainty == pytest.approx(0.5)
    assert tie.difference == pytest.approx(0.5)
    apart = [squares[0], grey("b", 5.99, uncertainty=0.4), squares[2]]
    assert split(apart).near_ties == ()


@pytest.mark.parametrize(
    ("code", "luma"),
    [("#ff0000", 76), ("#00ff00", 150), ("#0000ff", 29), ("#ffff00", 226), ("#777777", 119)],
)
def test_a_phone_shows_the_grey_of_the_luma(code: str, luma: int) -> None:
    """Rounded luma of pure colours: 76, 150, 29 and 226 of 255, by the weights of BT.601."""
    shown = hex_to_lab(f"#{luma:02x}{luma:02x}{luma:02x}")[0] / 10
    assert phone_value(hex_to_lab(code)) == pytest.approx(shown, abs=0.02)


def test_a_strong_red_falls_into_a_darker_pile_on_a_phone() -> None:
    """True L* of pure red is 53.23; its luma 76 shows as L* 32.3, below a grey of L* 45."""
    squares = [grey("pale", 8.5), coloured("red", "#ff0000"), grey("mid", 4.5), grey("ink", 2)]
    piles = split(squares, limits=(5, 7))
    assert piles.medium == ("red",)
    (view,) = piles.phone
    assert (view.key, view.pile, view.phone_pile) == ("red", "medium", "dark")
    assert view.value == pytest.approx(5.323, abs=0.001)
    assert view.phone_value == pytest.approx(3.23, abs=0.02)
    assert "2.1 steps darker" in view.why
    assert "red" in view.why


def test_greys_are_the_same_on_a_phone() -> None:
    assert split([grey(str(at), at) for at in range(10)]).phone == ()


def test_squares_of_one_fabric_may_lie_in_two_piles() -> None:
    piles = split([grey("a", 9, count=4), grey("b", 2, count=2)])
    assert (piles.light, piles.medium, piles.dark) == (("a", "a"), ("a", "a"), ("b", "b"))
    assert split([]).in_order == ()
