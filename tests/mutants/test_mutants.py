"""Faults put in on purpose: each kind is made, and a run tells noticed from unnoticed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.mutants.changes import mutants_of
from tests.benchmarks.mutants.run import RunError, survivors

MODULE = """\
def fits(length, most):
    return length <= most


def spare(length, most):
    return most - length
"""
TEST = """\
from cloth import fits


def test_exactly_fitting_and_one_more():
    assert fits(4, 4)
    assert not fits(5, 4)
"""


@pytest.mark.parametrize(
    ("source", "changed"),
    [
        ("c = a < b", ["c = a <= b", "c = a >= b"]),
        ("c = a == b", ["c = a != b"]),
        ("c = a not in b", ["c = a in b"]),
        ("c = a + b", ["c = a - b"]),
        ("c = a and b", ["c = a or b"]),
        ("c = not a", ["c = a"]),
        ("c = True", ["c = False"]),
        ("c = 7", ["c = 8", "c = 6"]),
        ("c = max(a, b)", ["c = min(a, b)"]),
        ("c = 'words'", []),
        ("import a", []),
        ("c: int | None = a", []),
        ("__all__ = [1]", []),
        ("raise a", ["pass"]),
        ("a()", ["pass"]),
        ("a.b = c", ["pass"]),
        ("c += a", ["c -= a", "pass"]),
        ("c = a(b=d)", ["c = a()"]),
        ("c = a.b().d()", ["c = a.b()"]),
        ("c = [a for a in b if a]", ["c = [a for a in b]"]),
        ("if a:\n    import b", ["if not a:\n    import b"]),
        ("def a():\n    '''Say.'''\n    return b", ["def a():\n    return"]),
    ],
)
def test_each_kind_of_fault_is_made(source: str, changed: list[str]) -> None:
    assert [mutant.source for mutant in mutants_of(source)] == changed


def tree(folder: Path, test: str = TEST) -> Path:
    (folder / "cloth.py").write_text(MODULE)
    (folder / "test_cloth.py").write_text(test)
    (folder / "pytest.ini").write_text("[pytest]\npythonpath = .\n")
    return folder


def test_a_fault_that_a_test_sees_is_noticed_and_one_that_none_sees_survives(
    tmp_path: Path,
) -> None:
    here = tree(tmp_path)
    wanted = {"length <= most  ->  length < most", "most - length  ->  most + length"}
    chosen = [mutant for mutant in mutants_of(MODULE) if mutant.words in wanted]
    ran = list(survivors(here, "cloth.py", ["test_cloth.py"], chosen))
    assert [(mutant.line, survived) for mutant, survived in ran] == [(2, False), (6, True)]
    assert (here / "cloth.py").read_text() == MODULE


def test_tests_that_fail_anyway_say_nothing(tmp_path: Path) -> None:
    here = tree(tmp_path, TEST.replace("(4, 4)", "(6, 4)"))
    with pytest.raises(RunError, match="before any fault"):
        list(survivors(here, "cloth.py", ["test_cloth.py"], ()))


def test_no_tests_at_all_say_nothing(tmp_path: Path) -> None:
    here = tree(tmp_path, "")
    with pytest.raises(RunError, match="pytest ended with 5"):
        list(survivors(here, "cloth.py", ["test_cloth.py"], ()))
