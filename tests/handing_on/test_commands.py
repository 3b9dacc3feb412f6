"""The commands: a question in a file, a project written and read."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from projects.models import Project
from tests.handing_on.builders import document, part, piece
from tests.planning.builders import cut, person, project
from tests.planning.builders import part as row

pytestmark = pytest.mark.django_db


def told(*arguments: str, **options: Any) -> str:
    out = StringIO()
    call_command(*arguments, stdout=out, **options)
    return out.getvalue()


def written(folder: Path, given: object) -> str:
    file = folder / "question.json"
    file.write_text(given if isinstance(given, str) else json.dumps(given), encoding="utf-8")
    return str(file)


def test_a_question_in_a_file_is_answered_in_json(tmp_path: Path) -> None:
    asked = written(tmp_path, document([piece()], part("12 squares 9 1/2")))
    answer = json.loads(told("check_project", asked, json=True))
    assert answer["projects"][0]["verdict"] == "covered"
    assert answer["projects"][0]["parts"][0]["final"] is True


def test_and_in_words(tmp_path: Path) -> None:
    output = told("check_project", written(tmp_path, document([piece()], part("13 squares 9 1/2"))))
    assert "Pond Path: short" in output
    assert "lacking 1 of 13" in output
    asked = written(tmp_path, document([piece()], part("3 squares 9 1/2\nblue")))
    output = told("check_project", asked)
    assert "Pond Path: undecided" in output
    assert "not read: blue" in output


@pytest.mark.parametrize(
    ("given", "quoted"),
    [("{", "is not JSON"), ("[1]", "[1]"), ('{"projects": NaN}', "NaN"), ("[" * 100_000, "JSON")],
)
def test_what_is_no_question_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], given: str, quoted: str
) -> None:
    output = StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("check_project", written(tmp_path, given), stderr=output)
    assert stopped.value.code == 2
    assert quoted in output.getvalue()


def test_a_file_that_is_not_there_is_named() -> None:
    output = StringIO()
    with pytest.raises(SystemExit):
        call_command("check_project", "nowhere.json", stderr=output)
    assert "“nowhere.json”" in output.getvalue()


def test_a_project_is_written_and_read(tmp_path: Path) -> None:
    of = project(person(), name="Lamplight")
    cut(row(of, title="Stars"), 12, 3, 3)
    file = written(tmp_path, told("export_project", "Lamplight"))
    person("ivy")
    output = told("import_project", file, owner="ivy")
    assert "Lamplight is project" in output
    assert Project.objects.get(owner__username="ivy").parts.get().cuts.get().count == 12


def test_for_whom_must_be_known(tmp_path: Path) -> None:
    file = written(tmp_path, document([], part("3 squares 5")))
    person("ivy"), person("olive")
    for options in ({}, {"owner": "nobody"}):
        with pytest.raises(CommandError, match=r"--owner|“nobody”"):
            call_command("import_project", file, **options)
    assert not Project.objects.exists()
