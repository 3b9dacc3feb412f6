"""Borders, binding, backing and batting follow the measured top, and go back when undone."""

from __future__ import annotations

import uuid

import pytest
from django.contrib.auth.models import User

from projects.models import Cut, CutKind, Part, Project
from projects.planning.cut_lists.runs import add_strips
from projects.sewing import acts
from projects.sewing.tops import true_size_of
from projects.sewing.true_size import Follower, TrueSize
from stash.catalogue import undoing
from stash.lengths import INCH
from tests.planning import builders as b
from tests.sewing.rows import border, drawn_project, inches, listed_project, measured

pytestmark = pytest.mark.django_db


def answer_of(project: Project) -> TrueSize:
    answer = true_size_of(Project.objects.get(pk=project.pk), "in")
    assert answer is not None
    return answer


def follower(answer: TrueSize, role: str) -> Follower:
    return next(item for item in answer.followers if item.part.role == role)


def ticked(answer: TrueSize) -> list[int]:
    return [item.part.pk for item in answer.followers if item.is_ticked]


def everything(project: Project) -> list[object]:
    """All that following may change, to be compared."""
    project.refresh_from_db()
    cuts = Cut.objects.filter(part__project=project).order_by("pk")
    parts = Part.objects.filter(project=project).order_by("pk")
    return [
        (project.finished_width, project.finished_length),
        [(part.pk, part.worked_out, part.filled_with, part.not_needed) for part in parts],
        [list(row) for row in cuts.values_list()],
    ]


def test_true_size_in_worked_arithmetic(owner: User) -> None:
    # Planned 60 x 72 inside a 5-in border (handbook: sides 72 1/2, ends 70 1/2, in all 286).
    # The top measures 59 1/2 x 71 1/2 between raw edges, so 59 x 71 inside its seams:
    # sides 71 + 1/2 = 71 1/2, ends 59 + 10 + 1/2 = 69 1/2, in all 282; finished 69 x 81.
    project = listed_project(owner)
    measured(project, "59 1/2", "71 1/2")
    answer = answer_of(project)
    need = answer.rounds[0].need
    assert (need.side, need.end, need.total) == (
        inches("71 1/2"), inches("69 1/2"), 282 * INCH,
    )  # fmt: skip
    assert answer.finished is not None
    assert (answer.finished.width, answer.finished.length) == (69 * INCH, 81 * INCH)
    assert not answer.is_followed
    acts.follow_top(project=project, mark=answer.mark, chosen=ticked(answer), units="in")
    project.refresh_from_db()
    assert (project.finished_width, project.finished_length) == (69 * INCH, 81 * INCH)
    lines = {part.role: list(part.cuts.all()) for part in project.parts.all()}
    assert lines["border"][0].run == 282 * INCH
    # Binding: 2 (69 + 81) + 10 = 310. Backing and batting: 77 x 89 with 4 in on each side.
    assert lines["binding"][0].run == 310 * INCH
    assert (lines["batting"][0].width, lines["batting"][0].length) == (77 * INCH, 89 * INCH)
    # Of 42 in two panels lie side by side: (77 + 1) / 2 = 39 wide and 89 long each.
    assert [(cut.count, cut.width, cut.length) for cut in lines["backing"]] == [
        (2, 39 * INCH, 89 * INCH)
    ]
    assert answer_of(project).is_followed


def test_following_is_undone_whole(owner: User) -> None:
    project = listed_project(owner)
    before = everything(project)
    measured(project, "59 1/2", "71 1/2")
    answer = answer_of(project)
    act = uuid.uuid4()
    from stash.acts import Form, answering

    with answering(Form(key=act)):
        acts.follow_top(project=project, mark=answer.mark, chosen=ticked(answer), units="in")
    assert everything(project) != before
    undoing.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    assert everything(project) == before


def test_undoing_is_refused_once_a_new_list_was_cut(owner: User) -> None:
    project = listed_project(owner)
    measured(project, "59 1/2", "71 1/2")
    answer = answer_of(project)
    act = uuid.uuid4()
    from stash.acts import Form, answering

    with answering(Form(key=act)):
        acts.follow_top(project=project, mark=answer.mark, chosen=ticked(answer), units="in")
    batting = Cut.objects.get(part__project=project, part__role="batting")
    Cut.objects.filter(pk=batting.pk).update(done=1)
    after = everything(project)
    with pytest.raises(undoing.UndoError, match="changed again since"):
        undoing.undo(owner=owner, undone_act=act, act=uuid.uuid4())
    assert everything(project) == after


def test_what_is_cut_stays_and_is_told(owner: User) -> None:
    # Lengthwise sides cut at 72 1/2 in; the true side of a top of 71 1/4 in is 71 1/4 in.
    project = listed_project(owner)
    border(project, grain="lengthwise")
    sides = Cut.objects.get(part__role="border", length=inches("72 1/2"))
    ends = Cut.objects.get(part__role="border", length=inches("70 1/2"))
    for cut in (sides, ends):
        Cut.objects.filter(pk=cut.pk).update(done=2)
    measured(project, "60 1/4", "71 1/4")
    found = follower(answer_of(project), "border")
    assert found.is_cut
    assert not found.is_changed
    assert not found.is_too_small
    assert "2 × 5 1/2 × 72 1/2" in found.why
    assert "5 1/2 × 71 1/4" in found.why
    assert "trim it" in found.why
    answer = answer_of(project)
    acts.follow_top(
        project=project,
        mark=answer.mark,
        chosen=[item.part.pk for item in answer.followers],
        units="in",
    )
    sides.refresh_from_db()
    assert (sides.length, sides.done) == (inches("72 1/2"), 2)


def test_what_is_cut_too_short_is_told_as_such(owner: User) -> None:
    project = listed_project(owner)
    border(project, grain="lengthwise")
    Cut.objects.filter(part__role="border").update(done=2)
    measured(project, "60 1/2", "73")
    found = follower(answer_of(project), "border")
    assert found.is_too_small
    assert "does not hold that" in found.why


def test_strips_of_a_run_that_are_cut_count_on(owner: User) -> None:
    project = listed_project(owner)
    run = Cut.objects.get(part__role="border")
    add_strips(run.pk, [42 * INCH, 42 * INCH])
    measured(project, "59 1/2", "71 1/2")
    answer = answer_of(project)
    acts.follow_top(project=project, mark=answer.mark, chosen=ticked(answer), units="in")
    now = Cut.objects.get(part__role="border")
    assert now.run == 282 * INCH
    assert now.run_strips == [42 * INCH, 42 * INCH]
    assert now.done == 2


def test_a_part_that_is_not_ticked_stays(owner: User) -> None:
    project = listed_project(owner)
    before = list(Cut.objects.filter(part__role="backing").values_list())
    measured(project, "59 1/2", "71 1/2")
    answer = answer_of(project)
    backing = follower(answer, "backing").part.pk
    chosen = [key for key in ticked(answer) if key != backing]
    acts.follow_top(project=project, mark=answer.mark, chosen=chosen, units="in")
    assert list(Cut.objects.filter(part__role="backing").values_list()) == before
    assert follower(answer_of(project), "backing").is_ticked


def test_a_list_by_hand_follows_only_when_it_is_ticked(owner: User) -> None:
    project = listed_project(owner)
    binding = project.parts.get(role="binding")
    binding.cuts.all().delete()
    Part.objects.filter(pk=binding.pk).update(filled_with={})
    b.cut(binding, 8, None, "2 1/4")
    measured(project, "59 1/2", "71 1/2")
    found = follower(answer_of(project), "binding")
    assert found.is_by_hand
    assert found.is_changed
    assert not found.is_ticked


def test_what_changed_since_it_was_shown_is_not_followed(owner: User) -> None:
    project = listed_project(owner)
    measured(project, "59 1/2", "71 1/2")
    shown = answer_of(project)
    measured(project, "59", "71")
    before = everything(project)
    with pytest.raises(acts.SewingError, match="changed since this was shown"):
        acts.follow_top(project=project, mark=shown.mark, chosen=ticked(shown), units="in")
    assert everything(project) == before


def test_the_mean_of_three_places_counts(owner: User) -> None:
    # Arithmetic: 61, 61 1/4, 61 1/2 are 61 1/4 in the mean.
    project = listed_project(owner)
    acts.measure_top(
        project=project, rounds=0, width=60 * INCH, width_first=None, width_last=None,
        length=inches("61 1/4"), length_first=61 * INCH, length_last=inches("61 1/2"),
    )  # fmt: skip
    answer = answer_of(project)
    assert answer.rounds[0].need.side == inches("61 1/4")
    assert answer.spread == INCH // 2


def test_drawn_border_follows_by_the_way_it_is_drawn(owner: User) -> None:
    # Drawn 36 x 48 with 3 in of border, lengthwise: sides 48 1/2, ends 42 1/2.
    # Measured 36 x 48 between raw edges, so 35 1/2 x 47 1/2: sides 48, ends 42.
    project = drawn_project(owner)
    part = project.parts.get(role="border")
    assert sorted(part.cuts.values_list("length", flat=True)) == [
        inches("42 1/2"),
        inches("48 1/2"),
    ]
    measured(project, "36", "48")
    answer = answer_of(project)
    acts.follow_top(project=project, mark=answer.mark, chosen=ticked(answer), units="in")
    cuts = part.cuts.all()
    assert sorted(cut.length for cut in cuts) == [42 * INCH, 48 * INCH]
    assert {cut.kind for cut in cuts} == {CutKind.STRIP_ALONG}


def test_with_the_borders_on_only_the_finish_follows(owner: User) -> None:
    # 70 1/4 x 82 1/2 between raw edges, the border on: 69 3/4 x 82 finished.
    project = listed_project(owner)
    measured(project, "70 1/4", "82 1/2", rounds=1)
    answer = answer_of(project)
    assert answer.rounds == ()
    assert answer.finished is not None
    assert (answer.finished.width, answer.finished.length) == (inches("69 3/4"), 82 * INCH)
    assert {item.part.role for item in answer.followers} == {"binding", "backing", "batting"}


def test_a_border_without_a_list_stops_the_rest(owner: User) -> None:
    project = listed_project(owner)
    edge = project.parts.get(role="border")
    edge.cuts.all().delete()
    Part.objects.filter(pk=edge.pk).update(filled_with={})
    measured(project, "59 1/2", "71 1/2")
    answer = answer_of(project)
    assert answer.finished is None
    assert "how wide border is" in answer.problem
    with pytest.raises(acts.SewingError, match="how wide border is"):
        acts.follow_top(project=project, mark=answer.mark, chosen=(), units="in")


def test_a_border_that_shares_its_part_is_told_and_not_changed(owner: User) -> None:
    project = drawn_project(owner)
    edge, background = project.parts.get(role="border"), project.parts.get(role="background")
    project.drawing.roles.filter(part=edge).update(part=background)
    measured(project, "36", "48")
    found = follower(answer_of(project), "background")
    assert not found.is_changed
    assert "shares the list" in found.why
