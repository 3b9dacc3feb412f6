"""The demo's story holds: every size can be read, and every project turns out as it is told."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.exceptions import ImproperlyConfigured
from django.db.models import Sum
from django.test import TestCase

from projects.demo.load import load_demo, load_fabrics, load_places
from projects.demo.plans import load_projects
from projects.demo.scenario import PROJECTS, STORY_DAY
from projects.demo.shelves import OWNED
from projects.demo.trip import sample_photos
from projects.models import Cut, Part, Project, Promise
from projects.quilt.agreement import agreement_of
from projects.quilt.drawing import drawn_of
from stash.colour.picture.photo import PhotoError, decode_photo
from stash.models import Movement, Photo, Piece
from stash.models.movement import Kind
from stash.models.piece import Form
from tests.builders import make_owner
from tests.demo.catalogue import BY_NAME, catalogue_all


def quiet(_: str) -> None:
    """Nobody looks at the progress."""


def test_every_recipe_lies_somewhere_once() -> None:
    assert sorted(item.recipe for item in OWNED) == sorted(BY_NAME)


def test_nothing_happens_after_the_story_stands_still() -> None:
    days = [bought.on for item in OWNED for bought in item.pieces]
    days += [event.on for item in OWNED for bought in item.pieces for event in bought.events]
    days += [project.started for project in PROJECTS]
    assert max(days) <= STORY_DAY


def test_histories_run_forwards() -> None:
    for item in OWNED:
        for bought in item.pieces:
            days = [bought.on, *(event.on for event in bought.events)]
            assert days == sorted(days), item.recipe


class TestProjects(TestCase):
    """The projects, with only the fabrics that they use, planned once for all that is asked."""

    @classmethod
    def setUpTestData(cls) -> None:
        used = {name for plan in PROJECTS for part in plan.parts for name in part.fabrics}
        catalogue_all(item for item in OWNED if item.recipe in used)
        load_projects(User.objects.get(), quiet)

    def test_every_project_turns_out_as_it_is_told(self) -> None:
        for plan in PROJECTS:
            project = Project.objects.get(name=plan.name)
            for planned in plan.parts:
                part = Part.objects.get(project=project, role=planned.role, number=planned.number)
                if planned.not_needed or planned.cut_already:
                    assert not hasattr(part, "coverage")
                else:
                    assert part.coverage.verdict == planned.expected, f"{plan.name}: {part.name}"

    def test_first_frost_lacks_six_squares_of_background(self) -> None:
        """floor(41 / 4) x floor((39 1/4 - 1) / 4) = 10 x 9 = 90 of 96, by hand."""
        part = Part.objects.get(project__name="First Frost", role="background")
        (piece,) = Piece.objects.filter(fabric__parts=part)
        (cut,) = part.cuts.all()
        usable = piece.length - part.project.squaring_up
        assert (piece.width // cut.length) * (usable // cut.length) == cut.count - 6
        assert piece.width * usable > cut.count * cut.length**2
        assert part.coverage.verdict == "short"

    def test_two_fat_quarters_have_the_area_but_not_the_shape(self) -> None:
        """18 x 21 twice is 756 sq in, 16 squares of 6 1/2 are 676, 12 fit (trade.md, V-marked)."""
        part = Part.objects.get(project__name="Bakehouse Window", role="feature")
        quarters = Piece.objects.filter(fabric__parts=part, form=Form.FAT_QUARTER)
        (cut,) = part.cuts.all()
        area = sum(piece.width * piece.length for piece in quarters)
        fit = sum((p.width // cut.length) * (p.length // cut.length) for p in quarters)
        assert area > cut.count * cut.length**2
        assert fit == 12 < cut.count
        assert part.coverage.verdict == "short"

    def test_houses_stand_upright_in_the_plan(self) -> None:
        part = Part.objects.get(project__name="Village Walk", role="feature")
        placements = [
            placement for plan in part.coverage.answer["plans"] for placement in plan["placements"]
        ]
        assert len(placements) == 18
        assert not any(placement["turned"] for placement in placements)

    def test_plum_lane_is_half_cut(self) -> None:
        project = Project.objects.get(name="Plum Lane")
        dark, light = (
            Cut.objects.get(part__project=project, part__title=f"{which} squares")
            for which in ("Dark", "Light")
        )
        assert project.status == "cutting"
        assert (dark.done, light.done) == (40, 0)
        assert Movement.objects.filter(piece__fabric__name="Plum Thicket", kind=Kind.CUT).exists()

    def test_drawings_agree_with_the_cut_lists(self) -> None:
        plans = [plan for plan in PROJECTS if plan.drawing is not None]
        assert len(plans) == 2
        for project in (Project.objects.get(name=plan.name) for plan in plans):
            found = drawn_of(project)
            assert found is not None
            assert agreement_of(found, "in").is_whole, project.name

    def test_promised_cloth_is_set_aside(self) -> None:
        promised = {
            promise.piece.fabric.name for promise in Promise.objects.select_related("piece__fabric")
        }
        assert {"Chalk", "Lavender Drawer"} <= promised


@pytest.mark.django_db
def test_ledger_sums_to_the_shelf_after_every_kind_of_movement() -> None:
    catalogue_all(OWNED)
    sums = Piece.objects.annotate(
        across=Sum("movements__width_delta"),
        along=Sum("movements__length_delta"),
        number=Sum("movements__count_delta"),
    )
    for piece in sums:
        ledger = (piece.across, piece.along, piece.number)
        assert ledger == (piece.width, piece.length, piece.count)
    assert set(Movement.objects.values_list("kind", flat=True)) == set(Kind.values)
    forms = set(sums.values_list("form", flat=True))
    assert {Form.YARDAGE, Form.FAT_QUARTER, Form.SQUARE, Form.STRIP, Form.SCRAP} <= forms
    assert any(piece.favourite for piece in sums)
    assert any(piece.keep_back for piece in sums)


@pytest.mark.django_db
def test_photos_give_loaded_fabrics_their_colour() -> None:
    owner = make_owner()
    places = load_places(owner)
    owned = [item for item in OWNED if item.recipe in ("Midnight Pond", "Snowed In")]
    load_fabrics(owner, owned, places, quiet)
    readings = {photo.fabric.name: photo.appearance for photo in Photo.objects.all()}
    assert readings["Midnight Pond"].value < 3
    assert readings["Snowed In"].value > 8.5


@pytest.mark.django_db
def test_demo_is_not_loaded_into_a_real_stash(settings: Any) -> None:
    settings.DEMO = False
    with pytest.raises(ImproperlyConfigured, match="own data folder"):
        load_demo(quiet)
    assert not User.objects.exists()


def test_shop_trip_has_twelve_photos_and_one_is_broken(tmp_path: Path) -> None:
    paths = sample_photos(tmp_path / "trip")
    broken = []
    for path in paths:
        try:
            picture = decode_photo(path.read_bytes())
        except PhotoError:
            broken.append(path.name)
        else:
            assert picture.width > picture.height
    assert len(paths) == 12
    assert broken == ["fabric-07-broken.jpg"]
    kinds = Counter(path.suffix for path in paths)
    assert kinds == {".jpg": 8, ".avif": 2, ".png": 1, ".webp": 1}
