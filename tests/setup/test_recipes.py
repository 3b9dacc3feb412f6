"""The recipes in .serving: what they name is there, and the start files start."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from stash.config.environment import NAMES

ROOT = Path(__file__).resolve().parent.parent.parent
RECIPES = ROOT / ".serving"
FILES = sorted(path for path in RECIPES.iterdir() if path.is_file())


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_a_recipe_names_what_is_there(path: Path) -> None:
    text = path.read_text()
    own = {"STASH_NAME", "STASH_SITE"}  # of compose.yaml and Caddyfile alone
    assert set(re.findall(r"\bSTASH_[A-Z_]+\b", text)) <= set(NAMES) | own
    for link in re.findall(r"\]\(([^)#]+)\)", text):
        assert (RECIPES / link).exists(), link
    for command in re.findall(r"manage\.py ([a-z_]+)(?![.\w])", text):
        places = (
            ROOT / top / "management/commands" / f"{command}.py" for top in ("stash", "projects")
        )
        assert command == "help" or any(place.exists() for place in places), command


def test_each_page_is_linked_and_tells_of_upgrade_backup_and_what_was_tried() -> None:
    readme = (ROOT / "README.md").read_text()
    pages = [path for path in FILES if path.suffix == ".md"]
    assert len(pages) == 5
    for page in pages:
        text = page.read_text()
        assert f"(.serving/{page.name})" in readme
        assert re.search(r"\*\*Upgrade", text)
        assert re.search(r"\*\*(?:Upgrade and )?backup", text, re.IGNORECASE)
        assert "**What was tried**" in text


def test_the_container_copies_what_is_there_and_the_packages_first() -> None:
    text = (RECIPES / "Containerfile").read_text()
    copied = [
        name for line in re.findall(r"COPY --chown=stash (.+) \S+\n", text) for name in line.split()
    ]
    assert copied
    assert [name for name in copied if not (ROOT / name).exists()] == []
    assert text.index("manage.build") < text.index("COPY --chown=stash stash ")


def asked(folder: Path, path: str, *arguments: str) -> str:
    """What the start file hands to manage.py, whose place a list of arguments takes."""
    (folder / ".serving").mkdir()
    (folder / "manage.py").write_text("import os, sys; print(os.getcwd(), *sys.argv)\n")
    shutil.copy(RECIPES / "start-macos.command", folder / ".serving")
    done = subprocess.run(
        [folder / ".serving/start-macos.command", *arguments],
        cwd="/",
        env=os.environ | {"PATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout


def test_the_start_file_of_macos_starts_from_anywhere(tmp_path: Path) -> None:
    folder = tmp_path / "my stash"
    folder.mkdir()
    programs = tmp_path / "programs"
    programs.mkdir()
    for name in ("dirname", "env"):
        (programs / name).symlink_to(shutil.which(name) or "")
    (programs / "python3.12").symlink_to(sys.executable)
    output = asked(folder, str(programs), "--lan")
    assert output == f"{folder} manage.py serve --open --lan\n"


def test_the_start_file_of_macos_tells_what_is_missing(tmp_path: Path) -> None:
    folder, programs = tmp_path / "stash", tmp_path / "programs"
    folder.mkdir()
    programs.mkdir()
    (programs / "dirname").symlink_to(shutil.which("dirname") or "")
    assert "needs Python 3.11 to 3.14, and none was found" in asked(folder, str(programs))


def test_the_start_file_of_windows_has_its_line_ends_and_the_same_words() -> None:
    raw = (RECIPES / "start-windows.bat").read_bytes()
    assert raw.count(b"\n") == raw.count(b"\r\n") > 10
    text = raw.decode("ascii")
    assert text.count("manage.py serve --open %*") == 2
    assert 'cd /d "%~dp0.."' in text
    assert "needs Python 3.11 to 3.14, and none was found" in text
    assert "-text" in (RECIPES / ".gitattributes").read_text()


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd here")
def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path) -> None:
    unit = tmp_path / "clothlight.service"
    shutil.copy(RECIPES / unit.name, unit)
    done = subprocess.run(
        ["systemd-analyze", "verify", unit], capture_output=True, text=True, check=False
    )
    told = [line for line in done.stderr.splitlines() if unit.name in line]
    assert (done.returncode, told) == (0, []), done.stderr
