"""Lines that nobody could read stay on their part, and keep it from an answer.

Common practice, no source: what a pattern asks for and was not read may be more than there is.
"""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client

from projects.coverage.answering import ask_coverage
from projects.coverage.states import standing_of
from projects.coverage.status import PartStanding, standings
from projects.models import Part
from projects.planning.cut_lists import pasting
from projects.shopping.acts import shopping_list
from tests.planning import builders as b

pytestmark = pytest.mark.django_db
SENTENCE = "One line of the list is not read."


@pytest.fixture
def owner() -> User:
    return b.person()


@pytest.fixture
def part(owner: User) -> Part:
    """Plenty of cloth for what is read, and one line that is not."""
    made = b.part(b.project(owner))
    made.fabrics.add(b.fabric(owner))
    b.piece(made.fabrics.get(), 42, 72)
    pasting.add_pasted(part=made, text="12 squares 3 1/2\n  plenty of blue, it says", units="in")
    ask_coverage(project=made.project)
    return made


def standing(part: Part) -> PartStanding:
    rows, _ = standings(part.project, list(part.project.parts.whole()), units="in")
    (row,) = [row for row in rows if row.part.pk == part.pk]
    return row


def text_of(client: Client, address: str) -> str:
    return client.get(address).content.decode()


def test_a_part_with_an_unread_line_is_undecided_whatever_its_cloth_holds(part: Part) -> None:
    row = standing(part)
    assert (row.state, row.read_state, row.proof) == ("undecided", "covered", "none")
    assert row.sentence.startswith(SENTENCE)
    assert standing_of(part.project.parts.whole().get()) == "undecided"


def test_it_is_undecided_before_anything_is_read_and_after_all_is_cut(part: Part) -> None:
    part.cuts.update(done=12)
    assert standing(part).state == "undecided"
    part.cuts.all().delete()
    assert standing(part).state == "undecided"
    part.not_needed = True
    part.save()
    assert standing(part).state == "not needed"


def test_what_is_short_is_undecided_too_and_names_no_amount_to_buy(part: Part) -> None:
    b.cut(part, 400, "9 1/2", "9 1/2")
    ask_coverage(project=part.project)
    row = standing(part)
    assert (row.state, row.read_state, row.buy) == ("undecided", "short", None)
    found = shopping_list(owner=part.project.owner, units="in")
    assert (found.by_project, found.undecided) == ([], [part])


def test_a_question_that_was_not_asked_is_still_to_be_asked(part: Part) -> None:
    part.coverage.delete()
    row = standing(part)
    assert (row.state, row.needs_asking) == ("undecided", True)


def test_a_struck_line_decides_nothing_until_it_is_put_back(part: Part) -> None:
    line = part.unread_lines.get()
    assert line.text == "plenty of blue, it says"
    pasting.strike_out(line=line)
    assert standing(part).state == "covered"
    pasting.put_back(line=line)
    assert standing(part).state == "undecided"


def test_a_line_put_right_becomes_cuts_and_one_that_is_not_stays(part: Part) -> None:
    line = part.unread_lines.get()
    pasting.put_right(line=line, text="4 squares 5\nand some more", units="in")
    assert (part.cuts.count(), part.unread_lines.count()) == (1, 1)
    pasting.put_right(line=line, text="# nothing to cut", units="in")
    assert part.unread_lines.count() == 1
    pasting.put_right(line=line, text="4 squares 5", units="in")
    assert [cut.count for cut in part.cuts.all()] == [12, 4]
    assert not part.unread_lines.exists()


def test_every_page_and_the_command_say_that_a_line_is_not_read(
    client: Client, owner: User, part: Part
) -> None:
    client.force_login(owner)
    project = part.project.get_absolute_url()
    for address in (part.get_absolute_url(), project, "/projects/to-buy/", f"{project}cut-sheet/"):
        page = text_of(client, address)
        assert SENTENCE in page, address
        assert "verdict-covered" not in page, address
    assert "plenty of blue" in text_of(client, project)
    assert "verdict-covered" not in text_of(client, "/projects/")
    output = StringIO()
    call_command("check_project", str(part.project_id), "--json", stdout=output)
    told = json.loads(output.getvalue())
    (row,) = told["parts"]
    assert (told["verdict"], row["verdict"]) == ("undecided", "undecided")
    assert row["unread"] == ["plenty of blue, it says"]
    assert row["sentence"].startswith(SENTENCE)


def test_unread_lines_are_settled_on_the_part_s_page(
    client: Client, owner: User, part: Part
) -> None:
    client.force_login(owner)
    url = f"{part.get_absolute_url()}unread/{part.unread_lines.get().pk}/"
    text = client.post(url, {"text": "still plenty"}, follow=True).content.decode()
    assert "still plenty</textarea>" in text
    assert "“still plenty” has no count and no size" in text
    client.post(f"{url}strike/")
    text = text_of(client, part.get_absolute_url())
    assert SENTENCE not in text
    assert "1 line struck out" in text
    client.post(f"{url}back/")
    client.post(url, {"text": "4 squares 5"})
    text = text_of(client, part.get_absolute_url())
    assert SENTENCE not in text
    assert part.cuts.count() == 2
