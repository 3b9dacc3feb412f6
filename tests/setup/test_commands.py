"""Commands as processes: sentences for what is missing, lines that come at once, Ctrl-C."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from stash.config.environment import NAMES
from tests.keeping.elsewhere import Home, at, make_tables
from tests.ports import free_port

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE = 120

# The processes here have a SQLite file of their own, whatever database the other tests use.
pytestmark = pytest.mark.skipif("DATABASE_URL" in os.environ, reason="nothing here depends on it")


def surroundings(**variables: str) -> dict[str, str]:
    kept = {
        name: text
        for name, text in os.environ.items()
        if name not in {*NAMES, "PYTHONUNBUFFERED", "DJANGO_ALLOW_ASYNC_UNSAFE"}
    }
    return kept | {"DJANGO_SETTINGS_MODULE": "stash.config.settings"} | variables


def manage(*arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=surroundings(**variables),
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE,
    )


def start(*arguments: str, **variables: str) -> subprocess.Popen[str]:
    """Start a command whose output nobody's terminal takes: a pipe, as in a service."""
    return subprocess.Popen(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=surroundings(**variables),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        # A shell that starts the tests in the background has Ctrl-C ignored for them.
        preexec_fn=heed_ctrl_c,
    )


def heed_ctrl_c() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def read_until(process: subprocess.Popen[str], pattern: str) -> str:
    """Return the first line that matches; the process goes on."""
    assert process.stdout is not None
    seen = []
    # Lines that are held back would be waited for without end.
    guard = threading.Timer(PATIENCE, process.kill)
    guard.start()
    try:
        for line in process.stdout:
            seen.append(line)
            if re.search(pattern, line):
                return line
    finally:
        guard.cancel()
    pytest.fail(f"{pattern} was never said: {seen}")


@pytest.mark.parametrize("words", [("find", "blue"), ("clearsessions",)])
def test_before_the_first_start_there_is_one_sentence(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    """The second is Django's own, which asks nobody whether there is a stash."""
    done = manage(*words, STASH_DATA=str(tmp_path))
    assert done.returncode == 1
    asked = r"There is no stash in .*: start python3 manage.py serve first\.\n"
    assert re.fullmatch(asked, done.stderr)
    assert done.stdout == ""


def test_data_folder_that_cannot_be_written_to_is_named(tmp_path: Path) -> None:
    if not Path("/proc/self").is_dir():
        pytest.skip("needs a folder that not even root can write to")
    done = manage("find", "blue", STASH_DATA="/proc/self")
    assert done.returncode == 1
    assert done.stderr.startswith("The data folder '/proc/self' cannot be used: ")
    assert done.stderr.endswith("or name another one with STASH_DATA.\n")
    assert len(done.stderr.splitlines()) == 1


def test_damaged_database_gets_a_sentence_from_serve(tmp_path: Path) -> None:
    (tmp_path / "stash.sqlite3").write_bytes(b"this is not a database" * 100)
    done = manage("serve", "--port", str(free_port()), STASH_DATA=str(tmp_path))
    assert done.returncode == 1
    assert done.stderr.startswith(f"The database {tmp_path}/stash.sqlite3 is damaged.")
    assert len(done.stderr.splitlines()) == 1


def test_set_up_link_comes_through_a_pipe_at_once(tmp_path: Path, django_db_blocker: Any) -> None:
    """As a service: nobody ends the process to make it let go of its lines."""
    with django_db_blocker.unblock(), at(Home(data=tmp_path)):
        make_tables()  # a start that has none to make is ready sooner
    process = start("serve", "--port", str(free_port()), STASH_DATA=str(tmp_path))
    try:
        assert "account/set-up/" in read_until(process, "Clothlight is ready")
    finally:
        process.kill()
        process.communicate()


def test_ctrl_c_while_the_demo_is_loading_leaves_one_line(tmp_path: Path) -> None:
    process = start("demo", "--port", str(free_port()), STASH_DEMO_DATA=str(tmp_path))
    try:
        read_until(process, "Photographing the shelves")
        os.killpg(process.pid, signal.SIGINT)
        _, output = process.communicate(timeout=PATIENCE)
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
    assert output.strip() == "Ended by Ctrl-C."
    assert process.returncode == 130
    assert (tmp_path / "demo").read_text() == "loading\n"
