"""Memory is given back where the C library knows how, and nothing fails where it does not."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from typing import Any

import pytest

from stash import memory


@pytest.fixture(autouse=True)
def looked_up_anew() -> Iterator[None]:
    memory._trim.cache_clear()
    yield
    memory._trim.cache_clear()


class Library:
    """A C library that notes how it was asked."""

    def __init__(self) -> None:
        self.asked: list[int] = []
        self.malloc_trim = self._Trim(self.asked)

    class _Trim:
        def __init__(self, asked: list[int]) -> None:
            self.asked = asked

        def __call__(self, pad: int) -> int:
            self.asked.append(pad)
            return 1


def test_all_free_memory_is_given_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """malloc_trim(3): with a pad of 0 only what is in use is kept at the top of the heap."""
    library = Library()
    monkeypatch.setattr(ctypes, "CDLL", lambda name: library)
    memory.give_back()
    assert library.asked == [0]


@pytest.mark.parametrize("fault", [AttributeError, OSError, TypeError])
def test_other_libraries_are_left_alone(
    monkeypatch: pytest.MonkeyPatch, fault: type[Exception]
) -> None:
    def no_library(name: Any) -> Any:
        raise fault

    monkeypatch.setattr(ctypes, "CDLL", no_library)
    memory.give_back()


def test_it_works_with_the_library_of_this_machine() -> None:
    memory.give_back()
