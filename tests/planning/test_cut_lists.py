"""Cut lists of parts: pasted, worked out from units, filled from the finished size.

Numbers: trade handbook, sections 2 and 3.
"""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client

from projects.coverage.question.supply import wanted_cuts
from projects.models import Cut, Part, Project
from projects.needs.sewing_rules import NeedsError
from projects.planning.cut_lists.filling import fill
from projects.planning.cut_lists.lines import CutListError, add_unit, change_cut, remove_cut
from projects.planning.cut_lists.pasting import add_pasted
from projects.planning.cut_lists.runs import add_strips
from projects.planning.projects.acts import create_project
from stash.acts import turn_of
from stash.lengths import INCH
from tests.builders import make_owner
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def sixty_by_eighty() -> Project:
    return create_project(
        owner=b.person(),
        name="Lamplight",
        finished_width=60 * INCH,
        finished_length=80 * INCH,
        shrink=0,
    )


def role(project: Project, name: str) -> Part:
    return project.parts.get(role=name)


def test_usual_roles_are_listed_from_the_beginning() -> None:
    names = [part.name for part in sixty_by_eighty().parts.all()]
    assert names == ["Background", "Feature", "Border 1", "Binding", "Backing", "Batting"]


def test_good_lines_are_kept_and_wrong_lines_are_quoted() -> None:
    part = role(sixty_by_eighty(), "background")
    pasted = add_pasted(
        part=part,
        text="96 squares 3 1/2\n8 strips 2 1/2 x width\nplenty of blue\n"
        "48 rectangles 3 1/2 x 6 1/2, no turning",
        units="in",
    )
    assert [cut.count for cut in part.cuts.all()] == [96, 8, 48]
    assert [cut.turn for cut in part.cuts.all()] == [True, False, False]
    assert len(pasted.understood) == 3
    assert "“plenty of blue”" in pasted.wrong[0].message
    assert [line.text for line in part.unread] == ["plenty of blue"]


@pytest.mark.parametrize(
    "line",
    [
        "96 squares 3 1/2 in",
        "8 strips 2 1/2 in x width",
        "48 rectangles 3 1/2 in x 6 1/2 in, no turning",
        "2 strips 5 1/2 in x 72 1/2 in along the length",
        "3 squares 12.5 cm",
    ],
)
def test_removed_line_can_be_pasted_again(line: str) -> None:
    project = sixty_by_eighty()
    project.ruler = "0.1 cm" if "cm" in line else "1/16 in"
    project.save()
    part = role(project, "background")
    add_pasted(part=part, text=line, units="in")
    before = part.cuts.values_list("kind", "count", "width", "length", "turn").get()
    text = remove_cut(cut=part.cuts.get(), units="in")
    add_pasted(part=part, text=text, units="in")
    assert part.cuts.values_list("kind", "count", "width", "length", "turn").get() == before


def test_unit_sends_each_fabric_to_its_part() -> None:
    project = sixty_by_eighty()
    background, feature = role(project, "background"), role(project, "feature")
    add_unit(part=feature, others=background, kind="hst", count=48, width=3 * INCH, units="in")
    for part in (feature, background):
        cut = part.cuts.get()
        assert (cut.count, cut.width) == (24, b.inches("3 7/8"))


def test_binding_counts_the_loss_at_its_joins() -> None:
    part = role(sixty_by_eighty(), "binding")
    fill(
        part=part,
        units="in",
        strip=b.inches("2 1/2"),
        join="diagonal",
        bias=False,
        extra=b.inches(10),
    )
    assert part.cuts.get().count == 8


def test_binding_needs_more_strips_of_the_narrower_cloth_that_was_chosen() -> None:
    part = role(sixty_by_eighty(), "binding")
    chosen = b.fabric(part.project.owner)
    b.piece(chosen, 36, 36)
    part.fabrics.add(chosen)
    fill(part=part, units="in", strip=20320, join="diagonal", bias=False, extra=b.inches(10))
    # Fewest n with 36 n - 2 1/2 (n - 1) >= 290.
    assert (part.cuts.get().count, part.cuts.get().width) == (9, b.inches(36))


def test_backing_takes_the_direction_of_seams_that_needs_less() -> None:
    part = role(sixty_by_eighty(), "backing")
    sentence = fill(part=part, units="in", overage=b.inches(4))
    cut = part.cuts.get()
    assert (cut.count, cut.length) == (2, b.inches(88))
    assert "lengthwise seams" in sentence[0]


def test_batting_names_the_smallest_package() -> None:
    project = sixty_by_eighty()
    Project.objects.filter(pk=project.pk).update(
        finished_width=84 * INCH, finished_length=92 * INCH
    )
    part = role(Project.objects.get(), "batting")
    sentence = fill(part=part, units="in", overage=b.inches(4))
    assert "120 × 120" in sentence[0]


def test_border_goes_round_what_is_left_of_the_finished_size() -> None:
    project = sixty_by_eighty()
    Project.objects.filter(pk=project.pk).update(
        finished_width=70 * INCH, finished_length=82 * INCH
    )
    part = role(Project.objects.get(), "border")
    fill(part=part, units="in", border=b.inches(5), top=None, style="butted", grain="lengthwise")
    lengths = sorted(cut.length for cut in part.cuts.all())
    assert lengths == [b.inches("70 1/2"), b.inches("72 1/2")]


def test_filling_again_keeps_what_was_cut() -> None:
    part = role(sixty_by_eighty(), "binding")
    wish = {"strip": 20320, "join": "diagonal", "bias": False, "extra": b.inches(10)}
    fill(part=part, units="in", **wish)
    with turn_of(part.project.owner_id):
        assert add_strips(part.cuts.get().pk, [b.inches(42)] * 5)
    fill(part=part, units="in", **wish)
    line = part.cuts.get()
    assert (line.count, line.left) == (8, 3)
    (wanted,) = wanted_cuts(part.project, [part], "in")
    assert wanted.count == 3


def test_strips_of_before_count_towards_a_run() -> None:
    part = role(sixty_by_eighty(), "binding")
    b.cut(part, 8, None, "2 1/2", done=5)
    fill(part=part, units="in", strip=20320, join="diagonal", bias=False, extra=b.inches(10))
    line = part.cuts.get()
    assert (line.run_strips, line.left) == ([b.inches(42)] * 5, 3)


def test_filling_without_a_finished_size_says_what_is_missing() -> None:
    project = create_project(owner=b.person(), name="No size")
    with pytest.raises(NeedsError, match="no finished size yet"):
        fill(part=role(project, "backing"), units="in", overage=0)


# --- A line that is changed from a page left open ---------------------------------------------


def a_line(owner: User) -> Cut:
    return b.cut(b.part(b.project(owner)), 8, "9 1/2", "9 1/2")


@pytest.mark.parametrize(
    ("sent", "cut_since", "left", "text"),
    [
        ({"count": 10}, 0, (10, 0), "The line is saved."),
        ({"count": 10}, 5, (10, 5), "The line is saved."),
        ({"count": 10, "done": 3}, 0, (10, 3), "The line is saved."),
        ({"count": 10, "done": 3}, 5, (8, 5), "5 of these are cut by now, not 0"),
        ({"count": 4}, 5, (8, 5), "5 of these are cut by now; the line cannot have only 4"),
        ({"count": 5}, 5, (5, 5), "The line is saved."),
    ],
)
def test_what_was_cut_since_the_page_was_drawn_stays_cut(
    client: Client,
    owner: User,
    sent: dict[str, int],
    cut_since: int,
    left: tuple[int, int],
    text: str,
) -> None:
    line = a_line(owner)
    page = client.get(line.part.get_absolute_url()).content.decode()
    fields = re.findall(rf'name="(count|done|was_done)" value="(\d+)"[^>]*id="cut{line.pk}_', page)
    assert len(fields) == 3
    Cut.objects.update(done=cut_since)
    form = dict(fields) | {"turn": "on", "part": line.part_id} | sent
    answer = client.post(f"{line.part.get_absolute_url()}cuts/{line.pk}/", form, follow=True)
    assert text in answer.content.decode()
    assert Cut.objects.values_list("count", "done").get() == left


@pytest.mark.parametrize("gone", ["line", "part"])
def test_line_that_was_removed_meanwhile_is_not_changed(gone: str) -> None:
    line = a_line(make_owner())
    other = b.part(line.part.project, "feature")
    held = Part.objects.get(pk=other.pk)
    if gone == "line":
        Cut.objects.all().delete()
    else:
        other.delete()
    with pytest.raises(CutListError, match="removed in the meantime"):
        change_cut(cut=line, count=9, done=0, turn=True, part=held)
