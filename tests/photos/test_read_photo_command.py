"""`read_photo` at the console."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from django.core.management import call_command

from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from tests.photos.pictures import cloth_photo

KEYS = {
    "file",
    "lab",
    "value",
    "far",
    "near",
    "palette",
    "contrast",
    "reference",
    "uncertainty",
    "mm_per_pixel",
    "words",
    "notes",
}


@pytest.fixture
def blue(tmp_path: Path) -> Path:
    path = tmp_path / "blue.jpg"
    path.write_bytes(cloth_photo((40, 60, 130)))
    return path


def test_one_file_gives_one_object_with_the_sites_own_reading(
    blue: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("read_photo", str(blue), "--json")
    document = json.loads(capsys.readouterr().out)
    read = read_picture(decode_photo(blue.read_bytes()))
    assert set(document) == KEYS
    assert document["value"] == round(read.value, 3)
    assert document["lab"] == document["far"] == [round(part, 3) for part in read.far]
    assert document["palette"][0]["hex"].startswith("#")
    assert sum(colour["share"] for colour in document["palette"]) == pytest.approx(1, abs=1e-3)
    assert "blue" in document["words"]
    assert document["reference"] == "none"
    assert document["mm_per_pixel"] is None


def test_several_files_give_a_list_and_a_bad_one_a_sentence(
    blue: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    torn = tmp_path / "torn.jpg"
    torn.write_bytes(blue.read_bytes()[:500])
    with pytest.raises(SystemExit) as exit_info:
        call_command("read_photo", str(torn), str(blue), "--json")
    assert exit_info.value.code == 2
    captured = capsys.readouterr()
    assert [document["file"] for document in json.loads(captured.out)] == [str(blue)]
    assert captured.err.count("\n") == 1
    assert "damaged or incomplete" in captured.err


@pytest.mark.parametrize("name", ["missing.jpg", "", "notes.txt"])
def test_bad_file_alone_gives_one_sentence_and_no_output(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "notes.txt").write_text("not a photo")
    with pytest.raises(SystemExit) as exit_info:
        call_command("read_photo", str(tmp_path / name), "--json")
    assert exit_info.value.code == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1


def test_words_for_people_say_estimate(blue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("read_photo", str(blue))
    out = capsys.readouterr().out
    assert "value about" in out
    assert "an estimate" in out
