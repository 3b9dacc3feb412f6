"""Choices as a page offers them: each knows whether it is the chosen one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

__all__ = ["Choice", "choices_of"]


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of several answers to the same question."""

    key: Any
    label: Any
    is_chosen: bool


def choices_of(pairs: Iterable[tuple[Any, Any]], chosen: Any) -> list[Choice]:
    """The pairs of key and label in their order; at most one is chosen where keys differ."""
    return [Choice(key=key, label=label, is_chosen=key == chosen) for key, label in pairs]
