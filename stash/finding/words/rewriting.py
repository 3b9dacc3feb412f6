"""The same said in fewer ways, before anything is read: contractions, numbers in words."""

from __future__ import annotations

import re

from stash.text import fold

__all__ = ["LONGEST_TEXT", "rewritten"]

LONGEST_TEXT = 400
_UNIT = r"(?:yds?|yards?|metres?|meters?|m|cm|feet|foot|ft|inch|inches)"
_NUMBERS = dict(
    zip("one two three four five six seven eight nine ten".split(), range(1, 11), strict=True)
)
_PARTS = {"half": "1/2", "third": "1/3", "quarter": "1/4", "eighth": "1/8"}
_COUNT = "|".join((*_NUMBERS, "an?", r"\d+"))
_PART = "|".join(_PARTS)

_PLAIN: tuple[tuple[str, str], ...] = (
    (r"[\u2018\u2019`´]", "'"),
    (r"[\u201c\u201d]", '"'),
    (r"[;]", ","),
    (r"(?<=[a-z])/(?=[a-z])", " or "),
    (r"(?<=[a-z]) ?[&+] ?(?=[a-z])", " and "),
    (r"\bnon-", "non "),
    (r"\b(?:is|are|was|were|do|does|did) not\b", "not"),
    (r"\b(?:don't|dont|do not|not) (?:want|need|like|show)\b", "not"),
    (r"\bpalest\b", "pale lightest"),
    (r"\bdeepest\b", "deep darkest"),
    (r"\bbrightest\b", "bright"),
    (r"\b(light|dark) to (medium|mid)\b", r"\1 or \2"),
    (r"\b(medium|mid) to (light|dark)\b", r"\1 or \2"),
    (r"[.!?]+(?= |$)", " "),
    (rf"(?<=\d) ?\+(?= {_UNIT}\b)|(?<=[a-z])\+(?= |$)", " or more"),
)


def rewritten(text: str) -> str:
    """The folded text, cut to LONGEST_TEXT, with what is said in many ways said in one."""
    # Characters that nobody types stand for what was taken out; see ``patterns``.
    plain = re.sub(r"[\ue000-\uf8ff]", " ", fold(text)[:LONGEST_TEXT])
    for pattern, other in _PLAIN:
        plain = re.sub(pattern, other, plain)
    return " ".join(_with_figures(plain).split())


def _with_figures(text: str) -> str:
    """Numbers in words before a unit of length as figures: “a yard and a half” is 1 1/2 yard."""
    text = re.sub(
        rf"\b({_COUNT}) and an? ({_PART}) ({_UNIT})\b",
        lambda m: f"{_figure(m[1])} {_PARTS[m[2]]} {m[3]}",
        text,
    )
    text = re.sub(
        rf"\b({_COUNT}) ({_UNIT}) and an? ({_PART})\b",
        lambda m: f"{_figure(m[1])} {_PARTS[m[3]]} {m[2]}",
        text,
    )
    text = re.sub(rf"\b(?:three|3) quarters? (?:of )?(?:an? )?({_UNIT})\b", r"3/4 \1", text)
    text = re.sub(
        rf"\b(?:an? |one )?({_PART}) (?:of )?(?:an? )?({_UNIT})\b",
        lambda m: f"{_PARTS[m[1]]} {m[2]}",
        text,
    )
    return re.sub(rf"\b({_COUNT}) ({_UNIT})\b", lambda m: f"{_figure(m[1])} {m[2]}", text)


def _figure(count: str) -> str:
    return count if count.isdigit() else str(_NUMBERS.get(count, 1))
