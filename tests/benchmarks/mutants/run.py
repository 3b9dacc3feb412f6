"""Put small faults into a module, one at a time, and list those that its tests do not notice.

    python -m tests.benchmarks.mutants.run projects/cutting/verify.py [--lines 40-60]

Works on a copy of the tree, one fault after the other. A fault is *noticed* when a test fails or
does not end. What survives is either a missing test or a change that means the same.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from tests.benchmarks.mutants.changes import Mutant, mutants_of

#: The quick tests that answer for a module.
CHOSEN: dict[str, tuple[str, ...]] = {
    "projects/cutting/verify.py": ("tests/cutting/test_judge.py",),
}
_ROOT = Path(__file__).resolve().parents[3]
_COPIED = ("stash", "projects", "tests", "pyproject.toml", "manage.py", "README.md")
_NOT_NOTICED, _NOTICED = 0, (1, 2)  # pytest's exit codes: all passed; a test or an import failed


class RunError(RuntimeError):
    """The tests say nothing about faults: they fail without one, or there are none."""


def survivors(
    tree: Path, module: str, tests: Sequence[str], mutants: Iterable[Mutant], seconds: float = 120
) -> Iterator[tuple[Mutant, bool]]:
    """Yield each mutant and whether it survived, having put it into the tree and run the tests."""
    path = tree / module
    whole = path.read_text()
    if not _passes(tree, path, whole, tests, seconds):
        raise RunError("The tests fail before any fault is put in.")
    try:
        for mutant in mutants:
            yield mutant, _passes(tree, path, mutant.source, tests, seconds)
    finally:
        path.write_text(whole)


def _passes(tree: Path, path: Path, source: str, tests: Sequence[str], seconds: float) -> bool:
    path.write_text(source)
    # Compiled code is told apart by second and size, in which two mutants may agree.
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*"):
        compiled.unlink()
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    try:
        ended = subprocess.run(
            command, cwd=tree, capture_output=True, text=True, timeout=seconds, check=False
        )
    except subprocess.TimeoutExpired:
        return False
    if ended.returncode not in (_NOT_NOTICED, *_NOTICED):
        raise RunError(f"pytest ended with {ended.returncode}: {ended.stdout[-500:]}{ended.stderr}")
    return ended.returncode == _NOT_NOTICED


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("module", choices=sorted(CHOSEN))
    parser.add_argument("--lines", default="1-99999", help="only faults in these lines")
    asked = parser.parse_args()
    first, last = map(int, asked.lines.split("-"))
    mutants = [
        one for one in mutants_of((_ROOT / asked.module).read_text()) if first <= one.line <= last
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
            elif number % 25 == 0:
                say(f"... {number} of {len(mutants)}\n")
            sys.stdout.flush()
    noticed = len(mutants) - left
    say(f"{len(mutants)} faults, {noticed} noticed ({noticed / max(1, len(mutants)):.1%})\n")


if __name__ == "__main__":
    main()
