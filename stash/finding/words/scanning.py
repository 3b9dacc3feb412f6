"""What is left of a text, word by word: colours, forms, states, names, text, and small words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from stash.colour.words import ASKED_MODIFIERS, HUE_WORDS, colour_word, corrected, suggest
from stash.finding import conditions as c
from stash.finding.words.items import Item, all_of, colour_item
from stash.finding.words.known import Known
from stash.finding.words.plain import (
    FILLERS,
    FORMS,
    LONGEST_PLAIN,
    NOTHING_SAID,
    SMALL,
    STATES,
)
from stash.finding.words.taking import Marked

__all__ = ["longest_colour", "scanned"]

_LONGEST_COLOUR = 3
_MOST_WORDS = 60


def longest_colour(words: list[str], position: int) -> tuple[int, str | None]:
    """How many words from here name one colour word, and which; longest first."""
    for taken in range(min(_LONGEST_COLOUR, len(words) - position), 0, -1):
        colour = colour_word(" ".join(words[position : position + taken]))
        if colour is not None:
            return taken, colour.word
    return 1, None


def scanned(marked: Marked) -> list[Item]:
    """The text as items, from the left."""
    typed = marked.text.replace(",", " , ").split()[:_MOST_WORDS]
    words = [word for whole in typed for word in _parts(whole)]
    items: list[Item] = []
    position = 0
    while position < len(words):
        taken, item = _mark_or_small(marked, words, position)
        if taken:
            items += [item] if item is not None else []
            position += taken
            continue
        end = position
        while end < len(words) and not _mark_or_small(marked, words, end)[0]:
            end += 1
        items += _stretch(words[position:end], marked.known)
        position = end
    return items


def _parts(word: str) -> list[str]:
    """“Blue-green” and “black-and-white” are several words where each of them is one of ours."""
    parts = word.split("-")
    if colour_word(word) is None and all(part in SMALL or colour_word(part) for part in parts):
        return parts
    return [word]


def _mark_or_small(marked: Marked, words: list[str], position: int) -> tuple[int, Item | None]:
    """What stands between stretches of plain words: how many words, and what they are."""
    if words[position] in marked.items:
        return 1, marked.items[words[position]]
    taken, _ = _plain(words, position)
    for length in range(min(LONGEST_PLAIN, len(words) - position), 0, -1):
        phrase = " ".join(words[position : position + length])
        if phrase in NOTHING_SAID:
            return length, None
        if phrase in SMALL and length > taken:
            return length, Item("small", phrase, small=SMALL[phrase])
    return 0, None


def _plain(words: list[str], position: int) -> tuple[int, c.Condition | None]:
    """A form or a state, longest first."""
    for taken in range(min(LONGEST_PLAIN, len(words) - position), 0, -1):
        phrase = " ".join(words[position : position + taken])
        if phrase in FORMS:
            return taken, c.FormIs(source=phrase, label=f"as {phrase}", form=FORMS[phrase])
        if phrase in STATES:
            return taken, STATES[phrase](phrase)
    return 0, None


def _stretch(words: list[str], known: Known) -> list[Item]:
    """Plain words in a row: places and shops by name, then names of fabrics, then meaning."""
    for start, end, place in _places(words, known):
        meant = list(_meaning(words[start:end], known))
        item = _by_name(place, words[start:end], meant)
        return [*_stretch(words[:start], known), item, *_stretch(words[end:], known)]
    meant = list(_meaning(words, known))
    named = _named(words, known, meant)
    return [_by_name(named, words, meant)] if named is not None else meant


def _by_name(name: c.Condition, words: list[str], meant: list[Item]) -> Item:
    """Found by the name first, then by what the words mean, where they mean a colour."""
    conditions = [item.condition for item in meant if item.condition is not None]
    if not any(item.words for item in meant):
        return Item(type(name).__name__, name.source, name)
    label = f"{name.label}, or {all_of(conditions).label}"
    both = c.NameFirst(source=name.source, label=label, name=name, otherwise=tuple(conditions))
    is_plural = any(item.is_plural for item in meant)
    return Item(meant[-1].kind, " ".join(words), both, is_plural=is_plural)


def _places(words: list[str], known: Known) -> Iterator[tuple[int, int, c.Condition]]:
    """The longest name of a place or a shop among the words."""
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length + 1):
            name = " ".join(words[start : start + length])
            if name in known.places:
                places = known.places[name]
                yield (
                    start,
                    start + length,
                    c.InPlace(source=name, label=f"in {name}", places=places),
                )
                return
            if name in known.shops:
                yield (
                    start,
                    start + length,
                    c.FromShop(source=name, label=f"from {name}", shop=name),
                )
                return


def _named(words: list[str], known: Known, meant: list[Item]) -> c.Condition | None:
    """Names that hold all of the words, where these are more than everyday colours.

    “Dark blue” is a name only where a fabric is called just that.
    """
    phrase = " ".join(words)
    telling = tuple(word for word in words if word not in FILLERS)
    colours = [word for item in meant for word in item.words]
    if not colours or not telling:
        return None
    everyday = all(item.words for item in meant) and all(
        word in HUE_WORDS or word in ASKED_MODIFIERS for word in colours
    )
    if everyday and known.fabric_key(phrase) is None:
        return None
    for asked in (tuple(words), telling):
        whole = tuple(
            dict.fromkeys(part for word in asked for part in re.findall(r"[\w'-]+", word))
        )
        if whole and known.is_called(whole):
            return c.Named(source=phrase, label=f"called “{phrase}”", words=whole)
    if len(telling) == 1 and not everyday and known.is_in_text(telling[0]):
        # Many shades are things, too: poppies, elephants.
        return c.Word(source=phrase, label=f"“{phrase}”", text=telling[0])
    return None


def _meaning(words: list[str], known: Known) -> Iterator[Item]:
    """Colours that stand together, forms, states, and the rest as text."""
    position = 0
    run: list[str] = []
    typed: list[str] = []
    slips: list[tuple[str, str]] = []
    is_plural = False

    def colour() -> Iterator[Item]:
        if run:
            yield colour_item(list(run), list(typed), is_plural=is_plural, corrected=tuple(slips))
            for told in (run, typed, slips):
                told.clear()

    while position < len(words):
        taken, word = longest_colour(words, position)
        some = words[position : position + taken]
        plain_taken, condition = _plain(words, position)
        if word is None and condition is None and words[position] not in FILLERS:
            word = _slip(words[position], known)
            slips += [(words[position], word)] if word is not None else []
        if word is not None and plain_taken <= taken:
            run.append(word)
            typed += some
            is_plural = (is_plural and bool(run[:-1])) or _is_plural(some[-1])
            position += taken
            continue
        if condition is not None:
            yield from colour()
            yield Item(type(condition).__name__, condition.source, condition)
            position += plain_taken
            continue
        position += 1
        if some[0] not in FILLERS:
            yield from colour()
            text = some[0]
            near = suggest(text)
            yield Item("Word", text, c.Word(source=text, label=f"“{text}”", text=text, near=near))
    yield from colour()


def _slip(word: str, known: Known) -> str | None:
    """The colour word that was meant, unless the word stands in some fabric's text."""
    meant = corrected(word)
    return None if meant is None or known.is_in_text(word) else meant


def _is_plural(word: str) -> bool:
    return word.endswith("s") and not word.endswith("ss") and colour_word(word[:-1]) is not None
