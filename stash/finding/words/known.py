"""What words may mention beside the language: the names and texts of one stash."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from stash.lengths import Unit

__all__ = ["Known"]


@dataclass(frozen=True, kw_only=True)
class Known:
    """Names that the words may mention: of fabrics and places, folded; and today's day.

    fabric_key: the fabric of a whole name. is_called: whether a name holds all of these words.
    is_in_text: whether a word stands in the text of any fabric.
    """

    fabric_key: Callable[[str], int | None] = lambda name: None
    is_called: Callable[[tuple[str, ...]], bool] = lambda words: False
    is_in_text: Callable[[str], bool] = lambda word: False
    places: Mapping[str, frozenset[int]] = field(default_factory=dict)
    shops: frozenset[str] = frozenset()
    projects: Callable[[], Mapping[str, frozenset[int]]] = dict  # asked only where words need it
    today: int = 0
    units: Unit = "in"
