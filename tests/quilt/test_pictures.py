"""Pictures of a drawn quilt, and its forecast, from fabrics without photos: flat far colours."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from django.contrib.auth.models import User

from projects.coverage.answering import ask_coverage
from projects.models import Cut
from projects.planning.cloth.splits import set_split
from projects.quilt.forecast import outlook_of
from projects.quilt.picture import LOOKS, Dressed, digest_of, png_of, svg_of
from stash.lengths import INCH
from stash.models import Fabric
from tests.builders import make_fabric, make_piece
from tests.quilt import builders as b

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> Path:
    settings.STASH_DATA = tmp_path
    return tmp_path / "drawn"


def pixels(data: bytes) -> Any:
    return cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_UNCHANGED)


def black_and_white(owner: User) -> Dressed:
    project = b.project(owner)
    b.chosen(project, "feature", "Black", 0.0)
    b.chosen(project, "background", "White", 100.0)
    return Dressed.of(b.drawn(project, border_1=""))


def test_patches_show_the_cloth_of_their_parts(owner: User) -> None:
    picture = pixels(png_of(black_and_white(owner), "colour", 480))
    assert picture.shape == (480, 360, 3)
    assert picture[30, 30].max() == 0
    assert picture[30, 90].min() == 255


def test_the_grey_view_marks_estimates_where_they_lie_and_nothing_else(owner: User) -> None:
    dressed = black_and_white(owner)
    Fabric.objects.filter(name="White").update(reference="grey card")
    dressed = Dressed.of(b.drawn(dressed.drawn.project, border_1=""))
    grey, colour = (pixels(png_of(dressed, look, 480)) for look in ("grey", "colour"))
    assert grey[30, 30].max() > 200  # in the middle of a black patch, on the ground of the mark
    assert colour[30, 30].max() == 0
    assert grey[10:50, 70:110].min() == 255  # a white patch is as it was
    assert "≈A" in svg_of(dressed, grey=True, title="") or "≈B" in svg_of(
        dressed, grey=True, title=""
    )
    assert "≈" not in svg_of(dressed, grey=False, title="")
    Fabric.objects.update(reference="grey card")
    measured = Dressed.of(b.drawn(dressed.drawn.project, border_1=""))
    assert pixels(png_of(measured, "grey", 480))[30, 30].max() == 0


def test_half_black_half_white_is_the_middle_of_the_light_not_of_the_values(owner: User) -> None:
    """Y = 1/2 is L* 76.07: CIE 15:2004, 116 (1/2)^(1/3) - 16."""
    outlook = outlook_of(black_and_white(owner))
    assert outlook.forecast.value == pytest.approx(7.607, abs=0.001)
    assert outlook.forecast.naive == pytest.approx(5.0)


def test_patches_show_as_many_of_each_fabric_as_the_plan_cuts(owner: User) -> None:
    """Arithmetic: of squares of 6 1/2 in 8 x 9 in hold one, and 22 x 9 in three."""
    project = b.project(owner)
    alder, birch = (b.chosen(project, "feature", name, 40.0) for name in ("Alder", "Birch"))
    make_piece(alder, width=8 * INCH, length=9 * INCH)
    make_piece(birch, width=22 * INCH, length=9 * INCH)
    drawing = b.drawn(project, columns="1", rows="2", border_1="")
    part = b.part(project, "feature")

    def shown() -> tuple[list[str], str]:
        dressed = Dressed.of(drawing)
        cloths = [patch.cloth for patch in dressed.patches if patch.part == str(part.pk)]
        return cloths, dressed.reasons[str(part.pk)]

    Cut.objects.create(part=part, count=4, width=13 * INCH // 2, length=13 * INCH // 2)
    cloths, reason = shown()
    assert cloths.count(str(alder.pk)) == 2
    assert reason.startswith("As the cloth allows")
    ask_coverage(project=project)
    cloths, reason = shown()
    assert (cloths.count(str(alder.pk)), cloths.count(str(birch.pk))) == (1, 3)
    assert reason == "In turn, as many of each as the plan cuts: 1 from Alder, 3 from Birch."
    # The list changed since: the plan is not the last word any more.
    part.cuts.update(count=5)
    assert shown()[1].startswith("As the cloth allows")
    set_split(part=part, shares={alder.pk: 1, birch.pk: 1})
    drawing = b.drawn(project, columns="1", rows="2", border_1="")
    assert shown()[1] == "In turn, by the shares of this part."


def test_part_with_several_fabrics_takes_them_in_turn_by_name(owner: User) -> None:
    project = b.project(owner)
    second, first = (b.chosen(project, "feature", name, 40.0) for name in ("Birch", "Alder"))
    dressed = Dressed.of(b.drawn(project, columns="1", rows="2", border_1=""))
    part = str(b.part(project, "feature").pk)
    drawn = [patch.cloth for patch in dressed.patches if patch.part == part]
    assert drawn == [str(first.pk), str(second.pk)] * 2


def test_part_without_cloth_is_hatched_in_the_grey_it_wants_and_has_its_letter(
    owner: User,
) -> None:
    project = b.project(owner)
    b.chosen(project, "background", "White", 100.0)
    dressed = Dressed.of(b.drawn(project, columns="1", rows="1", border_1=""))
    corner = pixels(png_of(dressed, "grey", 400))[:200, :200]
    # A feature is usually dark: its letter and its outline are light.
    assert np.median(corner) < 90
    assert len(np.unique(corner)) > 2
    assert corner[80:120, 80:120].max() > 200 > corner[10:60, 20:60].max()
    assert corner[10:60, 0].min() > np.median(corner[10:60, 20:60])
    part = b.part(project, "feature")
    part.value_low = 8.0
    part.save()
    dressed = Dressed.of(b.drawn(project, columns="1", rows="1", border_1=""))
    corner = pixels(png_of(dressed, "grey", 400))[:200, :200]
    assert np.median(corner) > 200
    assert corner[80:120, 80:120].min() < 60 < corner[10:60, 20:60].min()
    assert outlook_of(dressed).forecast.without_cloth == pytest.approx(0.5)


def test_tried_fabric_is_drawn_and_told_but_not_chosen(owner: User) -> None:
    saved = black_and_white(owner)
    key = saved.drawn.tied.parts[0]
    grey = make_fabric(owner, "Mist", lab=(60.0, 0.0, 0.0))
    tried = Dressed.of(saved.drawn, {key: grey})
    outlook = outlook_of(tried, before=saved)
    # Y of L* 60 is 0.281, so the mean with white is 0.641: L* 84.0 after 76.1.
    assert outlook.change.startswith("The quilt becomes 0.8 lighter")
    assert [part.is_tried for part in outlook.parts] == [True, False]
    assert digest_of(tried, "colour", 100) != digest_of(saved, "colour", 100)
    assert Fabric.objects.get(name="Mist").parts.count() == 0


def test_picture_is_drawn_once_and_kept(
    owner: User, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dressed = black_and_white(owner)
    first = png_of(dressed, "grey", 120)
    assert len(list(folder.iterdir())) == 1
    monkeypatch.setattr("projects.quilt.picture.render", None)
    assert png_of(dressed, "grey", 120) == first


def test_changed_colour_is_another_picture(owner: User) -> None:
    dressed = black_and_white(owner)
    before = digest_of(dressed, "colour", 100)
    Fabric.objects.filter(name="Black").update(far_l=20.0)
    changed = Dressed.of(b.drawn(dressed.drawn.project, border_1=""))
    assert digest_of(changed, "colour", 100) != before


def test_oldest_pictures_make_room(
    owner: User, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("projects.planning.cloth.kept._MOST_KEPT", 2000)
    dressed = black_and_white(owner)
    for side in range(20, 60):
        last = png_of(dressed, "colour", side)
    kept = [path.read_bytes() for path in folder.iterdir()]
    assert last in kept
    assert len(kept) > 1
    assert sum(len(data) for data in kept) <= 2000


def test_without_room_the_picture_is_still_shown(owner: User, folder: Path) -> None:
    folder.write_text("a file where the folder should be")
    assert pixels(png_of(black_and_white(owner), "colour", 40)).shape == (40, 30, 3)


def test_seen_from_afar_the_squares_run_together(owner: User) -> None:
    dressed = black_and_white(owner)
    contrasts = [float(pixels(png_of(dressed, look, 240))[..., 1].std()) for look in LOOKS]
    assert contrasts[3] < contrasts[2] < contrasts[0]


def test_svg_has_letters_and_the_fabrics_colours(owner: User) -> None:
    drawing = svg_of(black_and_white(owner), grey=False, title="Steps & <paths>")
    assert "Steps &amp; &lt;paths&gt;" in drawing
    assert 'fill="#000000"' in drawing
    assert ">A</text>" in drawing
