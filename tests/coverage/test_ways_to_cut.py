"""Aims, centred motifs, one lot, and what the sheet says of itself."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.coverage.groups import groups_of
from projects.cut_sheet.facts import Spare, rests_of, spares_of
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.models import Aim, Coverage, Part
from projects.planning.cloth.repeats import repeat_sentences
from stash.catalogue.ledger import cut_from_piece, give_away, undo
from stash.models import Fabric
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def part_on(*lengths: str | int, **fabric: object) -> Part:
    part = b.part(b.project(b.person()))
    chosen = b.fabric(part.project.owner, **fabric)
    part.fabrics.add(chosen)
    for length in lengths:
        b.piece(chosen, 42, length)
    return part


def asked(part: Part) -> Coverage:
    part.project.refresh_from_db()
    ask_coverage(project=part.project)
    return Coverage.objects.get(part=part)


def sheet(part: Part) -> tuple[list[SheetPlan], list[Spare]]:
    groups = groups_of(part.project, part.project.parts.whole(), units="in")
    plans = sheet_plans(part.project, groups)
    return plans, spares_of(part.project, plans, groups)


def test_aim_of_the_project_chooses_among_plans_and_never_the_verdict() -> None:
    # 8 squares of 9 1/2: two strips, from one piece of 36 in or from two scraps of 10 in.
    part = part_on(36, 10, 10)
    b.cut(part, 8, "9 1/2", "9 1/2")
    opened = {}
    for aim in (Aim.FEW_PIECES, Aim.SCRAPS):
        part.project.first_aim = aim
        part.project.save()
        found = asked(part)
        assert found.verdict == "covered"
        opened[aim] = len(found.answer["plans"])
    assert opened == {Aim.FEW_PIECES: 1, Aim.SCRAPS: 2}


def test_aim_is_chosen_in_plain_words(client: Client) -> None:
    part = part_on(36)
    client.force_login(part.project.owner)
    address = f"/projects/{part.project_id}/change/"
    page = client.get(address).content.decode()
    assert "use up scraps and small pieces" in page
    assert 'value="3.0"' not in page
    form = {
        "name": "Lamplight",
        "squaring_up": "0",
        "shrink": "2.5",
        "reserve": "0",
        "assumed_width": "42",
        "increment": "1/8 yd",
        "seam": "1/4",
        "first_aim": "scraps",
    }
    client.post(address, form)
    part.project.refresh_from_db()
    assert part.project.first_aim == Aim.SCRAPS
    assert 'value="2.5"' in client.get(address).content.decode()


def test_centred_motif_takes_whole_repeats() -> None:
    # Squares of 9 1/2 in at a repeat of 6 in lie 2 repeats, 12 in, apart: with the first motif 5 in
    # from the corner three fit across 42 in, and 36 in hold three rows of them.
    part = part_on(36, repeat_across=b.inches(6), repeat_along=b.inches(6))
    part.fabrics.get().pieces.update(motif_across=b.inches(5), motif_along=b.inches(5))
    line = b.cut(part, 9, "9 1/2", "9 1/2")
    Part.objects.filter(pk=part.pk).update(centre_motif=True)
    assert asked(part).verdict == "covered"
    line.count = 10
    line.save()
    assert asked(part).verdict == "short"
    Part.objects.filter(pk=part.pk).update(centre_motif=False)
    assert asked(part).verdict == "covered"
    part.refresh_from_db()
    part.centre_motif = True
    [sentence] = repeat_sentences(part, "in")
    assert sentence.endswith("each 2 × 6 in = 12 in from the next across, 2 × 6 in = 12 in along.")


def test_motif_whose_place_nobody_measured_is_undecided_with_its_share(
    client: Client, owner: User
) -> None:
    part = b.part(b.project(owner), centre_motif=True)
    chosen = b.fabric(owner, repeat_across=b.inches(6), repeat_along=b.inches(6))
    part.fabrics.add(chosen)
    piece = b.piece(chosen, 42, 36, width_measured=True, length_measured=True)
    line = b.cut(part, 9, "9 1/2", "9 1/2")
    found = asked(part)
    assert found.verdict == "undecided"
    page = client.get(part.get_absolute_url()).content.decode()
    assert "of all ways in which it may lie, 41 % are enough" in page
    assert "Measure where the first motif lies" in page
    # Four rows at the worst: three repeats of 6 in between them and 9 1/2 in, and one to spare.
    assert found.answer["buy"]["is_least"]
    client.post(f"/pieces/{piece.pk}/keep/", {"motif_across": "5", "motif_along": "5"})
    assert asked(part).verdict == "covered"
    sheet = client.get(f"{part.project.get_absolute_url()}cut-sheet/").content.decode()
    assert "strip 1 at 1/4, its cuts at 1/4, 12 1/4, 24 1/4" in sheet.replace("\xa0", " ")
    client.post(f"/pieces/{piece.pk}/keep/", {"motif_across": "5", "motif_along": "2"})
    assert asked(part).verdict == "short"
    line.count = 6
    line.save()
    client.post(f"/pieces/{piece.pk}/keep/", {})
    assert asked(part).verdict == "covered"
    sheet = client.get(f"{part.project.get_absolute_url()}cut-sheet/").content.decode()
    assert "move the whole plan towards the corner until one does" in sheet


def test_motif_moves_with_what_is_cut_off_before_it() -> None:
    part = part_on(36, repeat_across=b.inches(6), repeat_along=b.inches(6))
    piece = part.fabrics.get().pieces.get()
    type(piece).objects.filter(pk=piece.pk).update(motif_across=0, motif_along=b.inches(5))
    piece.refresh_from_db()
    act = uuid4()
    cut_from_piece(piece=piece, act=act, length=b.inches(10))
    piece.refresh_from_db()
    assert piece.motif_along == b.inches(1)  # 10 - 5 = 5 in of 6 are gone
    undo(owner=piece.owner, undone_act=act, act=uuid4())
    piece.refresh_from_db()
    assert piece.motif_along == b.inches(5)
    give_away(piece=piece, act=uuid4(), length=b.inches(3))
    piece.refresh_from_db()
    assert piece.motif_along is None


def test_motif_without_a_known_repeat_is_never_called_covered() -> None:
    part = part_on(36)
    b.cut(part, 4, "9 1/2", "9 1/2")
    Part.objects.filter(pk=part.pk).update(centre_motif=True)
    found = asked(part)
    assert found.verdict == "undecided"
    assert "repeat of Ink dots is not known" in found.answer["sentence"]
    Fabric.objects.update(print_scale="solid")
    assert asked(part).verdict == "covered"


def test_only_the_part_that_centres_takes_whole_repeats() -> None:
    # 24 1/2 in: 15 1/2 in for two centred squares of 9 1/2, which may lie anywhere in a repeat
    # more, and 9 in for three strips of 3 in.
    part = part_on("24 1/2", repeat_across=b.inches(6), repeat_along=b.inches(6))
    b.cut(part, 2, "9 1/2", "9 1/2")
    Part.objects.filter(pk=part.pk).update(centre_motif=True)
    other = b.part(part.project, "binding")
    other.fabrics.set(part.fabrics.all())
    line = b.cut(other, 3, None, 3)
    ask_coverage(project=part.project)
    assert {coverage.verdict for coverage in Coverage.objects.all()} == {"covered"}
    line.count = 4
    line.save()
    ask_coverage(project=part.project)
    assert "covered" not in {coverage.verdict for coverage in Coverage.objects.filter(part=other)}


def test_part_from_one_lot_is_not_pieced_from_two() -> None:
    part = part_on()
    for lot in ("A", "B"):
        b.piece(part.fabrics.get(), 42, 10, lot=lot)
    b.cut(part, 8, "9 1/2", "9 1/2")
    assert asked(part).verdict == "covered"
    Part.objects.filter(pk=part.pk).update(one_lot=True)
    found = asked(part)
    assert found.verdict == "short"
    assert found.answer["sentence"].startswith("No single lot holds it")
    b.piece(part.fabrics.get(), 42, 10, lot="B")
    assert asked(part).verdict == "covered"


def test_two_parts_of_one_cloth_keep_each_to_its_lot() -> None:
    owner = b.person()
    project = b.project(owner)
    chosen = b.fabric(owner)
    for lot in ("A", "B"):
        b.piece(chosen, 42, 10, lot=lot)
    for role in ("background", "feature"):
        part = b.part(project, role, one_lot=True)
        part.fabrics.add(chosen)
        b.cut(part, 4, "9 1/2", "9 1/2")
    ask_coverage(project=project)
    assert {coverage.verdict for coverage in Coverage.objects.all()} == {"covered"}


def test_what_stays_of_a_piece_is_what_its_strips_leave() -> None:
    part = part_on(36)
    b.cut(part, 8, "9 1/2", "9 1/2")
    asked(part)
    plans, _ = sheet(part)
    assert rests_of(plans) == {plans[0].key: (b.inches(42), b.inches(17))}


@pytest.mark.parametrize(("length", "may"), [("28 1/2", True), ("28 1/4", False)])
def test_one_strip_may_spoil_where_the_rest_holds_another(length: str, may: bool) -> None:
    part = part_on(length)
    b.cut(part, 8, "9 1/2", "9 1/2")
    asked(part)
    _, [spare] = sheet(part)
    assert (spare.size, spare.may_spoil) == (b.inches("9 1/2"), may)


def test_sheet_says_what_may_spoil_and_what_is_left(client: Client) -> None:
    part = part_on(36)
    b.cut(part, 8, "9 1/2", "9 1/2")
    asked(part)
    client.force_login(part.project.owner)
    page = client.get(f"/projects/{part.project_id}/cut-sheet/").content.decode()
    assert "may spoil." in page
    assert "stays of the piece." in page


def test_sliver_is_not_told_as_what_is_left() -> None:
    part = part_on("10 1/4")
    b.cut(part, 4, "10 1/4", "10 1/4")
    assert asked(part).verdict == "covered"
    ((plan,), _) = sheet(part)
    assert plan.plan.remnants
    assert rests_of([plan]) == {plan.key: None}
    assert plan.left() == []


def test_cut_wider_than_the_cloth_to_buy_is_said() -> None:
    part = part_on(10)
    part.project.shrink = 3
    part.project.save()
    b.cut(part, 8, 42, "2 1/2", turn=False)
    answer = asked(part).answer
    assert answer["buy"] is None
    assert answer["too_wide"] is not None


def test_finer_plan_says_what_easier_cutting_would_take() -> None:
    # A strip of 11 in holds three of 9 x 11 and one of 10 x 8, a strip of 8 in the other four:
    # 19 in. Of four squares of 3 in one finds room beside them when each strip is cut across once,
    # so strips first take 3 in more; stacked, all four lie in the 5 x 11 in that remain.
    part = part_on(19)
    for count, width, length in ((4, 3, 3), (5, 10, 8), (3, 9, 11)):
        b.cut(part, count, width, length, turn=False)
    found = asked(part)
    assert found.verdict == "covered"
    assert "It saves 3 in of length against easier cutting" in found.answer["sentence"]


def test_sheet_begins_with_lengthwise_borders_and_ends_with_binding() -> None:
    # Order of work: unbroken lengthwise borders, then the largest cuts to the smallest, binding
    # last (common practice).
    project = b.project(b.person())
    wanted = (
        ("accent", "2 1/2", "2 1/2", 20, 18),
        ("binding", None, "2 1/2", 6, 30),
        ("background", "9 1/2", "9 1/2", 8, 20),
        ("border", 4, 50, 4, 52),
    )
    for role, width, length, count, cloth in wanted:
        part = b.part(project, role)
        part.fabrics.add(b.fabric(project.owner, role))
        b.piece(part.fabrics.get(), 42, cloth)
        b.cut(part, count, width, length, turn=False)
    ask_coverage(project=project)
    plans = sheet_plans(project, groups_of(project, project.parts.whole(), units="in"))
    assert [plan.parts[0].role for plan in plans] == ["border", "background", "accent", "binding"]


def test_binding_on_shared_cloth_is_cut_after_the_smaller_strips() -> None:
    project = b.project(b.person())
    chosen = b.fabric(project.owner)
    b.piece(chosen, 42, 40)
    parts = [b.part(project, role) for role in ("binding", "background")]
    for part in parts:
        part.fabrics.add(chosen)
    b.cut(parts[0], 4, None, "2 1/2")
    b.cut(parts[1], 12, "3 1/2", "3 1/2")
    b.cut(parts[1], 21, 2, 2)
    ask_coverage(project=project)
    [plan] = sheet_plans(project, groups_of(project, project.parts.whole(), units="in"))
    sizes = [strip.size for strip in plan.plan.strips]
    assert sizes == [b.inches("3 1/2"), b.inches(2)] + [b.inches("2 1/2")] * 4
    assert plan.plan.used == sum(sizes)


def test_sheet_gives_the_ruler_setting_of_each_sub_cut(client: Client) -> None:
    # Each strip of 9 1/2 in holds four squares of 9 1/2 and one of 4 in, which is trimmed.
    part = part_on(19)
    b.cut(part, 8, "9 1/2", "9 1/2")
    b.cut(part, 2, 4, 4)
    asked(part)
    client.force_login(part.project.owner)
    page = client.get(f"/projects/{part.project_id}/cut-sheet/").content.decode()
    page = page.replace("\N{NO-BREAK SPACE}", " ")
    assert (
        'From each strip: ruler at <strong>9 1/2 in</strong>. Cut 4 × <strong class="letter">A'
        in page
    )
    # What is trimmed off it, 4 x 5 1/2 in, is worth keeping.
    assert (
        'ruler at <strong>4 in</strong>. Cut 1 × <strong class="letter">B</strong>, trimmed to 4 in'
        " (4 × 4 in); over of each: 4 × 5 1/2 in, to keep." in page
    )


def test_one_row_of_short_cuts_is_a_strip_across_and_long_borders_are_cut_lengthwise() -> None:
    for width, length, first in (("9 1/2", "9 1/2", "across"), (4, 30, "along")):
        part = part_on(36)
        b.cut(part, 4, width, length, turn=False)
        [plan] = asked(part).answer["plans"]
        assert (plan["first"], plan["used"]) == (first, b.inches(length))


def test_row_as_long_as_its_piece_is_not_cut_off_first() -> None:
    part = part_on("9 1/2")
    b.cut(part, 4, "9 1/2", "9 1/2")
    [plan] = asked(part).answer["plans"]
    assert (plan["first"], len(plan["strips"])) == ("along", 4)
