"""Memory is given back where the C library knows how, and nothing fails where it does not."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from typing import Any

import pytest

from stash.photos import store as photo_store
from stash.system import memory


@pytest.fixture(autouse=True)
def looked_up_anew() -> Iterator[None]:
    memory._function.cache_clear()
    yield
    memory._function.cache_clear()


class Function:
    """A function of a C library that notes what it was asked."""

    def __init__(self) -> None:
        self.asked: list[tuple[int, ...]] = []

    def __call__(self, *numbers: int) -> int:
        self.asked.append(numbers)
        return 1


class Library:
    def __init__(self) -> None:
        self.malloc_trim, self.mallopt = Function(), Function()


def test_glibc_is_asked_to_share_heaps_and_to_give_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """malloc.h: M_ARENA_MAX is -8; malloc_trim(3): a pad of 0 keeps nothing that is free."""
    library = Library()
    library.gnu_get_libc_version = Function()  # type: ignore[attr-defined]
    monkeypatch.setattr(ctypes, "CDLL", lambda name: library)
    memory.share_heaps()
    memory.give_back()
    assert library.mallopt.asked == [(-8, 2)]
    assert library.malloc_trim.asked == [(0,)]


def test_library_with_other_numbers_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    library = Library()
    monkeypatch.setattr(ctypes, "CDLL", lambda name: library)
    memory.share_heaps()
    memory.give_back()
    assert library.mallopt.asked == library.malloc_trim.asked == []


@pytest.mark.parametrize("fault", [OSError, TypeError])
def test_system_without_such_a_library_is_left_alone(
    monkeypatch: pytest.MonkeyPatch, fault: type[Exception]
) -> None:
    def no_library(name: Any) -> Any:
        raise fault

    monkeypatch.setattr(ctypes, "CDLL", no_library)
    memory.share_heaps()
    memory.give_back()


def test_it_works_with_the_library_of_this_machine() -> None:
    memory.give_back()


def test_memory_is_given_back_after_each_turn_of_decoding(monkeypatch: pytest.MonkeyPatch) -> None:
    given_back: list[bool] = []
    monkeypatch.setattr(photo_store, "give_back", lambda: given_back.append(True))
    with photo_store.decoding_turn():
        assert not given_back
    with pytest.raises(ZeroDivisionError), photo_store.decoding_turn():
        raise ZeroDivisionError
    assert len(given_back) == 2
