"""manage.py before Django: versions, dependencies, the stamp of .venv."""

import ast
import errno
import importlib.util
import os
import signal
import subprocess
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())


@pytest.fixture
def manage(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> ModuleType:
    """manage.py as a module that takes a temporary folder for its .venv."""
    spec = importlib.util.spec_from_file_location("manage_under_test", ROOT / "manage.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setattr(module, "VENV", str(tmp_path / ".venv"))
    monkeypatch.setattr(module, "STAMP", str(tmp_path / ".venv" / "installed"))
    (tmp_path / ".venv").mkdir()
    monkeypatch.delenv("DATABASE_URL", raising=False)
    return module


def test_old_pythons_can_parse_manage_py() -> None:
    ast.parse((ROOT / "manage.py").read_text(), feature_version=(3, 6))


def test_manage_py_starts_with_the_standard_library_alone() -> None:
    tree = ast.parse((ROOT / "manage.py").read_text())
    first = {
        alias.name for node in tree.body if isinstance(node, ast.Import) for alias in node.names
    }
    assert first == {"os", "subprocess", "sys"}


@pytest.mark.parametrize("version", [(3, 10, 4), (3, 15, 0)])
def test_other_pythons_get_a_sentence(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch, version: tuple[int, ...]
) -> None:
    monkeypatch.setattr(manage.sys, "version_info", version)
    with pytest.raises(
        SystemExit, match=rf"needs Python 3.11 to 3.14; this is Python 3.{version[1]}"
    ):
        manage.main()


def test_pythons_agree_with_the_project(manage: ModuleType) -> None:
    first, (major, minor) = ".".join(map(str, manage.OLDEST)), manage.NEWEST
    assert PROJECT["project"]["requires-python"] == f">={first},<{major}.{minor + 1}"
    assert manage.OLDEST <= sys.version_info[:2] <= manage.NEWEST


def test_every_dependency_is_pinned_exactly(manage: ModuleType) -> None:
    for requirement in manage.requirements(["test", "postgres"]):
        name, pin = manage.split(requirement)
        assert name, requirement
        assert pin[0].isdigit(), requirement


@pytest.mark.parametrize(
    ("arguments", "url", "names"),
    [
        (["serve"], "", []),
        (["serve"], "postgres://localhost/stash", ["postgres"]),
        (["demo"], "postgres://localhost/stash", []),
        (["test", "-x"], "", ["test", "postgres"]),
        (["test"], "postgresql://localhost/stash", ["test", "postgres"]),
    ],
)
def test_extras_follow_the_command_and_the_database(
    manage: ModuleType,
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[str],
    url: str,
    names: list[str],
) -> None:
    monkeypatch.setenv("DATABASE_URL", url)
    assert manage.extras(arguments) == names


def test_an_environment_that_has_everything_is_left_alone(manage: ModuleType) -> None:
    assert manage.is_satisfied(manage.requirements(["test"]))
    assert not manage.is_satisfied(["Django==1.0"])
    assert not manage.is_satisfied(["surely-not-installed==1.0"])


def test_the_stamp_of_its_own_venv_decides(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(manage.sys, "prefix", manage.VENV)
    Path(manage.STAMP).write_text("one==1\ntwo==2\n")
    assert manage.is_satisfied(["two==2"])
    assert not manage.is_satisfied(["two==3"])


class Pip:
    """Stands in for subprocess.call and remembers what it was asked."""

    def __init__(self, status: int = 0) -> None:
        self.status = status
        self.installed: list[list[str]] = []
        self.gone: list[str] = []

    def __call__(self, command: list[str], **options: Any) -> int:
        if "pip" not in command:
            return 0
        if "uninstall" in command:
            self.gone += command[command.index("uninstall") + 1 :]
            return 0
        self.installed.append([part for part in command if "==" in part])
        return self.status


def test_interrupted_installation_is_made_anew(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []
    monkeypatch.setattr(manage, "make_venv", lambda: made.append("venv"))
    pip = Pip(status=1)
    monkeypatch.setattr(manage.subprocess, "call", pip)
    with pytest.raises(SystemExit, match="could not be installed"):
        manage.build(["one==1"])
    assert not os.path.exists(manage.STAMP)
    pip.status = 0
    manage.build(["one==1"])
    manage.build(["one==1"])
    assert made == ["venv", "venv"]
    assert pip.installed == [["one==1"], ["one==1"]]
    assert manage.stamped() == ["one==1"]


def test_the_test_extra_is_added_to_what_is_there(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(manage, "make_venv", lambda: pytest.fail("a sound .venv is kept"))
    pip = Pip()
    monkeypatch.setattr(manage.subprocess, "call", pip)
    base = manage.requirements([])
    Path(manage.STAMP).write_text("\n".join([*base, "long-gone==0.1"]) + "\n")
    manage.build(manage.requirements(["test"]))
    manage.build(base)
    assert len(pip.installed) == 1
    assert set(manage.stamped()) == set(manage.requirements(["test"]))


def test_what_an_earlier_release_left_behind_goes_and_brings_no_tests(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    pip = Pip()
    monkeypatch.setattr(manage.subprocess, "call", pip)
    Path(manage.STAMP).write_text("Django==5.2.18\npillow_heif==1.8.1\npsycopg[binary]==3.3.8\n")
    manage.build(manage.requirements([]))
    assert "pillow_heif" in pip.gone
    # PostgreSQL was in use before, and the tests were not.
    assert set(manage.stamped()) == set(manage.requirements(["postgres"]))


def test_missing_ensurepip_names_the_debian_package(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "ensurepip", None)
    with pytest.raises(SystemExit, match="apt install python3-venv"):
        manage.make_venv()


def test_the_demo_never_sees_a_real_stash(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("STASH_DATA", "/home/maren/stash")
    monkeypatch.setenv("DATABASE_URL", "postgres://localhost/stash")
    monkeypatch.setenv("STASH_DEMO", "")
    monkeypatch.setenv("STASH_DEMO_DATA", str(tmp_path / "demo"))
    manage.choose_settings(["demo", "--lan"])
    assert os.environ["STASH_DATA"] == str(tmp_path / "demo")
    assert os.environ["STASH_DEMO"] == "1"
    assert "DATABASE_URL" not in os.environ


def test_exit_code_and_arguments_of_pytest_pass_through() -> None:
    def run(*arguments: str) -> tuple[int, str]:
        command = [sys.executable, "manage.py", "test", *arguments]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        return done.returncode, done.stdout + done.stderr

    version = PROJECT["project"]["optional-dependencies"]["test"]
    assert f"pytest=={pytest.__version__}" in version
    assert run("--version") == (0, f"pytest {pytest.__version__}\n")
    here = "tests/setup/test_bootstrap.py"
    code, output = run("-q", "-p", "no:cacheprovider", here, "-k", "there_is_no_such_test")
    assert code == 5
    assert "deselected" in output


def test_packages_are_all_listed() -> None:
    found = {
        ".".join(file.parent.relative_to(ROOT).parts)
        for top in ("stash", "projects")
        for file in (ROOT / top).rglob("*.py")
        if "static" not in file.parts
    }
    assert set(PROJECT["tool"]["setuptools"]["packages"]) == found


# --- ending early, and folders that are not ours ---


def heed_ctrl_c() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_ctrl_c_while_installing_leaves_one_line(tmp_path: Path) -> None:
    """The installer is a process of its own that would talk about the signal too."""
    for name in ("manage.py", "pyproject.toml", "stash/system/installing.py"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text((ROOT / name).read_text())
    bin_folder = tmp_path / ".venv" / "bin"
    bin_folder.mkdir(parents=True)
    python = bin_folder / "python"
    python.write_text(
        f"#!{sys.executable}\n"
        "import sys, time\n"
        "if 'pip' in sys.argv:\n"
        "    print('installing', flush=True)\n"
        "    time.sleep(600)\n"
    )
    python.chmod(0o755)
    (tmp_path / ".venv" / "installed").write_text("nothing==0\n")
    started = subprocess.Popen(
        # Isolated from the packages of this environment, so that something is missing.
        [sys.executable, "-S", "manage.py", "demo"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        # A shell that starts the tests in the background has Ctrl-C ignored for them.
        preexec_fn=heed_ctrl_c,
    )
    assert started.stdout is not None
    line = started.stdout.readline()
    while line and not line.startswith("installing"):
        line = started.stdout.readline()
    os.killpg(started.pid, signal.SIGINT)  # what a terminal does: everybody in it hears Ctrl-C
    # Ends only when nobody holds the pipe any more: the installer, too, is gone.
    _, output = started.communicate(timeout=60)
    assert started.returncode == 130
    assert output.strip() == "Ended by Ctrl-C."


def test_a_folder_one_may_not_write_to_is_named(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(manage.os, "access", lambda *args: False)
    with pytest.raises(SystemExit, match=rf"may not write to {ROOT}.* STASH_DATA can name another"):
        manage.make_venv()


def test_a_full_disk_is_not_taken_for_a_missing_package(
    manage: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: Any, folder: str) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("venv.EnvBuilder.create", full)
    with pytest.raises(SystemExit, match="No space left on device") as refused:
        manage.make_venv()
    assert "apt" not in str(refused.value)


def test_the_site_imports_nothing_that_only_tests_install(manage: ModuleType) -> None:
    offered = {manage.split(line)[0] for line in manage.requirements(["postgres", "raw"])}
    offered = {name.lower().replace("_", "-") for name in offered}
    whose = packages_distributions()
    imported = {
        name.split(".")[0]
        for top in ("stash", "projects")
        for file in (ROOT / top).rglob("*.py")
        for node in ast.walk(ast.parse(file.read_text()))
        if isinstance(node, ast.Import | ast.ImportFrom) and not getattr(node, "level", 0)
        for name in (
            [alias.name for alias in node.names]
            if isinstance(node, ast.Import)
            else [node.module or ""]
        )
    }
    others = imported - set(sys.stdlib_module_names) - {"stash", "projects"}
    assert {"numpy", "pi_heif"} <= others
    missing = {
        name
        for name in others
        if not {told.lower().replace("_", "-") for told in whose.get(name, ())} & offered
    }
    assert missing == set()
