"""Reading the corpus of queries: each with what it must mean, as conditions.

A line is ``query -> meaning``. Terms of a meaning stand between “ ; ” and all hold; “ | ” stands
between alternatives, “ & ” between what holds together in one; “not” before a term turns it round.

reads WORDS: a colour of just these words. with WORDS [SHARE]: in the palette. "text": a word of the
fabric's text. called WORDS, place NAME, shop NAME: found by that name first. order NAME: the order.
at least, more than, at most, less than LENGTH: unbroken length. The rest are plain facts.
"""

from __future__ import annotations

import re
from pathlib import Path

from stash.finding import conditions as c
from stash.finding.words import Known
from stash.lengths import parse_length

DATA = Path(__file__).parents[1] / "data" / "finding"
NAMES = (
    "midnight indigo",
    "deep harbour",
    "harbour rain",
    "blue dots",
    "picnic red",
    "rose garden",
    "olive grove",
    "pond blue",
)
TEXT = " ".join(NAMES)
PLACES = ("top shelf", "bin 3", "blue box", "white cupboard")
SHOPS = ("corner shop", "red door", "green gables")
KNOWN = Known(
    fabric_key={name: key for key, name in enumerate(NAMES, 1)}.get,
    is_called=lambda words: any(set(words) <= set(name.split()) for name in NAMES),
    is_in_text=lambda word: word in TEXT,
    places={name: frozenset({key}) for key, name in enumerate(PLACES, 1)},
    shops=frozenset(SHOPS),
    projects=lambda: {"lamplight": frozenset({1})},
    today=20_000,
)


def corpus(name: str) -> list[tuple[str, str]]:
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    pairs = (line.partition(" -> ") for line in lines if line and not line.startswith("#"))
    return [(query, meaning) for query, _, meaning in pairs]


def wanted(meaning: str) -> list[str]:
    """The meaning in the form of ``told``."""
    return sorted(
        " | ".join(
            sorted(" & ".join(sorted(map(_term, side.split(" & ")))) for side in term.split(" | "))
        )
        for term in meaning.split(" ; ")
    )


def told(conditions: tuple[c.Condition, ...]) -> list[str]:
    """The conditions in the notation of the corpus, in a fixed order."""
    return sorted(part for condition in conditions for part in _parts(condition))


def _term(text: str) -> str:
    text = text.strip()
    if text.startswith("not "):
        return f"not {_term(text[4:])}"
    word, _, rest = text.partition(" ")
    if word in ("reads", "called"):
        return f"{word} {' '.join(sorted(_phrases(rest)))}"
    bound = re.match(r"(at least|more than|at most|less than) (.+)", text)
    if bound:
        return f"{bound[1]} {parse_length(bound[2], default_unit='in')}"
    if word == "with":
        share = re.search(r" (\d+)$", rest)
        name = rest[: share.start()] if share else rest
        return f"with {' '.join(sorted(name.split()))} {share[1] if share else 10}"
    if word in ("yields", "holds"):
        numbers = rest.split()
        count = [numbers.pop(0)] if word == "yields" else []
        sizes = [str(parse_length(" ".join(numbers[i : i + 2]), default_unit="in")) for i in (0, 2)]
        return " ".join([word, *count, *sizes])
    return text


def _phrases(text: str) -> list[str]:
    return text.split()


def _parts(condition: c.Condition) -> list[str]:
    if isinstance(condition, c.AllOf):
        return [part for inner in condition.conditions for part in _parts(inner)]
    if isinstance(condition, c.AnyOf):
        return [
            " | ".join(sorted(" & ".join(sorted(_parts(inner))) for inner in condition.conditions))
        ]
    if isinstance(condition, c.Not):
        inner = _parts(condition.condition)
        return [f"not {inner[0]}" if len(inner) == 1 else f"not [{' & '.join(sorted(inner))}]"]
    return [_told(condition)]


def _told(condition: c.Condition) -> str:
    match condition:
        case c.Colour():
            return f"reads {' '.join(sorted(' '.join(condition.words).split()))}"
        case c.WithColour():
            share = round(100 * condition.least_share)
            return f"with {' '.join(sorted(' '.join(condition.words).split()))} {share}"
        case c.NameFirst():
            return _by_name(condition.name)
        case c.Amount():
            return f"{'more than' if condition.beyond else 'at least'} {condition.length}"
        case c.AmountAtMost():
            return f"{'less than' if condition.below else 'at most'} {condition.length}"
        case c.Word():
            return f'"{condition.text}"'
        case c.Ordered():
            return f"order {condition.asked}"
        case c.Washed():
            return f"washed {'yes' if condition.was_washed else 'no'}"
        case c.Measured():
            return "measured" if condition.is_measured else "estimate"
        case c.DirectionIs(direction="stripe"):
            return "stripe"
        case c.DirectionIs():
            return f"direction {condition.direction}"
        case c.ScaleIs():
            return f"scale {condition.scale}"
        case c.FormIs():
            return f"form {condition.form}"
        case c.InPlace():
            return condition.label if condition.label.startswith("in ") else "in ?"
        case c.FromShop():
            return f"from {condition.shop}"
        case c.ForProject():
            return condition.label
        case c.Third():
            return f"third {condition.band}"
        case c.ValueBetween():
            return f"value {condition.low:g} {condition.high:g}"
        case c.NearValue():
            return f"{condition.relation} {NAMES[condition.key - 1]}"
        case c.Unused():
            return f"unused {20_000 - condition.since}"
        case c.Holds():
            return f"holds {condition.width} {condition.length}"
        case c.Yields():
            return f"yields {condition.count} {condition.width} {condition.length}"
        case c.Favourite():
            return "favourite"
        case c.Available():
            return "available"
        case c.NotPromised():
            return "unpromised"
    return f"? {condition.label}"


def _by_name(name: c.Condition) -> str:
    match name:
        case c.Named():
            return f"called {' '.join(sorted(name.words))}"
        case c.InPlace():
            return f"place {name.label.removeprefix('in ')}"
        case c.FromShop():
            return f"shop {name.shop}"
    return f"by {name.label}"
