"""Put small faults into a module, one at a time, and list those that its tests do not notice.

    python -m tests.benchmarks.mutants.run projects/cutting/verify.py [--lines 40-60]

Works on a copy of the tree, one fault after the other. A fault is *noticed* when a test fails or
does not end. What survives is either a missing test or a change that means the same.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tests.benchmarks.mutants.changes import Mutant, mutants_of

#: The quick tests that answer for a module.
CHOSEN: dict[str, tuple[str, ...]] = {
    "projects/cutting/verify.py": ("tests/cutting/test_judge.py",),
    "projects/cut_sheet/booking.py": (
        "tests/cut_sheet/test_booking.py",
        "tests/cut_sheet/test_cutting.py",
    ),
    "projects/cut_sheet/booked.py": ("tests/cut_sheet/test_carried_out.py",),
    "projects/cut_sheet/carried_out.py": ("tests/cut_sheet/test_carried_out.py",),
    "projects/planning/promises/acts.py": ("tests/planning/test_promises.py",),
    "stash/photos/store.py": ("tests/photos/test_photo_store.py",),
    "stash/catalogue/ledger.py": (
        "tests/catalogue/test_ledger_rows.py",
        "tests/catalogue/test_ledger.py",
    ),
}
_ROOT = Path(__file__).resolve().parents[3]
_COPIED = ("stash", "projects", "tests", "pyproject.toml", "manage.py", "README.md")
_WARM = str(Path(__file__).with_name("warm.py"))
_OPTIONS = ("-x", "-p", "no:cacheprovider", "-p", "pytest_django.plugin", "--no-migrations")
_NOT_NOTICED, _NOTICED = 0, (1, 2)  # pytest's exit codes: all passed; a test or an import failed


class RunError(RuntimeError):
    """The tests say nothing about faults: they fail without one, or there are none."""


def survivors(
    tree: Path, module: str, tests: Sequence[str], mutants: Iterable[Mutant], seconds: int = 120
) -> Iterator[tuple[Mutant, bool]]:
    """Yield each mutant and whether it survived, having put it into the tree and run the tests."""
    path = tree / module
    whole = path.read_text()
    with _runner(tree, seconds) as passes:
        if not passes(tests):
            raise RunError("The tests fail before any fault is put in.")
        try:
            for mutant in mutants:
                _write(path, mutant.source)
                yield mutant, passes(tests)
        finally:
            _write(path, whole)


def _write(path: Path, source: str) -> None:
    path.write_text(source)
    # Compiled code is told apart by second and size, in which two mutants may agree.
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*"):
        compiled.unlink()


@contextmanager
def _runner(tree: Path, seconds: int) -> Iterator[Callable[[Sequence[str]], bool]]:
    """Give a function that says whether tests pass on the files as they are then."""
    # Loading every plugin takes longer than the tests.
    env = os.environ | {"PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
    env.pop("DJANGO_SETTINGS_MODULE", None)  # the tree names its own
    with subprocess.Popen(
        [sys.executable, _WARM, str(seconds)],
        cwd=tree,
        env=env,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as warm:
        assert warm.stdin is not None
        assert warm.stdout is not None
        asked, told = warm.stdin, warm.stdout

        def passes(tests: Sequence[str]) -> bool:
            asked.write(json.dumps([*_OPTIONS, *tests]) + "\n")
            asked.flush()
            code = int(told.readline() or 3)
            if code not in (_NOT_NOTICED, *_NOTICED):
                raise RunError(f"pytest ended with {code}.")
            return code == _NOT_NOTICED

        try:
            yield passes
        finally:
            asked.close()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("module", choices=sorted(CHOSEN))
    parser.add_argument("--lines", default="1-99999", help="only faults in these lines")
    asked = parser.parse_args()
    first, last = map(int, asked.lines.split("-"))
    mutants = [
        mutant
        for mutant in mutants_of((_ROOT / asked.module).read_text())
        if first <= mutant.line <= last
    ]
    say = sys.stdout.write
    left = 0
    with tempfile.TemporaryDirectory(prefix="clothlight-mutants.") as folder:
        for name in _COPIED:
            copy = shutil.copytree if (_ROOT / name).is_dir() else shutil.copy
            copy(_ROOT / name, Path(folder) / name)
        tests = CHOSEN[asked.module]
        for number, (mutant, survived) in enumerate(
            survivors(Path(folder), asked.module, tests, mutants), 1
        ):
            left += survived
            if survived:
                say(f"{asked.module}:{mutant.line}: {mutant.words}\n")
            if number % 25 == 0:
                say(f"... {number} of {len(mutants)}\n")
            sys.stdout.flush()
    noticed = len(mutants) - left
    say(f"{len(mutants)} faults, {noticed} noticed ({noticed / max(1, len(mutants)):.1%})\n")


if __name__ == "__main__":
    main()
