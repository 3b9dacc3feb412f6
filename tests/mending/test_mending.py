"""What would mend a part, and what if: computed on the cloth, and never saved.

Fat-quarter trap: 16 squares of 6 1/2 in have 676 sq in, two fat quarters of 18 x 21 in 756, and
yet each holds only 2 x 3 squares (arithmetic; trade handbook, sections 2 and 3).
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from projects.coverage.answering import ask_coverage
from projects.coverage.status import standings
from projects.mending.acts import (
    ChangeRefusedError,
    make_change,
    take_change_back,
)
from projects.mending.changes import Alike
from projects.mending.ways_out import Mending, Option, mend_part
from projects.mending.what_if import Supposed, WhatIf, ask_what_if
from projects.models import Coverage, Cut, Part, Project, Promise
from projects.needs.finishing.backing import backing
from projects.planning.cut_lists.filling import fill
from projects.planning.cut_lists.lines import add_needed
from projects.planning.promises.acts import promise_length
from projects.quilt.cut_list import write_cut_list
from projects.quilt.drawing import Drawn, save_drawing
from projects.quilt_design.layouts.layout import Layout, Methods, known_block
from stash.lengths import EIGHTH_YARD
from stash.models import Fabric, Movement, Piece
from tests.planning import builders as b

pytestmark = pytest.mark.django_db

RED = {"far_l": 40.0, "far_a": 50.0, "far_b": 25.0, "value": 4.0}


def trap(**project: Any) -> Part:
    part = b.part(b.project(b.person(), **project), "feature")
    chosen = b.fabric(part.project.owner, "Red dots", **RED)
    part.fabrics.add(chosen)
    b.piece(chosen, 21, 18, form="fat quarter", count=2)
    b.cut(part, 16, "6 1/2", "6 1/2")
    return part


def mended(part: Part, alike: Alike | None = None) -> Mending:
    found = mend_part(part=part, units="in", alike=alike or Alike())
    assert found is not None
    return found


def of_kind(found: Mending, kind: str) -> list[Option]:
    return [option for option in found.options if option.kind == kind]


def substitutes(found: Mending) -> list[Option]:
    return of_kind(found, "alone") + of_kind(found, "alike")


def supposed(part: Part, **changes: Any) -> WhatIf:
    found = ask_what_if(part=part, units="in", supposed=Supposed(**changes))
    assert found is not None
    return found


def everything_saved() -> list[Any]:
    models = (Project, Part, Cut, Promise, Coverage, Fabric, Piece, Movement)
    return [list(model._default_manager.order_by("pk").values()) for model in models]


def test_fat_quarter_trap_is_mended_by_a_quarter_yard_or_by_a_fabric_alike() -> None:
    part = trap()
    owner = part.project.owner
    alike = b.fabric(owner, "Red checks", **{**RED, "far_l": 42.0, "value": 4.2})
    b.piece(alike, 42, 9)
    found = mended(part)
    assert found.verdict == "short"
    [buy] = of_kind(found, "buy")
    assert buy.buy is not None
    # Four squares are missing: one strip of 6 1/2 in, and the shop cuts 1/8 yd = 4 1/2 in.
    assert buy.buy.rounded == 2 * EIGHTH_YARD
    [substitute] = substitutes(found)
    assert substitute.fabric == alike
    assert substitute.covers
    assert "as well" in substitute.sentence


def test_fabric_that_differs_by_more_than_stated_is_not_offered() -> None:
    part = trap()
    other = b.fabric(part.project.owner, "Navy", far_l=20.0, far_a=5.0, far_b=-30.0, value=2.0)
    b.piece(other, 42, 36)
    assert substitutes(mended(part)) == []
    far = Alike(difference=100, value_step=1)
    assert substitutes(mended(part, far)) == []
    assert substitutes(mended(part, Alike(difference=100, value_step=3)))


def test_strangers_cloth_is_never_offered() -> None:
    part = trap()
    b.piece(b.fabric(b.person("stranger"), "Red checks", **RED), 42, 36)
    assert substitutes(mended(part)) == []


def test_cloth_that_another_part_needs_is_not_taken_from_it() -> None:
    part = trap()
    other = b.part(part.project, "border")
    alike = b.fabric(part.project.owner, "Red checks", **RED)
    b.piece(alike, 42, 7)
    other.fabrics.add(alike)
    b.cut(other, 6, "6 1/2", "6 1/2")
    assert substitutes(mended(part)) == []


def test_what_is_kept_back_is_offered_and_says_what_remains_short() -> None:
    part = b.part(b.project(b.person()))
    chosen = b.fabric(part.project.owner)
    part.fabrics.add(chosen)
    held = b.piece(chosen, 42, 20)
    Piece.objects.filter(pk=held.pk).update(keep_back=b.inches(10))
    line = b.cut(part, 8, "9 1/2", "9 1/2")
    [option] = of_kind(mended(part), "keep-back")
    assert option.covers
    assert "10 in of Ink dots" in option.sentence
    Cut.objects.filter(pk=line.pk).update(count=12)
    [option] = of_kind(mended(part), "keep-back")
    assert option.verdict == "short"
    assert [shortfall.missing for shortfall in option.remains] == [4]


def test_promise_to_another_project_is_named() -> None:
    part = trap()
    other = b.part(b.project(part.project.owner, name="Harbour"), "binding")
    yard = b.piece(part.fabrics.get(), 42, 7)
    promise_length(part=other, piece=yard, length=b.inches(7))
    [option] = of_kind(mended(part), "promise")
    assert option.covers
    assert option.sentence == "Use the 7 in of Red dots promised to Binding, Harbour."


def beside_another_plan() -> Part:
    """Eight squares of 9 1/2 in want 19 in, and another project plans 19 of the 30 in."""
    cloth = b.fabric(b.person())
    b.piece(cloth, 42, 30, width_measured=True, length_measured=True)
    made = []
    for name in ("Pond Path", "Evening Ferry"):
        part = b.part(b.project(cloth.owner, name=name))
        part.fabrics.add(cloth)
        b.cut(part, 8, "9 1/2", "9 1/2")
        ask_coverage(project=part.project)
        made.append(part)
    return made[1]


def test_plans_may_compete_where_another_stands_in_the_way() -> None:
    part = beside_another_plan()
    options = mended(part).options
    [option] = [option for option in options if option.kind == "compete"]
    assert "Pond Path wants 19 in of Ink dots" in option.sentence
    assert (option.covers, option.word_then) == (
        True,
        "then covered unless Pond Path is cut first",
    )
    done = make_change(part=part, offer=option.offer)
    project = Project.objects.get(pk=part.project_id)
    assert project.competes
    ask_coverage(project=project)
    rows, _ = standings(project, list(project.parts.whole()), units="in")
    assert rows[0].word == "covered unless Pond Path is cut first"
    take_change_back(done=done)
    assert not Project.objects.get(pk=part.project_id).competes


def test_plans_that_compete_already_or_come_first_are_not_let_compete_again() -> None:
    part = beside_another_plan()
    part.cuts.update(count=13)
    [option] = of_kind(mended(part), "compete")
    assert (option.covers, sum(lack.missing for lack in option.remains)) == (False, 1)
    Project.objects.filter(pk=part.project_id).update(competes=True)
    assert of_kind(mended(Part.objects.get(pk=part.pk)), "compete") == []
    Project.objects.filter(pk=part.project_id).update(competes=False, rank=1)
    assert of_kind(mended(Part.objects.get(pk=part.pk)), "compete") == []


def test_what_if_the_plans_competed() -> None:
    part = beside_another_plan()
    assert supposed(part).finding.verdict == "short"
    found = supposed(part, competes=True)
    assert found.finding.verdict == "covered"
    assert found.assumed == ("plans that compete: whichever is cut first has the cloth",)


def test_turning_squaring_up_and_reserve_are_offered_where_they_help() -> None:
    # 2 1/2 x 6 1/2 on 42 x 36: 80 one way, 84 turned.
    part = b.part(b.project(b.person()))
    part.fabrics.add(b.fabric(part.project.owner, direction="one-way"))
    b.piece(part.fabrics.get(), 42, 36)
    b.cut(part, 84, "2 1/2", "6 1/2")
    [option] = of_kind(mended(part), "turn")
    assert option.covers
    assert "sideways" in option.cost

    tight = b.part(b.project(b.person(), squaring_up=b.inches(1), reserve=Decimal("10.0")))
    tight.fabrics.add(b.fabric(tight.project.owner, "Plain"))
    b.piece(tight.fabrics.get(), 42, "7 1/2")
    b.cut(tight, 6, "6 1/2", "6 1/2")
    kinds = {option.kind for option in mended(tight).options if option.covers}
    assert "reserve" in kinds


def test_border_may_be_joined_only_where_the_part_allows_it() -> None:
    # 60 1/2 in joined once: halves of (60 1/2 + 2 x 1/4) / 2 = 30 1/2 in (arithmetic).
    part = b.part(b.project(b.person()), "border")
    part.fabrics.add(b.fabric(part.project.owner))
    b.piece(part.fabrics.get(), 42, 31)
    b.cut(part, 2, "3 1/2", "60 1/2", turn=False)
    [option] = of_kind(mended(part), "join")
    assert option.covers
    Part.objects.filter(pk=part.pk).update(joins_allowed=False)
    part.refresh_from_db()
    assert of_kind(mended(part), "join") == []


def test_small_squares_are_offered_where_the_large_ones_do_not_fit() -> None:
    # Finished 2 in: 16 units are 2 squares of 5 3/4 in, or 8 of 2 7/8 in, which a strip of
    # 2 7/8 x 23 in holds. Common practice: F + 7/8 and 2F + 1 3/4 (trade handbook).
    part = b.part(b.project(b.person()))
    part.fabrics.add(b.fabric(part.project.owner))
    b.piece(part.fabrics.get(), 23, "2 7/8", form="strip")
    technique = "half-square triangles, eight at a time"
    line = b.cut(part, 2, "5 3/4", "5 3/4", technique=technique, finished_width=b.inches(2))
    [option] = of_kind(mended(part), "technique")
    assert option.covers
    assert "8 squares of 2 7/8 in" in option.sentence
    Cut.objects.filter(pk=line.pk).update(count=3)
    assert of_kind(mended(part), "technique") == []


def test_backing_is_pieced_the_other_way_where_that_fits() -> None:
    # 60 x 80 in with 4 in of overage, 42 in wide: two panels of 88 in lengthwise, three of 68 in
    # crosswise (176 and 204 in: arithmetic). Three pieces of 70 in hold only the crosswise ones.
    project = b.project(b.person(), finished_width=b.inches(60), finished_length=b.inches(80))
    part = b.part(project, "backing", joins_allowed=False)
    part.fabrics.add(b.fabric(project.owner))
    need = backing(b.inches(60), b.inches(80), usable_width=b.inches(42))
    add_needed(part=part, cuts=need.cuts)
    for _ in range(3):
        b.piece(part.fabrics.get(), 42, 70)
    [option] = of_kind(mended(part), "seams")
    assert option.covers
    assert "3 × 68 in, crosswise seams" in option.sentence


def filled_border(length: str, **project: Any) -> Part:
    """A border 6 in wide round 48 x 48 in, from strips across 42 in."""
    sizes = {"finished_width": b.inches(60), "finished_length": b.inches(60)}
    part = b.part(b.project(b.person(), **{**sizes, **project}), "border")
    part.fabrics.add(b.fabric(part.project.owner))
    b.piece(part.fabrics.get(), 42, length)
    fill(part=part, units="in", border=b.inches(6), style="butted", grain="crosswise", top=None)
    return part


def test_border_is_made_as_little_narrower_as_does() -> None:
    # Six strips across (216 in and joins of 42 in), of border + 1/2 in: 6 x 6 1/2 = 39 in; in
    # 36 in six strips of 6 in, a border of 5 1/2 in, and the quilt is 59 in (arithmetic).
    part = filled_border("36")
    assert [cut.count for cut in part.cuts.all()] == [6]
    [option] = of_kind(mended(part), "border")
    assert option.covers
    assert option.sentence == "Make the border 5 1/2 in wide, finished."
    assert "59 × 59 in" in option.cost
    make_change(part=part, offer=option.offer)
    project = Project.objects.get()
    assert (project.finished_width, project.finished_length) == (b.inches(59), b.inches(59))
    assert part.cuts.get().length == b.inches(6)
    ask_coverage(project=project)
    assert Coverage.objects.get().verdict == "covered"


def test_border_changed_by_hand_is_not_made_narrower() -> None:
    part = filled_border("36")
    part.cuts.update(count=7)
    assert of_kind(mended(part), "border") == []


@pytest.mark.parametrize("kind", ["keep-back", "turn", "squaring", "reserve", "lots", "join"])
def test_change_is_made_with_one_press_and_taken_back(kind: str) -> None:
    part = mendable(kind)
    option = next(candidate for candidate in of_kind(mended(part), kind) if candidate.covers)
    before = everything_saved()
    done = make_change(part=part, offer=option.offer)
    ask_coverage(project=Project.objects.get())
    assert Coverage.objects.get().verdict == "covered"
    Coverage.objects.all().delete()
    with pytest.raises(ChangeRefusedError, match="look again"):
        make_change(part=part, offer=option.offer)
    take_change_back(done=done)
    assert unstamped(everything_saved()) == unstamped(before)
    with pytest.raises(ChangeRefusedError, match="undone before"):
        take_change_back(done=done)


def test_change_is_not_taken_back_where_the_cloth_is_promised_by_now() -> None:
    part = mendable("keep-back")
    option = next(candidate for candidate in of_kind(mended(part), "keep-back") if candidate.covers)
    done = make_change(part=part, offer=option.offer)
    held = Piece.objects.get()
    promise_length(part=part, piece=held, length=b.inches(19))
    with pytest.raises(ChangeRefusedError, match="set it right by hand"):
        take_change_back(done=done)
    held.refresh_from_db()
    assert (held.keep_back, held.promised_length) == (0, b.inches(19))


def unstamped(tables: list[Any]) -> list[Any]:
    stamps = {"updated_at", "revision"}
    return [[{k: v for k, v in row.items() if k not in stamps} for row in rows] for rows in tables]


def mendable(kind: str) -> Part:
    """A part that this kind of change covers."""
    project: dict[str, Any] = {}
    if kind == "squaring":
        project = {"squaring_up": b.inches(1)}
    elif kind == "reserve":
        project = {"reserve": Decimal("10.0")}
    part = b.part(b.project(b.person(), **project), "border" if kind == "join" else "background")
    chosen = b.fabric(part.project.owner, direction="one-way" if kind == "turn" else "none")
    part.fabrics.add(chosen)
    if kind == "keep-back":
        b.piece(chosen, 42, 20, keep_back=b.inches(10))
        b.cut(part, 8, "9 1/2", "9 1/2")
    elif kind == "turn":
        b.piece(chosen, 42, 36)
        b.cut(part, 84, "2 1/2", "6 1/2", turn=False)
    elif kind == "lots":
        Part.objects.filter(pk=part.pk).update(one_lot=True)
        part.refresh_from_db()
        for lot in ("A 12", "B 7"):
            b.piece(chosen, 42, 10, lot=lot)
        b.cut(part, 8, "9 1/2", "9 1/2")
    elif kind == "join":
        b.piece(chosen, 42, 31)
        b.cut(part, 2, "3 1/2", "60 1/2", turn=False)
    else:
        b.piece(chosen, 42, "6 7/8" if kind == "reserve" else "6 1/2")
        b.cut(part, 6, "6 1/2", "6 1/2")
    return part


def test_lots_are_named_where_one_alone_does_not_do() -> None:
    part = mendable("lots")
    found = mended(part)
    assert found.verdict == "short"
    [option] = of_kind(found, "lots")
    assert "Ink dots, lot A 12; Ink dots, lot B 7" in option.sentence
    Piece.objects.filter(lot="B 7").update(length=b.inches(20))
    assert mended(part).verdict == "covered"


def test_one_row_fewer_is_offered_where_the_quilt_is_drawn() -> None:
    # Rows of four squares of 9 in finished, cut 9 1/2: a strip of 9 1/2 in each. Three rows
    # need 28 1/2 in, two need 19 in (arithmetic).
    project = b.project(b.person())
    part = b.part(project, "feature")
    part.fabrics.add(b.fabric(project.owner))
    b.piece(part.fabrics.get(), 42, 20)
    layout = Layout(columns=4, rows=3, block=b.inches(9), blocks=(known_block("plain square"),))
    drawn = Drawn(project=project, layout=layout, methods=Methods(), parts={"squares": part})
    assert drawn.roles == ("squares",)
    save_drawing(drawn=drawn)
    write_cut_list(project=Project.objects.get(), units="in")
    part.refresh_from_db()
    [option] = of_kind(mended(Part.objects.get(pk=part.pk)), "row")
    assert option.covers
    assert option.sentence == "Leave out one row: 4 × 2 blocks."
    assert "36 × 18 in" in option.cost


def test_covered_part_needs_no_mending() -> None:
    part = trap()
    b.piece(part.fabrics.get(), 42, 9)
    assert mended(part) == Mending(verdict="covered")


def test_margin_says_what_is_left_and_whether_a_spoiled_strip_is_covered() -> None:
    # 12 squares of 6 1/2 are two strips of 6 1/2 in: 13 of 16 1/2 in.
    part = b.part(b.project(b.person()))
    part.fabrics.add(b.fabric(part.project.owner))
    piece = b.piece(part.fabrics.get(), 42, "16 1/2")
    b.cut(part, 12, "6 1/2", "6 1/2")
    margin = supposed(part).margin
    assert margin is not None
    assert [length for _, length in margin.left_over] == [b.inches("3 1/2")]
    assert margin.strip == b.inches("6 1/2")
    assert margin.with_strip == "short"
    assert supposed(part, spoiled=True).finding.verdict == "short"
    Piece.objects.filter(pk=piece.pk).update(length=b.inches("19 1/2"))
    assert supposed(part, spoiled=True).finding.verdict == "covered"


def test_two_inches_of_width_less_make_a_covered_part_short() -> None:
    # 42 in holds four squares of 10 1/2 in across, 40 in three.
    part = b.part(b.project(b.person()))
    part.fabrics.add(b.fabric(part.project.owner, prewashed=False))
    b.piece(part.fabrics.get(), 42, 21)
    b.cut(part, 8, "10 1/2", "10 1/2")
    assert supposed(part).finding.verdict == "covered"
    found = supposed(part, usable_width=b.inches(40))
    assert found.finding.verdict == "short"
    assert [shortfall.missing for shortfall in found.finding.lacking] == [2]
    assert supposed(part, shrink=Decimal(3)).finding.verdict == "short"
    assert supposed(part, reserve=Decimal(10)).finding.verdict == "short"


def test_asking_saves_nothing() -> None:
    part = trap()
    b.piece(b.fabric(part.project.owner, "Red checks", **RED), 42, 9)
    held = b.piece(part.fabrics.get(), 21, 9)
    Piece.objects.filter(pk=held.pk).update(keep_back=b.inches(2))
    ask_coverage(project=part.project)
    before = everything_saved()
    mended(part)
    supposed(part, usable_width=b.inches(40), shrink=Decimal(9), reserve=Decimal(9), spoiled=True)
    assert everything_saved() == before


def test_options_take_as_many_queries_for_many_fabrics_as_for_few(
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    part = trap()
    for number in range(12):
        alike = b.fabric(part.project.owner, f"Red {number}", **RED)
        b.piece(alike, 42, 9)
    with django_assert_max_num_queries(25):
        mended(part)


@pytest.fixture
def web(client: Client) -> Client:
    owner: User = b.person()
    client.force_login(owner)
    return client


def test_page_of_options_works_with_and_without_a_script(web: Client) -> None:
    part = trap()
    alike = b.fabric(part.project.owner, "Red checks", **RED)
    b.piece(alike, 42, 9)
    ask_coverage(project=part.project)
    address = f"{part.get_absolute_url()}mend/"
    assert address in web.get(part.get_absolute_url()).content.decode()
    page = web.get(address).content.decode()
    assert "<html" in page
    assert f"/fabrics/{alike.pk}/" in page
    assert "Buy 1/4 yd" in page
    assert "<html" not in web.get(address, headers={"HX-Request": "true"}).content.decode()
    web.post(f"{part.get_absolute_url()}fabrics/{alike.pk}/")
    ask_coverage(project=part.project)
    assert Coverage.objects.get(part=part).verdict == "covered"


def test_what_if_page_answers_and_refuses_in_a_sentence(web: Client) -> None:
    part = trap()
    address = f"{part.get_absolute_url()}what-if/"
    page = web.get(address, {"width": "40 in", "spoiled": "on"}).content.decode()
    assert "no cloth wider than 40 in, one strip spoiled" in page
    refused = web.get(address, {"width": "wide"})
    assert refused.status_code == 422
    assert "wide" in refused.content.decode()


def test_part_without_cuts_asks_for_no_cloth(web: Client) -> None:
    part = b.part(b.project(b.person()))
    for name in ("mend", "what-if"):
        page = web.get(f"{part.get_absolute_url()}{name}/").content.decode()
        assert "asks for no cloth" in page
