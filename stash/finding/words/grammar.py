"""What “not”, “or”, “and” and “but” belong to: items become conditions.

“Not” reaches over one colour, form or word and over what is joined to it (“not red, orange or
pink”); “no” and “without” reach up to the noun (“no blue dots”). “Or” between two terms of one
kind joins these (“blue or black” in “washed blue or black”), between unlike ones all that stands
on either side (“blue dots or red stripes”).
"""

from __future__ import annotations

from stash.colour.words import HUE_WORDS
from stash.finding import conditions as c
from stash.finding.words.items import Item, Small, all_of, colour_item, negation

__all__ = ["conditions_of"]

_NEGATIONS = (Small.NOT, Small.NO, Small.WITHOUT)
#: What “no” reaches over: a noun and what stands before it.
_NOUNS = ("Word", "DirectionIs", "ScaleIs", "FormIs")
#: Terms that hold for the whole question wherever they stand.
_COMMON = ("Amount", "AmountAtMost", "AllOf", "Ordered")


def conditions_of(items: list[Item]) -> list[c.Condition]:
    """The conditions that the items ask for together."""
    items = _with_negations(items)
    parts = _parted(items)
    if len(parts) < 2:
        return _flat(items)
    common = [
        item
        for part in parts
        for item in part
        if item.kind in _COMMON and sum(_has(other, item.kind) for other in parts) == 1
    ]
    sides = [[item for item in part if item not in common] for part in parts]
    alternatives = [all_of(found) for side in sides if (found := _flat(side))]
    found = [_any_of(alternatives)] if alternatives else []
    return [*found, *(item.condition for item in common if item.condition is not None)]


def _has(items: list[Item], kind: str) -> bool:
    return any(item.kind == kind for item in items)


def _any_of(alternatives: list[c.Condition]) -> c.Condition:
    if len(alternatives) == 1:
        return alternatives[0]
    return c.AnyOf(
        source=" or ".join(part.source for part in alternatives),
        label=" or ".join(
            part.label.removeprefix("reads ") if i else part.label
            for i, part in enumerate(alternatives)
        ),
        conditions=tuple(alternatives),
    )


def _with_negations(items: list[Item]) -> list[Item]:
    """The items with every negation and what it reaches over as terms of their own."""
    found: list[Item] = []
    at = 0
    while at < len(items):
        small = items[at].small
        if small not in _NEGATIONS:
            found.append(items[at])
            at += 1
            continue
        word = items[at].source
        at += 1
        if at < len(items) and items[at].small in _NEGATIONS:
            at += 1  # not without: both say nothing
            continue
        group, at = _reached(items, at, small)
        groups = [group] if group else []
        while group:
            following = _continued(items, at, group[0].kind)
            if following is None:
                break
            group, at = _reached(items, following, small)
            groups += [group] if group else []
        found += [_negated(group, word, small) for group in groups]
    return found


def _reached(items: list[Item], at: int, small: Small | None) -> tuple[list[Item], int]:
    """The terms that a negation reaches over from here, and where they end."""
    group: list[Item] = []
    while at < len(items) and items[at].condition is not None:
        kind = items[at].kind
        words = kind == "Word" and all(item.kind == "Word" for item in group)
        to_noun = small is not Small.NOT and kind in _NOUNS
        if group and not words and not (to_noun and group[-1].kind in ("Colour", *_NOUNS)):
            break
        group.append(items[at])
        at += 1
    return group, at


def _continued(items: list[Item], at: int, kind: str) -> int | None:
    """Where the next of several negated terms begins, if there is one."""
    if at >= len(items):
        return None
    following = at + 1
    if items[at].small is Small.OR:
        if following < len(items) and items[following].small in _NEGATIONS:
            following += 1
    elif items[at].small is Small.AND:
        pass
    elif items[at].small is not Small.COMMA or not _is_list(items, at, kind):
        return None
    is_same = following < len(items) and items[following].kind == kind
    return following if is_same else None


def _is_list(items: list[Item], at: int, kind: str) -> bool:
    """Whether from this comma on terms of a kind follow each other up to an “or” or “and”."""
    while at + 1 < len(items) and items[at].small is Small.COMMA and items[at + 1].kind == kind:
        at += 2
    joined = at < len(items) and items[at].small in (Small.OR, Small.AND)
    return joined and at + 1 < len(items) and items[at + 1].kind == kind


def _negated(group: list[Item], word: str, small: Small | None) -> Item:
    conditions = []
    for item in group:
        condition = item.condition
        if isinstance(condition, c.NameFirst) and _is_colour(condition):
            condition = all_of(list(condition.otherwise))
        if small is Small.WITHOUT and isinstance(condition, c.Colour) and len(group) == 1:
            condition = _in_it(item)
        if condition is not None:
            conditions.append(condition)
    source = f"{word} {' '.join(item.source for item in group)}"
    return Item("Not", source, negation(all_of(conditions), source))


def _is_colour(condition: c.NameFirst) -> bool:
    """Whether the words are colours: “not olive” hides nothing because it is called olive."""
    return all(isinstance(part, c.Colour) for part in condition.otherwise)


def _in_it(item: Item) -> c.Condition:
    """A colour in the cloth rather than of the cloth."""
    name = " ".join(item.words)
    return c.WithColour(
        source=f"with {item.source}",
        label=f"with at least {100 * c.LEAST_SHARE:.0f} % {name} in it",
        words=item.words,
    )


def _hues_apart(item: Item) -> list[Item]:
    """“Red white” before “and blue” are two colours, not one between them."""
    if len(item.words) < 2 or not all(word in HUE_WORDS for word in item.words):
        return [item]
    return [colour_item([word], [word]) for word in item.words]


def _parted(items: list[Item]) -> list[list[Item]]:
    """The items on either side of every “or” that joins unlike terms."""
    parts: list[list[Item]] = [[]]
    for at, item in enumerate(items):
        if item.small is Small.OR and not _is_tight(items, at):
            parts.append([])
        else:
            parts[-1].append(item)
    return [part for part in parts if any(item.condition is not None for item in part)]


def _is_tight(items: list[Item], at: int) -> bool:
    if not 0 < at < len(items) - 1:
        return True  # an “or” at an end joins nothing
    before, behind = items[at - 1], items[at + 1]
    return before.kind == behind.kind and before.condition is not None


def _flat(items: list[Item]) -> list[c.Condition]:
    """The conditions of items without a wide “or”: lists of alternatives, and the rest together."""
    loose: list[Item] = []
    others: list[c.Condition] = []
    at = 0
    while at < len(items):
        item = items[at]
        if item.condition is None:
            at += 1
            continue
        several, end, is_either = _listed(items, at)
        if len(several) == 1:
            if item.words:
                loose.append(item)
            else:
                others.append(item.condition)
        elif is_either:
            others.append(_any_of([part.condition for part in _shared(several) if part.condition]))
        elif item.kind == "Colour" and all(part.has_hue and part.words for part in several):
            others += [_in_it(hue) for part in several for hue in _hues_apart(part)]
        else:
            loose += [part for part in several if part.words]
            others += [part.condition for part in several if part.condition and not part.words]
        at = end
    return [*_merged(loose), *_each_once(others)]


def _listed(items: list[Item], at: int) -> tuple[list[Item], int, bool]:
    """The terms of one kind that are joined from here on, where they end, and if by “or”."""
    kind = items[at].kind
    several = [items[at]]
    is_either = False
    at += 1
    while at + 1 < len(items):
        small, following = items[at].small, items[at + 1]
        if following.kind != kind or small not in (Small.OR, Small.AND, Small.COMMA):
            break
        if small is Small.COMMA and not _is_list(items, at, kind):
            break
        is_either |= small is Small.OR
        several.append(following)
        at += 2
    return several, at, is_either or any(item.is_plural for item in several[:-1])


def _shared(several: list[Item]) -> list[Item]:
    """“Dark or light blue”: a hue said once, at the end, counts for what stands before it."""
    last = several[-1]
    if not last.has_hue or not last.words or any(item.has_hue for item in several[:-1]):
        return several
    if any(not item.words for item in several):
        return several
    hues = [word for word in last.words if _is_hue(word)]
    return [
        *(colour_item([*item.words, *hues], [item.source, *hues]) for item in several[:-1]),
        last,
    ]


def _is_hue(word: str) -> bool:
    """Whether a colour word says more than how light or strong a colour is."""
    return Item("Colour", word, c.Colour(source=word, label=word, words=(word,))).has_hue


def _merged(loose: list[Item]) -> list[c.Condition]:
    """Colours that stand apart in the text are one colour together."""
    if not loose:
        return []
    slips = tuple(
        slip
        for item in loose
        if isinstance(item.condition, c.Colour)
        for slip in item.condition.corrected
    )
    words = [word for item in loose for word in item.words]
    item = colour_item(words, [item.source for item in loose], corrected=slips)
    return [item.condition] if item.condition is not None else []


def _each_once(conditions: list[c.Condition]) -> list[c.Condition]:
    return list({condition.label: condition for condition in reversed(conditions)}.values())[::-1]
