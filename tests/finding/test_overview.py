"""The stash map and the value line."""

from __future__ import annotations

import io

import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from PIL import Image

from stash.finding.overview import map as maps
from stash.finding.overview import views as overview
from stash.finding.overview.value_line import lay_out, read_limits
from tests.builders import make_fabric, make_stranger
from tests.finding.stashes import a_stash

NAN = (np.nan, np.nan, np.nan)


@pytest.fixture
def page(client: Client, owner: User) -> Client:
    client.force_login(owner)
    return client


def test_hue_runs_across_value_up_and_neutrals_stand_apart() -> None:
    columns = a_stash([(80, 0, 50), (20, 0, -50), (50, 0.5, 0), NAN])
    rows, x, y = maps.place(columns, np.arange(4))
    assert rows.tolist() == [0, 1, 2]
    assert x[2] < maps.HUES_FROM < x[0] < x[1]  # neutral, then 90°, then 270°
    assert y.tolist() == pytest.approx([120, 480, 300])


def test_the_picture_shows_each_colour_where_it_stands() -> None:
    columns = a_stash([(80, 0, 50), (20, 0, -50)])
    rows, x, y = maps.place(columns, np.arange(2))
    picture = np.asarray(Image.open(io.BytesIO(maps.paint(columns, np.arange(2)))))
    assert picture.shape == (maps.HEIGHT, maps.WIDTH, 4)
    for spot, at, up in zip(maps.spots(columns, rows), x, y, strict=True):
        red, green, blue, alpha = picture[int(up), int(at)]
        assert f"#{red:02x}{green:02x}{blue:02x}" == spot.fill
        assert alpha == 255
    assert np.count_nonzero(picture[..., 3]) == 50


def test_the_last_row_lies_on_top() -> None:
    columns = a_stash([(50, 0, 50), (50, 0, 50.2)])
    first = maps.paint(columns, np.array([0, 1]))
    assert first != maps.paint(columns, np.array([1, 0]))


def test_gaps_are_said_with_numbers() -> None:
    dark_greens = [(25.0, -30.0, 25.0 + i / 10) for i in range(15)]
    counts = maps.table(a_stash([*dark_greens, (85, -30, 30)]), np.arange(16))
    gaps = maps.find_gaps(counts)
    assert maps.Gap("green", "light", 1, 16) in gaps
    assert any(gap.hue == "red" and gap.of == 0 for gap in gaps)


def test_a_small_stash_has_no_gaps_to_speak_of() -> None:
    assert maps.find_gaps(maps.table(a_stash([(25, -30, 25)]), np.arange(1))) == []


def test_what_a_search_leaves_out_is_no_gap(page: Client, owner: User) -> None:
    for number in range(30):
        make_fabric(owner, f"Blue {number}", lab=(30.0 + number, 0.0, -40.0))
    make_fabric(owner, "Lemon", lab=(85.0, 0.0, 60.0))
    address = reverse("stash:map")
    assert "Nothing in red" in page.get(address).content.decode()
    assert "Nothing in" not in page.get(address, {"words": "blue"}).content.decode()


def test_each_cell_of_the_table_leads_to_as_many_fabrics(page: Client, owner: User) -> None:
    for i in range(12):
        make_fabric(owner, f"Cloth {i}", lab=(8.0 * i, -30.0 + 5 * i, 40.0 - 6 * i))
    make_fabric(make_stranger(), "Strange")
    response = page.get(reverse("stash:map"))
    assert response.context["count"] == 12
    for hue, bands, _ in response.context["table"]:
        for band, count in bands:
            shown = page.get("/find/", {"hue": hue, "value": band})
            assert shown.context["page"].paginator.count == count


def test_many_fabrics_come_as_one_picture(
    page: Client, owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_fabric(owner, "One", lab=(40, 0, 40))
    make_fabric(owner, "Two", lab=(60, 0, 40))
    assert b"<image" not in page.get(reverse("stash:map")).content
    monkeypatch.setattr(overview, "_MOST_DRAWN", 1)
    assert b"<image" in page.get(reverse("stash:map")).content
    picture = page.get(reverse("stash:map_picture"), {"words": "one"})
    assert picture["Content-Type"] == "image/png"
    assert "private" in picture["Cache-Control"]


def test_a_box_on_the_map_is_a_search_in_words(page: Client, owner: User) -> None:
    make_fabric(owner, "Yellowish", lab=(80, 0, 50))  # hue 90°
    make_fabric(owner, "Reddish", lab=(50, 50, -5))  # hue 354°
    make_fabric(owner, "Grey", lab=(50, 0, 0))

    def found(words: str) -> list[str]:
        return [fabric.name for fabric in page.get("/find/", {"words": words}).context["fabrics"]]

    assert found("value 7.0 to 9.0 hue 80 to 100") == ["Yellowish"]
    assert found("hue 340 to 20") == ["Reddish"]
    assert found("value 4.0 to 6.0 neutral") == ["Grey"]


def test_equal_piles_differ_by_one_at_most() -> None:
    columns = a_stash([*((lightness, 0, 0) for lightness in range(10, 90, 8)), NAN])
    line = lay_out(columns, np.arange(len(columns)))
    assert [len(pile.rows) for pile in line.piles] == [3, 4, 3]
    assert line.without == 1
    assert int(line.counts.sum()) == 10
    values = [columns.fabrics.value[pile.rows] for pile in line.piles]
    assert values[0].max() < values[1].min()
    assert values[1].max() < values[2].min()


def test_chosen_limits_put_a_fabric_on_a_limit_into_the_lighter_pile() -> None:
    columns = a_stash([(20, 0, 0), (30, 0, 0), (60, 0, 0), (70, 0, 0)])
    line = lay_out(columns, np.arange(4), (3.0, 6.0))
    assert [len(pile.rows) for pile in line.piles] == [1, 1, 2]


@pytest.mark.parametrize(
    ("text", "limits"),
    [
        ("3.3 6.7", (3.3, 6.7)),
        ("6,3", (3, 6)),
        ("", None),
        ("3", None),
        ("3 11", None),
        ("nan 3", None),
        ("x y", None),
    ],
)
def test_limits(text: str, limits: tuple[float, float] | None) -> None:
    assert read_limits(text) == limits


def test_the_value_line_page_names_limits_that_are_none(page: Client, owner: User) -> None:
    make_fabric(owner)
    body = page.get(reverse("stash:value_line"), {"limits": "a lot"}).content.decode()
    assert "“a lot” is not two values" in body
    assert (
        page.get(reverse("stash:value_line"), {"limits": "3 6", "words": "blue"}).status_code == 200
    )
    assert page.get(reverse("stash:value_line"), {"words": "nosuchword"}).status_code == 200


def test_a_pile_is_found_again_on_the_shelf(page: Client, owner: User) -> None:
    for i in range(7):
        make_fabric(owner, f"Cloth {i}", lab=(10.0 + 11.3 * i, 0.0, 0.0))
    for pile in page.get(reverse("stash:value_line")).context["piles"]:
        shown = page.get("/find/", {"words": pile["words"]})
        assert shown.context["page"].paginator.count == pile["count"]


def test_a_long_pile_says_how_many_it_does_not_list(page: Client, owner: User) -> None:
    for i in range(42):
        make_fabric(owner, f"Cloth {i}", lab=(10.0 + 2 * i, 0.0, 0.0))
    answer = page.get(reverse("stash:value_line"))
    for pile in answer.context["piles"]:
        assert pile["more"] == pile["count"] - len(pile["fabrics"]) > 0
    assert "and 2 lighter ones" in answer.content.decode()
