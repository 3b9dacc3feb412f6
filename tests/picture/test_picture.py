"""The picture of a project: its sources, its greys, its marks, cloth that is only tried."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.coverage.status import standings
from projects.models import LaidSquare, Part, Project, SquareSet
from projects.picture.overlay import PartShown, parts_shown
from projects.picture.picture import ProjectPicture, picture_of
from projects.planning.cloth.trying import Tried
from projects.planning.parts import set_not_needed
from projects.quilt_design.drawing.patch import area
from stash.colour.spaces.srgb import decode_srgb
from stash.lengths import INCH
from tests.builders import make_fabric, make_piece
from tests.picture.builders import LENGTH, WIDTH, a_quilt, of
from tests.planning import builders as b
from tests.quilt import builders as drawings

pytestmark = pytest.mark.django_db


def parts(project: Project) -> list[Part]:
    return list(project.parts.whole())


def pictured(project: Project, tried: Tried | None = None) -> ProjectPicture:
    return picture_of(project, parts(project), tried=tried)


def shown(project: Project, tried: Tried | None = None) -> dict[str, PartShown]:
    rows, _ = standings(project, parts(project), units="in")
    picture = picture_of(project, [row.part for row in rows], tried=tried)
    return {part.part.name: part for part in parts_shown(picture, rows)}


def covered(picture: ProjectPicture, part: Part) -> float:
    """Square inches of the patches of a part."""
    return sum(area(patch.outline) for patch in picture.patches if patch.part == str(part.pk)) / (
        INCH**2
    )


def lightness(client: Client, address: str) -> np.ndarray[Any, Any]:
    """L* of each pixel of a grey picture."""
    data = client.get(address).content
    grey = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)[..., 1] / 255
    return np.asarray(116 * np.cbrt(decode_srgb(grey)) - 16)


# --- where it comes from ---


def test_not_drawn_is_laid_by_area_and_says_so(owner: User) -> None:
    project = a_quilt(owner)
    picture = pictured(project)
    assert picture.caption == "Not drawn yet: parts by area."
    assert not picture.is_drawn
    # Forty squares and twenty of the same size: one patch of the grid is 34 x 44 over 108.
    sky, stars = (covered(picture, of(project, role)) for role in ("background", "feature"))
    assert stars == pytest.approx(2 * sky, abs=2 * 34 * 44 / 108)
    # 3 1/2 in cut is 3 in finished: a frame of exactly that, less what the open corner shows.
    border = covered(picture, of(project, "border"))
    corner = (0.17 * 40.9) ** 2 / 2
    assert 40 * 50 - 34 * 44 - corner < border < 40 * 50 - 34 * 44
    # The binding lies round it: 1/90 of the longer side, which is more than 3/8 in.
    assert picture.width == pytest.approx(WIDTH + 2 * LENGTH / 90)


def test_what_is_guessed_is_told(owner: User) -> None:
    project = a_quilt(owner, finished_width=None, finished_length=None)
    of(project, "border").cuts.all().delete()
    of(project, "feature").cuts.all().delete()
    assert pictured(project).caption == (
        "Not drawn yet: parts by area; no finished size yet; borders without a cut list are"
        " guessed; parts without a cut list are drawn like an average one."
    )


def test_borders_wider_than_the_quilt_still_leave_a_middle(owner: User) -> None:
    project = a_quilt(owner)
    b.cut(of(project, "border"), 1, "30", "60")
    of(project, "border").cuts.exclude(width=30 * INCH).delete()
    assert covered(pictured(project), of(project, "background")) > 0


def test_part_that_is_not_needed_is_not_on_it(owner: User) -> None:
    project = a_quilt(owner)
    set_not_needed(part=of(project, "backing"), not_needed=True)
    picture = pictured(project)
    assert str(of(project, "backing").pk) not in picture.shown
    assert str(of(project, "batting").pk) in picture.shown


def test_drawing_comes_first(owner: User) -> None:
    project = drawings.saved(drawings.project(owner)).project
    picture = pictured(project)
    assert picture.is_drawn
    assert picture.caption == "As you drew it."
    # 42 x 54 with the chess board's two parts equal, but for the corner that is laid open.
    dark, light = (covered(picture, of(project, role)) for role in ("background", "feature"))
    assert dark == pytest.approx(light, rel=0.06)


def test_squares_lie_as_in_their_layout(owner: User) -> None:
    project = a_quilt(owner)
    first, second, other = (make_fabric(owner, name) for name in ("Loam", "Sand", "Rust"))
    of(project, "background").fabrics.add(first)
    of(project, "feature").fabrics.add(second)
    squares = SquareSet.objects.create(
        owner=owner, project=project, name="Tin", rows=2, columns=2, border=2 * INCH
    )
    for position, fabric in enumerate((first, second, other, first)):
        LaidSquare.objects.create(squares=squares, fabric=fabric, position=position)
    picture = pictured(project)
    assert picture.caption == "As the squares of Tin lie."
    laid = [patch for patch in picture.patches if area(patch.outline) > 10 * INCH**2]
    numbers = [patch.cloth for patch in laid[:4]]
    assert numbers[:3] == [str(fabric.pk) for fabric in (first, second, other)]
    # A square whose fabric belongs to no part leads nowhere.
    assert [patch.part for patch in laid[:3]] == [
        str(of(project, "background").pk),
        str(of(project, "feature").pk),
        "",
    ]


# --- greys by what is wanted ---


@pytest.mark.parametrize(
    ("want", "grey"),
    [
        ({"value_low": 7.0, "value_high": 9.0}, 80),
        ({"value_low": 4.0, "value_high": 6.0}, 50),
        ({"value_low": 1.0, "value_high": 4.0}, 25),
        # Half open: from 5 up has its middle at 7.5, up to 3 at 1.5.
        ({"value_low": 5.0}, 75),
        ({"value_high": 3.0}, 15),
        # Only a colour: as light as that is.
        ({"want_words": "navy", "want_l": 20.0, "want_a": 5.0, "want_b": -30.0}, 20),
    ],
)
def test_unfilled_part_is_as_grey_as_it_is_wanted(
    client: Client, owner: User, want: dict[str, Any], grey: float
) -> None:
    project = a_quilt(owner)
    project.parts.exclude(role="background").update(not_needed=True)
    Part.objects.filter(project=project, role="background").update(**want)
    seen = lightness(client, f"/projects/{project.pk}/picture/card.jpg")
    assert float(np.median(seen)) == pytest.approx(grey, abs=1.5)
    # Slanting lines tell it from grey cloth.
    assert float(seen.std()) > 1


# --- marks by standing ---


def test_each_part_has_the_mark_and_the_word_of_its_standing(owner: User) -> None:
    project = a_quilt(owner)
    enough, little = make_fabric(owner, "Loam"), make_fabric(owner, "Sand")
    make_piece(enough, length=72 * INCH)
    make_piece(little, length=9 * INCH)
    of(project, "background").fabrics.add(enough)
    of(project, "feature").fabrics.add(little)
    border = of(project, "border")
    border.cuts.update(done=4)
    ask_coverage(project=project)
    found = shown(project)
    told = {name: (part.sign, part.word) for name, part in found.items()}
    assert told["Background"] == ("●", "covered")
    assert told["Feature"] == ("▲", "short")
    assert told["Border 1"] == ("■", "all cut")
    assert told["Binding"] == ("○", "not filled yet")
    assert found["Background"].name == "Background: Loam, covered"
    assert found["Binding"].name == "Binding: no fabric yet, not filled yet"
    assert all(part.is_marked and part.path for part in found.values())
    # Two marks never lie on one another.
    places = [(part.x, part.y) for part in found.values()]
    assert len(set(places)) == len(places)


def test_part_that_was_never_asked_is_not_shown_as_covered(owner: User) -> None:
    project = a_quilt(owner)
    fabric = make_fabric(owner)
    make_piece(fabric, length=72 * INCH)
    of(project, "background").fabrics.add(fabric)
    assert shown(project)["Background"].sign == "◇"


def test_too_many_patches_leave_words_and_marks(owner: User) -> None:
    project = drawings.project(owner)
    drawings.saved(project, columns="40", rows="40", block_side="3")
    found = shown(project)
    assert not any(part.path for part in found.values())
    assert found["Background"].is_marked


# --- cloth that is only tried ---


def test_trying_draws_and_says_so_and_saves_nothing(client: Client, owner: User) -> None:
    project = a_quilt(owner)
    part = of(project, "background")
    chosen, other = make_fabric(owner, "Loam"), make_fabric(owner, "Sand", lab=(80.0, 0.0, 0.0))
    part.fabrics.add(chosen)
    address = f"/projects/{project.pk}/picture/"
    before = client.get(address).content.decode()
    after = client.get(address, {"try": f"{part.pk}:{other.pk}"}).content.decode()
    assert "Background: Loam," in before
    assert "Background: Sand, only tried" in after
    assert f"try={part.pk}:{other.pk}" in after
    assert [fabric.name for fabric in of(project, "background").fabrics.all()] == ["Loam"]
    picture = pictured(project, Tried({part.pk: other}))
    assert {patch.cloth for patch in picture.patches if patch.part == str(part.pk)} == {
        str(other.pk)
    }


def test_cloth_of_somebody_else_is_not_tried(client: Client, owner: User) -> None:
    project = a_quilt(owner)
    strange = make_fabric(b.person("stranger"), "Not hers")
    part = of(project, "background")
    answer = client.get(f"/projects/{project.pk}/picture/", {"try": f"{part.pk}:{strange.pk}"})
    assert "Not hers" not in answer.content.decode()


# --- the file ---


def test_file_is_kept_by_its_mark_and_private(client: Client, owner: User) -> None:
    project = a_quilt(owner)
    address = f"/projects/{project.pk}/picture/card.jpg"
    first = client.get(address)
    assert first["Content-Type"] == "image/jpeg"
    assert first["Cache-Control"] == "private, no-cache"
    mark = first["ETag"].strip('"')
    assert client.get(address, headers={"If-None-Match": first["ETag"]}).status_code == 304
    marked = client.get(f"{address}?of={mark}")
    assert marked["Cache-Control"] == "private, max-age=31536000, immutable"
    Part.objects.filter(project=project, role="background").update(value_low=8.0)
    changed = client.get(address)
    assert changed["ETag"] != first["ETag"]
    assert changed.content != first.content
    assert client.get(f"/projects/{project.pk}/picture/poster.jpg").status_code == 404
