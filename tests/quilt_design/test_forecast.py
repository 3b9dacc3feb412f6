"""The value of a whole quilt: against renderings in linear light, and against worked cases."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from projects.quilt_design.drawing.patch import Patch, SeeingError
from projects.quilt_design.drawing.render import Cloth, render
from projects.quilt_design.forecast.change import Change, change
from projects.quilt_design.forecast.forecast import Band, forecast
from projects.quilt_design.layouts.layout import (
    Border,
    Cell,
    Layout,
    Sashing,
    alternating,
    exact_size,
    known_block,
    patches,
)
from projects.quilt_design.layouts.placing import Chosen
from stash.lengths import INCH
from tests.quilt_design.builders import layout_of, plain, textured


def flat(key: str, value: float, uncertainty: float = 0.0) -> Cloth:
    return Cloth(key=key, far=(10 * value, 0.0, 0.0), value=value, uncertainty=uncertainty)


def board(light_share: float = 0.5) -> list[Patch]:
    """Return two patches, *light* and *dark*, of these shares."""
    cut = 100 * light_share
    return [
        Patch(outline=((0, 0), (cut, 0), (cut, 1), (0, 1)), part="l", cloth="light"),
        Patch(outline=((cut, 0), (100, 0), (100, 1), (cut, 1)), part="d", cloth="dark"),
    ]


STAR, CABIN = known_block("sawtooth star"), known_block("log cabin")
LAYOUTS = {
    "straight with borders": layout_of(
        "nine-patch", 4, 5, 9, borders=(Border(width=2 * INCH, part="border"),)
    ),
    "on point, two blocks": Layout(
        columns=3,
        rows=4,
        block=10 * INCH,
        blocks=(STAR, CABIN),
        pattern=alternating("on point"),
        setting="on point",
        side_part="side",
        corner_part="corner",
        borders=(Border(width=INCH, part="inner"), Border(width=5 * INCH, part="outer")),
    ),
    "sashed, turned": layout_of(
        "pinwheel",
        4,
        4,
        8,
        pattern=((Cell(turn=1), Cell()), (Cell(turn=2), Cell(turn=3))),
        sashing=Sashing(width=2 * INCH, part="sash", cornerstone="stone", outer=True),
    ),
    "geese and corners": layout_of(
        "flying geese",
        3,
        3,
        6,
        blocks=(known_block("flying geese"), known_block("snowball")),
        pattern=alternating(),
    ),
}


@pytest.mark.parametrize("name", LAYOUTS)
def test_forecast_agrees_with_a_rendering_of_printed_cloth(name: str) -> None:
    # Within 0.5 L*; the rendering knows nothing of areas, only of pixels of linear light.
    layout = LAYOUTS[name]
    rng = np.random.default_rng(11)
    cloths = {
        part: textured(part, float(rng.uniform(0.02, 0.8)), seed)
        for seed, part in enumerate(layout.parts)
    }
    drawn = patches(layout, {part: part for part in layout.parts})
    width, height = exact_size(layout)
    # A whole number of pixels on the short side too, so that no ground shows at the edge.
    picture = render(drawn, cloths, width=width, height=height, long_side=1200)
    trimmed = picture.linear[: int(height / width * picture.linear.shape[1]) or None]
    whole = replace(picture, linear=trimmed)
    assert 10 * (forecast(drawn, cloths).value or 0) == pytest.approx(whole.lightness, abs=0.5)


def test_half_black_half_white_mixes_to_76() -> None:
    # Y = 0.5: L* 76.07 (CIE 1976), although the mean of the two values is 5.
    found = forecast(board(), {"light": flat("light", 10.0), "dark": flat("dark", 0.0)})
    assert found.value == pytest.approx(7.607, abs=0.001)
    assert found.naive == pytest.approx(5.0)
    assert "a mixture reads lighter" in found.reason


def test_many_dark_favourites_on_little_area_still_make_a_light_quilt() -> None:
    # Common practice, no source.
    layout = layout_of("sawtooth star", 4, 5, 12)
    dark = [f"dark {number}" for number in range(12)]
    light = [f"light {number}" for number in range(6)]
    cloths = {key: flat(key, 2.0) for key in dark} | {key: flat(key, 8.5) for key in light}
    found = forecast(
        patches(layout, {"centre": light[:2], "points": dark, "background": light}), cloths
    )
    assert found.naive is not None
    assert found.naive < 5
    assert found.value is not None
    assert found.value > 20 / 3  # light
    # Points: 8 triangles of half a cell in 16 cells.
    assert found.reason == (
        "It is lighter than the mean of its fabrics: 12 of 18 fabrics are dark, on 25 % of the "
        "surface."
    )
    assert [(band.band.word, band.cloths) for band in found.bands] == [
        ("dark", 12),
        ("medium", 0),
        ("light", 6),
    ]


def test_few_dark_fabrics_on_most_of_the_surface_make_a_dark_quilt() -> None:
    cloths = {key: flat(key, 9.0) for key in "abcdefgh"} | {"night": flat("night", 1.0)}
    layout = layout_of("nine-patch", 2, 2, 3, borders=(Border(width=20 * INCH, part="border"),))
    found = forecast(
        patches(layout, {"first": list("abcd"), "second": list("efgh"), "border": "night"}), cloths
    )
    assert found.reason.startswith("It is darker")
    assert "1 of 9 fabrics is dark, on 98 % of the surface" in found.reason


def test_one_fabric_is_named_when_no_band_tells() -> None:
    drawn = board(0.9)
    found = forecast(drawn, {"light": flat("light", 6.5), "dark": flat("dark", 4.0)})
    assert "a fabric of value 6.5 alone covers 90 % of the surface" in found.reason


def test_alike_fabrics_need_no_reason_and_one_fabric_says_so() -> None:
    alike = forecast(board(), {"light": flat("light", 5.1), "dark": flat("dark", 5.0)})
    assert alike.reason == "The quilt is about as light as the mean of its fabrics."
    only = forecast(board()[:1], {"light": flat("light", 5.1)})
    assert only.reason == "There is only one fabric."
    assert only.value == pytest.approx(5.1)


def test_shares_are_those_of_the_finished_area() -> None:
    # Geometry: 60 x 72 with a border of 5: 70 x 82 = 5740, border 1420.
    layout = plain(5, 6, 12, borders=(Border(width=5 * INCH, part="border"),))
    found = forecast(patches(layout, {"squares": "s"}), {"s": flat("s", 5.0)})
    assert {part.key: part.area / INCH**2 for part in found.parts} == pytest.approx(
        {"squares": 4320.0, "border": 1420.0}
    )
    assert [part.key for part in found.parts] == ["squares", "border"]
    assert found.without_cloth == pytest.approx(1420 / 5740)
    assert [(cloth.key, cloth.share) for cloth in found.cloths] == [("s", pytest.approx(1.0))]


def test_nothing_chosen_has_shares_and_no_value() -> None:
    found = forecast(patches(plain(2, 2, 4)), {})
    assert (found.value, found.uncertainty, found.naive) == (None, None, None)
    assert found.without_cloth == 1
    assert found.parts[0].share == 1
    assert found.reason == "No part has a fabric yet."


def test_uncertainty_agrees_with_random_draws() -> None:
    # Half width of a normal 90 % interval is 1.645 standard deviations.
    cloths = {"light": flat("light", 8.0, 0.3), "dark": flat("dark", 3.0, 0.4)}
    drawn = board(0.4)
    found = forecast(drawn, cloths)
    rng = np.random.default_rng(7)
    alone = []
    together = []
    for _ in range(1500):
        errors = rng.normal(0, 1 / 1.645, 2)
        for draws, pair in ((alone, errors), (together, errors[[0, 0]])):
            moved = {
                key: replace(cloth, value=cloth.value + error * cloth.uncertainty)
                for (key, cloth), error in zip(cloths.items(), pair, strict=True)
            }
            draws.append(forecast(drawn, moved).value)
    assert found.uncertainty == pytest.approx(1.645 * np.std(alone), rel=0.08)
    assert found.uncertainty_together == pytest.approx(1.645 * np.std(together), rel=0.08)
    assert found.uncertainty < found.uncertainty_together


def test_one_fabric_keeps_its_own_uncertainty() -> None:
    found = forecast(board()[:1], {"light": flat("light", 5.0, 0.7)})
    assert found.uncertainty == pytest.approx(0.7)
    assert found.uncertainty_together == pytest.approx(0.7)


def test_own_bands_are_used() -> None:
    bands = (Band("below six", 0, 6), Band("six and more", 6, 11))
    found = forecast(
        board(0.3), {"light": flat("light", 6.0), "dark": flat("dark", 5.9)}, bands=bands
    )
    assert [(band.cloths, round(band.share, 3)) for band in found.bands] == [(1, 0.7), (1, 0.3)]


@settings(max_examples=30, deadline=None)
@given(
    share=st.floats(0.01, 0.99),
    light=st.floats(0, 10),
    dark=st.floats(0, 10),
    sure=st.floats(0, 3),
)
def test_quilt_lies_between_its_fabrics(
    share: float, light: float, dark: float, sure: float
) -> None:
    cloths = {"light": flat("light", light, sure), "dark": flat("dark", dark, sure)}
    found = forecast(board(share), cloths)
    assert found.value is not None
    assert min(light, dark) - 1e-9 <= found.value <= max(light, dark) + 1e-9
    assert found.by_surface is not None
    assert found.value >= found.by_surface - 1e-9  # light mixes to more than the mean of values
    assert (found.uncertainty or 0) <= (found.uncertainty_together or 0) + 1e-9
    assert found.reason.endswith(".")


# What changes it


def changed(
    before: Layout, after: Layout, cloths: dict[str, Cloth], *, was: Chosen, now: Chosen
) -> Change:
    first = forecast(patches(before, was), cloths)
    return change(first, forecast(patches(after, now), cloths), cloths)


def test_wider_light_border_makes_the_quilt_lighter() -> None:
    layout = plain(4, 4, 6, borders=(Border(width=INCH, part="border"),))
    cloths = {"s": flat("s", 3.0, 0.2), "b": flat("b", 9.0, 0.2)}
    wider = plain(4, 4, 6, borders=(Border(width=6 * INCH, part="border"),))
    chosen = {"squares": "s", "border": "b"}
    told = changed(layout, wider, cloths, was=chosen, now=chosen)
    # Y: 24 x 24 of L* 30, border to 36 x 36 of L* 90.
    y_dark, y_light = ((30 + 16) / 116) ** 3, ((90 + 16) / 116) ** 3
    share = 24**2 / 36**2
    assert told.after.value == pytest.approx(
        (116 * (share * y_dark + (1 - share) * y_light) ** (1 / 3) - 16) / 10
    )
    assert told.difference == pytest.approx((told.after.value or 0) - (told.before.value or 0))
    assert told.sentence.startswith(f"The quilt becomes {told.difference:.1f} lighter")


def test_cloth_that_stays_does_not_blur_the_difference() -> None:
    layout = plain(4, 4, 6, borders=(Border(width=INCH, part="border"),))
    cloths = {"s": flat("s", 3.0, 2.0), "b": flat("b", 9.0, 0.1), "c": flat("c", 5.0, 0.1)}
    chosen = {"squares": "s", "border": "b"}
    told = changed(layout, layout, cloths, was=chosen, now={**chosen, "border": "c"})
    assert told.difference is not None
    assert told.difference < 0
    assert told.uncertainty is not None
    assert told.before.uncertainty is not None
    assert told.uncertainty < told.before.uncertainty
    nothing = change(told.before, told.before, cloths)
    assert (nothing.difference, nothing.uncertainty) == (0, 0)
    assert nothing.sentence == "The quilt stays as light as it was."


def test_change_that_drowns_in_uncertainty_says_so() -> None:
    layout = plain(2, 2, 6)
    cloths = {"s": flat("s", 5.0, 2.0), "t": flat("t", 5.6, 2.0)}
    told = changed(layout, layout, cloths, was={"squares": "s"}, now={"squares": "t"})
    assert "less than can be told" in told.sentence


def test_change_without_cloth_is_no_number() -> None:
    layout, cloths = plain(2, 2, 6), {"s": flat("s", 5.0)}
    told = changed(layout, layout, cloths, was={"squares": "s"}, now={"squares": None})
    assert (told.difference, told.uncertainty) == (None, None)


def test_wrong_wishes_are_quoted() -> None:
    layout, cloths = plain(2, 2, 6), {"s": flat("s", 5.0)}
    with pytest.raises(SeeingError, match="“t”"):
        forecast(patches(layout, {"squares": "t"}), cloths)
    with pytest.raises(SeeingError, match="no patch"):
        forecast([], cloths)
