"""The plain words of the search box: forms, states, small words, and what says nothing."""

from __future__ import annotations

from collections.abc import Callable

from stash.finding import conditions as c
from stash.finding.words.items import Small

__all__ = ["FILLERS", "FORMS", "LONGEST_PLAIN", "NOTHING_SAID", "PLAIN_WORDS", "SMALL", "STATES"]

FORMS = {
    "fat quarter": "fat quarter",
    "fat quarters": "fat quarter",
    "fat eighth": "fat eighth",
    "fat eighths": "fat eighth",
    "long quarter": "long quarter",
    "long quarters": "long quarter",
    "fq": "fat quarter",
    "fqs": "fat quarter",
    "f8": "fat eighth",
    "f8s": "fat eighth",
    "yardage": "yardage",
    "yardages": "yardage",
    "panel": "panel",
    "panels": "panel",
    "scrap": "scrap",
    "scraps": "scrap",
    "squares": "square",
    "strips": "strip",
}
STATES: dict[str, Callable[[str], c.Condition]] = {
    "washed": lambda s: c.Washed(source=s, label="washed before use", was_washed=1),
    "prewashed": lambda s: c.Washed(source=s, label="washed before use", was_washed=1),
    "unwashed": lambda s: c.Washed(source=s, label="not washed", was_washed=0),
    "not washed": lambda s: c.Washed(source=s, label="not washed", was_washed=0),
    "never washed": lambda s: c.Washed(source=s, label="not washed", was_washed=0),
    "not prewashed": lambda s: c.Washed(source=s, label="not washed", was_washed=0),
    "not measured": lambda s: c.Measured(source=s, label="value is an estimate", is_measured=False),
    "favourite": lambda s: c.Favourite(source=s, label="favourite"),
    "favourites": lambda s: c.Favourite(source=s, label="favourite"),
    "favorite": lambda s: c.Favourite(source=s, label="favourite"),
    "favorites": lambda s: c.Favourite(source=s, label="favourite"),
    "available": lambda s: c.Available(source=s, label="something available"),
    "not promised": lambda s: c.NotPromised(source=s, label="not promised"),
    "unpromised": lambda s: c.NotPromised(source=s, label="not promised"),
    "estimate": lambda s: c.Measured(source=s, label="value is an estimate", is_measured=False),
    "estimates": lambda s: c.Measured(source=s, label="value is an estimate", is_measured=False),
    "measured": lambda s: c.Measured(source=s, label="value is measured", is_measured=True),
    "one-way": lambda s: c.DirectionIs(source=s, label="one-way print", direction="one-way"),
    "two-way": lambda s: c.DirectionIs(source=s, label="two-way print", direction="two-way"),
    "stripe": lambda s: c.DirectionIs(source=s, label="striped", direction="stripe"),
    "stripes": lambda s: c.DirectionIs(source=s, label="striped", direction="stripe"),
    "striped": lambda s: c.DirectionIs(source=s, label="striped", direction="stripe"),
    "non directional": lambda s: c.DirectionIs(source=s, label="no direction", direction="none"),
    "solid": lambda s: c.ScaleIs(source=s, label="solid", scale="solid"),
    "plain": lambda s: c.ScaleIs(source=s, label="solid", scale="solid"),
    "plains": lambda s: c.ScaleIs(source=s, label="solid", scale="solid"),
    "solids": lambda s: c.ScaleIs(source=s, label="solid", scale="solid"),
    **{
        f"{scale} {noun}": lambda s, scale=scale: c.ScaleIs(  # type: ignore[misc]
            source=s, label=f"{scale} print", scale=scale
        )
        for scale in ("small", "medium", "large")
        for noun in ("print", "prints", "scale", "scale print", "scale prints")
    },
}


#: Single words that mean something here besides colours; for suggestions.
PLAIN_WORDS = tuple(word for word in (*FORMS, *STATES) if " " not in word)

SMALL: dict[str, Small] = {
    "or": Small.OR,
    "nor": Small.OR,
    "and": Small.AND,
    "but": Small.BUT,
    "yet": Small.BUT,
    "though": Small.BUT,
    ",": Small.COMMA,
    "not": Small.NOT,
    "never": Small.NOT,
    "neither": Small.NOT,
    "non": Small.NOT,
    "isn't": Small.NOT,
    "isnt": Small.NOT,
    "aren't": Small.NOT,
    "arent": Small.NOT,
    "don't": Small.NOT,
    "dont": Small.NOT,
    "doesn't": Small.NOT,
    "no": Small.NO,
    "none": Small.NO,
    "nothing": Small.NO,
    "except": Small.NO,
    "except for": Small.NO,
    "excepting": Small.NO,
    "excluding": Small.NO,
    "leaving out": Small.NO,
    "leave out": Small.NO,
    "minus": Small.NO,
    "other than": Small.NO,
    "apart from": Small.NO,
    "aside from": Small.NO,
    "rather than": Small.NO,
    "instead of": Small.NO,
    "without": Small.WITHOUT,
    "without any": Small.WITHOUT,
    "with no": Small.WITHOUT,
    **{
        f"{every} {other}": Small.NO
        for every in ("all", "any", "anything", "everything", "any colour", "any color", "every")
        for other in ("but", "except", "but not", "other than", "apart from")
    },
}
LONGEST_PLAIN = max(len(phrase.split()) for phrase in (*FORMS, *STATES, *SMALL))

#: Words of a sentence that ask for nothing by themselves.
FILLERS = frozenset(
    "reads read show me find list see search look looking want need please i we you do does did"
    " have has had got get any some my our all every the a an this that these those which what"
    " where who there is are was were be it its of in on at to from for with something anything"
    " everything fabric fabrics cloth cloths material materials stuff thing things one ones either"
    " both only just so too quite rather fairly really very enough kind sort bit little mostly"
    " colour colours color colors coloured colored shade shades tone tones toned value values"
    " valued hue hues like nice lovely pretty good true pure as than least".split()
)
#: Phrases that look like a small word and say nothing: “nothing but blue” is blue.
NOTHING_SAID = ("nothing but", "nothing except", "none but")
