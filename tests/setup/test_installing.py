"""What manage.py installs by: hashes where the constraints file covers it, pins elsewhere."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from stash.system import installing

ROOT = Path(__file__).resolve().parent.parent.parent
FILE = ROOT / ".constraints.txt"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
EXTRAS = PROJECT["optional-dependencies"]
BASE = PROJECT["dependencies"]
ONLY = {name: set(pins) - set(BASE) for name, pins in EXTRAS.items()}


def names(lines: str | None) -> set[str]:
    assert lines is not None
    return set(re.findall(r"^([a-z0-9-]+)==", lines, re.MULTILINE))


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(installing, "place", lambda: "linux-x86_64 3.11")


def test_the_file_has_every_pin_and_no_address() -> None:
    """Whoever changes a pin writes the file anew: .ci/constraints."""
    text = FILE.read_text()
    pins = set(re.findall(r"^(\S+==\S+)", text, re.MULTILINE))
    wanted = {line for lines in (BASE, *EXTRAS.values()) for line in lines}
    assert {installing._plain(line) for line in wanted} <= pins
    assert len(pins) == len({pin.split("==")[0] for pin in pins}), "one version of each"
    assert not re.search(r"https?:|www\.|\.(?:org|com|io)\b|@", text)
    for line in text.splitlines():
        head = r"# (?:covers [a-z]+-\w+ 3\.1[1-4]: base [a-z ]+|group \w+|Every .*|Written .*)"
        pin, digest = r"[a-z0-9-]+==[\w.]+ \\", r"    --hash=sha256:[0-9a-f]{64}(?: \\)?"
        assert re.fullmatch(f"{head}|{pin}|{digest}", line), line


def test_it_covers_the_systems_of_people_and_every_python() -> None:
    covered = set(re.findall(r"^# covers (\S+ \S+): base", FILE.read_text(), re.MULTILINE))
    systems = ("linux-x86_64", "linux-aarch64", "macos-arm64", "macos-x86_64", "windows-amd64")
    pythons = [f"3.{minor}" for minor in range(11, 15)]
    assert covered == {f"{system} {python}" for system in systems for python in pythons}


@pytest.mark.usefixtures("here")
def test_what_is_wanted_is_installed_by_hash_and_nothing_else() -> None:
    base = names(installing.by_hash(str(FILE), BASE, ONLY))
    assert {"django", "pi-heif", "asgiref"} <= base
    assert not {"psycopg", "pytest", "pillow-heif", "rawpy"} & base
    with_driver = names(installing.by_hash(str(FILE), [*BASE, *EXTRAS["postgres"]], ONLY))
    assert with_driver - base == {"psycopg", "psycopg-binary"}
    everything = [*BASE, *EXTRAS["postgres"], *EXTRAS["test"]]
    lines = installing.by_hash(str(FILE), everything, ONLY)
    assert {"pytest", "pluggy", "psycopg", "rawpy"} <= names(lines)
    assert lines is not None
    assert lines.count("\nrawpy==") == 1  # asked for by two extras


@pytest.mark.usefixtures("here")
def test_where_it_does_not_fit_it_is_left_alone(tmp_path: Path, monkeypatch: Any) -> None:
    assert installing.by_hash(str(tmp_path / "none.txt"), BASE, ONLY) is None
    assert installing.by_hash(str(FILE), ["Django==5.2.18"], ONLY) is None
    monkeypatch.setattr(installing, "place", lambda: "musl-x86_64 3.11")
    assert installing.by_hash(str(FILE), BASE, ONLY) is None
    # Tests are not covered there, the site is.
    monkeypatch.setattr(installing, "place", lambda: "macos-x86_64 3.12")
    assert installing.by_hash(str(FILE), BASE, ONLY) is not None
    assert installing.by_hash(str(FILE), [*BASE, *EXTRAS["test"]], ONLY) is None


@pytest.mark.parametrize(
    ("system", "machine", "libc", "named"),
    [
        ("linux", "x86_64", "glibc", "linux-x86_64"),
        ("linux", "aarch64", "glibc", "linux-aarch64"),
        ("linux", "x86_64", "", "musl-x86_64"),
        ("darwin", "arm64", "", "macos-arm64"),
        ("win32", "AMD64", "", "windows-amd64"),
        ("freebsd14", "amd64", "", "freebsd14-amd64"),
    ],
)
def test_the_place_is_named(
    monkeypatch: pytest.MonkeyPatch, system: str, machine: str, libc: str, named: str
) -> None:
    monkeypatch.setattr(installing.sys, "platform", system)
    monkeypatch.setattr(installing.platform, "machine", lambda: machine)
    monkeypatch.setattr(installing.platform, "libc_ver", lambda: (libc, ""))
    assert installing.place() == f"{named} {sys.version_info[0]}.{sys.version_info[1]}"


def test_tests_and_reports_of_packages_go_and_nothing_else(tmp_path: Path) -> None:
    for packages in ("lib/python3.11/site-packages", "Lib/site-packages"):
        for path in ("colour/htmlcov/a", "numpy/core/tests/b", "scipy/tests/c/d", "numpy/test.py"):
            (tmp_path / packages / path).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / packages / path).write_text("")
        (tmp_path / packages / "django/tests").mkdir(parents=True)
        installing.thin_out(str(tmp_path))
        left = {path.name for path in (tmp_path / packages).rglob("*")}
        assert left == {"colour", "numpy", "core", "test.py", "scipy", "django", "tests"}


def test_it_starts_with_the_standard_library_alone() -> None:
    tree = ast.parse(Path(installing.__file__).read_text())
    asked = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    asked |= {
        alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import)
        for alias in node.names
    }
    assert {name.split(".")[0] for name in asked if name} <= sys.stdlib_module_names
    for package in ("stash", "stash/system"):
        body = ast.parse((ROOT / package / "__init__.py").read_text()).body
        assert not [node for node in body if isinstance(node, ast.Import | ast.ImportFrom)]
