"""What a text is taken apart into: terms that ask for something, and small words between them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from stash.colour.words import ASKED_MODIFIERS
from stash.finding import conditions as c

__all__ = ["Item", "Small", "all_of", "colour_item", "negation"]


class Small(Enum):
    """A word between terms."""

    OR = "or"
    AND = "and"
    BUT = "but"
    COMMA = ","
    NOT = "not"  # what comes next: one colour, one word
    NO = "no"  # what comes next up to its noun: no blue dots
    WITHOUT = "without"  # the same, and a colour means one in it


@dataclass(frozen=True)
class Item:
    """A term with its condition, or a small word.

    kind: terms of one kind are alternatives of each other; the class of the condition, mostly.
    is_plural: “blues and greens” are either, “blue and green” is both.
    """

    kind: str
    source: str
    condition: c.Condition | None = None
    small: Small | None = None
    is_plural: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """The colour words of a plain colour."""
        return self.condition.words if isinstance(self.condition, c.Colour) else ()

    @property
    def has_hue(self) -> bool:
        """Whether it is a colour by more than how light or strong it is."""
        if isinstance(self.condition, c.NameFirst):
            return True
        return any(word not in ASKED_MODIFIERS for word in self.words)


def colour_item(
    words: list[str],
    typed: list[str],
    *,
    is_plural: bool = False,
    corrected: tuple[tuple[str, str], ...] = (),
) -> Item:
    """One colour of these words; “dark” and “light” read best before the hue."""
    distinct = sorted(dict.fromkeys(words), key=lambda word: word not in ASKED_MODIFIERS)
    source = " ".join(typed)
    condition = c.Colour(
        source=source,
        label=f"reads {' '.join(distinct)}",
        words=tuple(distinct),
        corrected=corrected,
    )
    return Item("Colour", source, condition, is_plural=is_plural)


def all_of(conditions: list[c.Condition]) -> c.Condition:
    """The conditions as one."""
    if len(conditions) == 1:
        return conditions[0]
    return c.AllOf(
        source=" ".join(part.source for part in conditions),
        label=" and ".join(part.label for part in conditions),
        conditions=tuple(conditions),
    )


def negation(condition: c.Condition, source: str) -> c.Condition:
    """The condition turned round."""
    label = condition.label.removeprefix("reads ")
    return c.Not(source=source, label=f"not {label}", condition=condition)
