"""A project's ruler: what lies between its marks is not taken into a cut list."""

from __future__ import annotations

import pytest

from projects.models import Project, Role
from projects.needs.sewing_rules import NeedsError
from projects.planning.cut_lists.filling import fill
from projects.planning.cut_lists.filling_forms import BackingForm, BindingForm
from projects.planning.cut_lists.lines import add_unit
from projects.planning.cut_lists.pasting import add_pasted
from projects.planning.cuts import setting_text
from projects.planning.projects.acts import blank_project
from stash.lengths import CM, INCH, MM, Unit, parse_length
from tests.planning import builders as b

pytestmark = pytest.mark.django_db


def metric(**fields: object) -> Project:
    return b.project(b.person(), ruler="0.1 cm", seam=3 * CM // 4, assumed_width=106 * CM, **fields)


def test_a_line_between_the_marks_stays_unread() -> None:
    part = b.part(metric())
    add_pasted(part=part, text="8 strips 2 1/2 in x width\n8 strips 6.4 x width", units="cm")
    assert [cut.length for cut in part.cuts.all()] == [64 * MM]
    assert [line.text for line in part.unread] == ["8 strips 2 1/2 in x width"]


def test_a_unit_between_the_marks_is_refused() -> None:
    project = metric(name="Harbour")
    project.ruler = "0.5 cm"
    project.save()
    with pytest.raises(NeedsError, match=r"11 cm or 11\.5 cm"):
        add_unit(part=b.part(project), kind="square", count=4, width=98 * MM, units="cm")
    add_unit(part=b.part(project), kind="square", count=4, width=10 * CM, units="cm")


@pytest.mark.parametrize("role", [Role.BINDING, Role.BORDER])
def test_a_strip_between_the_marks_is_refused(role: str) -> None:
    project = metric(finished_width=150 * CM, finished_length=200 * CM)
    needs: dict[str, object] = {"strip": 5 * INCH // 2, "join": "diagonal", "bias": False}
    needs["extra"] = 25 * CM
    if role == Role.BORDER:
        needs = {"border": 2 * INCH, "style": "butted", "grain": "crosswise", "top": None}
    part = b.part(project, role)
    with pytest.raises(NeedsError, match="marks of a ruler"):
        fill(part=part, units="cm", **needs)
    assert not part.cuts.exists()


def test_metric_forms_begin_with_metric_habits() -> None:
    assert BindingForm(units="cm").fields["strip"].initial == 65 * MM
    assert BackingForm(units="cm").fields["overage"].initial == 10 * CM
    assert BindingForm(units="in").fields["strip"].initial == 5 * INCH // 2
    assert blank_project("cm").ruler == "0.1 cm"


@pytest.mark.parametrize(
    ("length", "units", "shown"),
    [
        (5 * INCH // 2, "in", "2 1/2 in"),
        (64 * MM, "cm", "6.4 cm"),
        (5 * INCH // 2, "cm", "6.35 cm"),
        (127 * 161, "in", "2 33/64 in"),
    ],
)
def test_a_setting_is_printed_as_it_is_planned(length: int, units: Unit, shown: str) -> None:
    assert setting_text(length, units) == shown
    assert parse_length(shown) == length
