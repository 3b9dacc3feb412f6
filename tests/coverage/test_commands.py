"""plan_cuts and check_project on the command line."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from projects.models import Project
from tests.planning import builders as b

FAT_QUARTERS = {
    "units": "in",
    "pieces": [{"name": "fq", "width": 21, "length": "18", "count": 2}],
    "cuts": [{"name": "sq", "width": "6 1/2", "length": 6.5, "count": 16, "turn": False}],
    "allow": {"squaring_up": 0, "shrink": 0, "reserve": 0},
}


def run(name: str, *args: str, code: int = 0) -> tuple[str, str]:
    out, err = io.StringIO(), io.StringIO()
    if code:
        with pytest.raises(SystemExit) as left:
            call_command(name, *args, stdout=out, stderr=err)
        assert left.value.code == code
    else:
        call_command(name, *args, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def written(folder: Path, contents: Any) -> str:
    file = folder / "cuts.json"
    file.write_text(contents if isinstance(contents, str) else json.dumps(contents))
    return str(file)


def test_plan_cuts_answers_in_json(tmp_path: Path) -> None:
    out, _ = run("plan_cuts", written(tmp_path, FAT_QUARTERS), "--json")
    told = json.loads(out)
    assert told["verdict"] == "short"
    assert told["short"] == [{"cut": "sq", "missing": 4}]
    assert {"plans", "used", "buy", "evidence"} <= told.keys()


def test_plan_cuts_reads_the_input(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(FAT_QUARTERS)))
    out, _ = run("plan_cuts", "-")
    assert out.startswith("Short: ")
    assert "Buy 9 in" in out


@pytest.mark.parametrize(
    "contents",
    ["{", "[1]", '"text"', "[" * 100_000, '{"cuts": []}', '{"cuts": [{"name": "a"}]}']
    + ['{"cuts": [{"name": "a", "width": NaN, "length": 1, "count": 1}]}'],
)
def test_plan_cuts_refuses_bad_input_in_one_sentence(tmp_path: Path, contents: str) -> None:
    out, err = run("plan_cuts", written(tmp_path, contents), code=2)
    assert out == ""
    assert err.strip().endswith(".")
    assert len(err.strip().splitlines()) == 1


def test_plan_cuts_refuses_a_missing_file(tmp_path: Path) -> None:
    _, err = run("plan_cuts", str(tmp_path / "none.json"), code=2)
    assert "cannot be read" in err


def test_plan_cuts_refuses_what_is_not_text(tmp_path: Path) -> None:
    file = tmp_path / "photo.jpg"
    file.write_bytes(b"\xff\xd8\xff\xe0")
    _, err = run("plan_cuts", str(file), code=2)
    assert "not text" in err


@pytest.fixture
def short_project() -> Project:
    owner = b.person()
    part = b.part(b.project(owner))
    part.fabrics.add(b.fabric(owner))
    b.piece(part.fabrics.get(), 21, 18, form="fat quarter", count=2)
    b.cut(part, 16, "6 1/2", "6 1/2")
    return part.project


@pytest.mark.django_db
@pytest.mark.parametrize("by", ["pk", "name"])
def test_check_project_by_number_or_name(short_project: Project, by: str) -> None:
    out, _ = run("check_project", str(getattr(short_project, by)), "--json")
    told = json.loads(out)
    assert told["verdict"] == "short"
    assert told["parts"][0]["short"] == [{"cut": "6 1/2 in square", "missing": 4, "of": 16}]
    assert told["parts"][0]["buy"]["rounded"] == 9


@pytest.mark.django_db
def test_check_project_in_words(short_project: Project) -> None:
    out, _ = run("check_project", "lamplight")
    assert out.splitlines()[0] == "Lamplight: short"
    assert "lacking 4 of 16" in out


@pytest.mark.django_db
@pytest.mark.parametrize("asked", ["Nowhere", "999", "9" * 30, "²", ""])
def test_unknown_project_is_one_sentence_and_code_two(asked: str) -> None:
    _, err = run("check_project", asked, code=2)
    assert f"no project “{asked}”" in err


@pytest.mark.django_db
def test_two_projects_of_one_name_are_told_apart_by_owner(short_project: Project) -> None:
    b.project(b.person("piet"))
    _, err = run("check_project", "Lamplight", code=2)
    assert "Several projects" in err
    out, _ = run("check_project", "Lamplight", "--owner", "piet")
    assert "not planned yet" in out
