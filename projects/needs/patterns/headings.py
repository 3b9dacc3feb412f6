"""Headings and labels of a pattern: which part the lines belong to, and how often they count."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from projects.needs.lines.text import in_digits, plain_text, without_bullet
from projects.needs.patterns.counts import MULTIPLIES, Times, times_of_heading
from projects.needs.patterns.words import (
    PIECE_LABEL,
    PLAIN_HEADING,
    ROLE_FIRST,
    SECTIONS,
    is_no_cloth,
    name_key,
    role_of,
)

__all__ = ["Heading", "Names", "heading_of", "is_block_count", "is_remark", "is_title"]

_BULLET = re.compile(r"^\s*(?:[-*+>•·‣▪●◦#]+\s*|\[[ xX]?\]\s*|\d{1,3}[.)]\s+|[a-zA-Z][.)]\s+)")
_FROM = re.compile(
    r"^(?:(?:now|next|then|and),? )?(?:from|using|with)(?: the| your)? (?P<name>[^\d:;,.]{1,60}?),?"
    r"(?: (?:you will need to |you need to |please )?(?:sub-?)?cut(?: the following(?: pieces)?)?\b"
    r"| you (?:will )?need\b|\s*:)\s*[:,-]?\s*(?P<rest>.*)$",
    re.IGNORECASE,
)
_CUT_FROM = re.compile(
    r"^cut (?:the following(?: pieces)? )?(?:from|of)(?: the| your)? (?P<name>[^\d:;,.]{1,60}?)\s*"
    r"(?::\s*(?P<rest>.*))?$",
    re.IGNORECASE,
)
_CUT_BEHIND = re.compile(
    r"^(?P<name>[^\d:;.]{1,60}?)\s*(?:,|-|–|—)?\s*(?:cut|to cut)(?: the "
    r"following)?\s*[:-]\s*(?P<rest>.*)$",
    re.IGNORECASE,
)
_LABEL = re.compile(r"^(?P<name>[^:;]{1,60}?)\s*:\s*(?P<rest>.*)$")
# "Light scraps - 1 1/4 yd", where a pattern lists what to buy.
_BOUGHT = re.compile(r"^(?P<name>[^\W\d_][^\d:;]{1,40}?)\s*[-–—,]?\s*(?P<rest>\(?[\d½¼¾⅛⅜⅝⅞⅓⅔].*)$")
_NOT_BOUGHT = re.compile(r"^(?:at|about|approx\w*|up|min\w*|you|need|scant|total|cut|a|an|of)\b")
_NOT_A_NAME = re.compile(
    r"^(?:each|every|these|those|this|that|the strips?|strips?|them|the (?:rest|remaining|"
    r"remainder)\b.*|"
    r"(?:rest|remaining|remainder|leftovers?)\b.*|.*\bstrips?)$"
)
_BLOCK_COUNT = re.compile(
    r"^(?:(?P<own>[a-z][a-z' -]*?),?\s*)?\(?(?:makes?|make up|you need|for)?\s*(?P<n>\d+)"
    r"(?:\s+(?:[a-z'-]+ ){0,2}?(?:blocks?|stars|units|cushions|mats|place ?mats))?\s*\)?\s*:?$"
)
_FOR_ALL = re.compile(r"\b(?:for )?all(?: of)?(?: the)? \d+ |\bin all\b|\btotals?\b")
_SIZE_OF_QUILT = re.compile(
    r"\b(?:finished|completed|quilt|top|block|unfinished|sample)\s*(?:quilt|top|block|blocks)?\s*"
    r"(?:sizes?|measures|measurements?|finishes (?:at|to)|dimensions)\b|^(?:quilt|top|"
    r"size)\b[^a-z]*\d"
)
_SEAM = re.compile(
    r"^(?:all )?(?:seams?|seam allowances?)\b.*\b(?:allowances?|seams?)\b|^(?:a |use "
    r")?.{0,12}seam allowances?\b"
)


@dataclass(frozen=True, kw_only=True)
class Heading:
    """What stands before a line's cuts, or alone on it; ``rest`` is the line behind it.

    ``label`` names a patch and no part; a *passing* title is that of its own line alone.
    """

    title: str = ""
    rest: str = ""
    section: str = ""
    times: Times | None = None
    is_multiplier: bool = False
    label: str = ""
    is_passing: bool = False
    ends_times: bool = False


class Names:
    """The names of parts that a text or its project knows."""

    def __init__(self, names: Collection[str]) -> None:
        self._titles = {name_key(name): name for name in names if name_key(name)}

    @property
    def keys(self) -> Collection[str]:
        """Their keys."""
        return self._titles.keys()

    def learn(self, lines: Sequence[str]) -> None:
        """Learn the names that stand alone on a line with a colon behind them.

        Parameters
        ----------
        lines : the whole text
        """
        for line in lines:
            text = " ".join(line.split())
            found = heading_of(text, self, has_heading=False) if text else None
            if found is not None and found.title and not found.rest and len(found.title) <= 60:
                self._titles.setdefault(name_key(found.title), found.title)

    def title_of(self, key: str) -> str:
        """Return the name as it was written, or a role's own word.

        Parameters
        ----------
        key : of a name that is known or a role
        """
        return self._titles.get(key, key.capitalize())

    def named_in(self, words: str) -> list[str]:
        """Return the keys of the parts and roles that a line's words name.

        Parameters
        ----------
        words : what was left over of a line
        """
        plain = f" {' '.join(words.split())} "
        found = [key for key in self._titles if f" {key} " in plain]
        if found:
            return found
        role = role_of(words)
        return [role] if role != "other" else []


def heading_of(text: str, names: Names, *, has_heading: bool, section: str = "") -> Heading | None:
    """Return the heading or label that a line begins with, or nothing where it has none.

    Parameters
    ----------
    text : a line, as it was written but for white space
    names : of the parts that are known
    has_heading : whether the line stands below a heading, so that a label is one of its patches
    section : which section of the pattern it stands in
    """
    text = _BULLET.sub("", text).strip(" *_")
    plain = in_digits(plain_text(text))
    if not re.search(r"[^\W\d_]", plain):
        return None
    begun = _section_of(plain)
    if begun:
        return Heading(section=begun)
    multiplier = _multiplier(text, plain)
    if multiplier is not None:
        return multiplier
    for pattern in (_FROM, _CUT_FROM, _CUT_BEHIND):
        match = pattern.match(text)
        name = match["name"].lower().strip() if match else ""
        if match and not _NOT_A_NAME.match(name) and not MULTIPLIES.search(name):
            name = match["name"].strip(" -–—,")
            rest = (match["rest"] or "").strip()
            if name and not PIECE_LABEL.match(name.lower()) and not is_no_cloth(name.lower()):
                return Heading(title=_title(name), rest=rest)
    label = _LABEL.match(text)
    if label:
        return _label(label["name"].strip(), label["rest"].strip(), names, has_heading=has_heading)
    bought = _BOUGHT.match(text) if section == "materials" else None
    if bought and not _NOT_BOUGHT.match(plain):
        return Heading(title=_title(bought["name"]), rest=bought["rest"])
    first = ROLE_FIRST.match(plain)
    if first:
        start = len(first["name"])
        return Heading(title=_title(text[:start]), rest=text[start:].strip(" -–—:,"))
    if not re.search(r"\d", plain.replace("border", "")) or name_key(plain) in names.keys:
        alone = PLAIN_HEADING.match(plain)
        if alone or name_key(plain) in names.keys:
            return Heading(
                title=_title(re.sub(r"^(?:for )?(?:the )?", "", text, flags=re.IGNORECASE))
            )
    return None


def _title(name: str) -> str:
    name = name.strip(" *_#-–—:,")
    name = re.sub(r"^(?:for )?(?:the )", "", name, flags=re.IGNORECASE)
    return name[:1].upper() + name[1:]


def _section_of(plain: str) -> str:
    name = plain.strip(" :.-=*_#")
    name = re.sub(r"^[^\d:]{2,60} - (?!(?:to )?cut$)", "", name)
    return next((section for section, pattern in SECTIONS if pattern.match(name)), "")


def _multiplier(text: str, plain: str) -> Heading | None:
    """A heading such as "For each of 12 blocks:" or "From each of 12 fat quarters, cut"."""
    head, colon, rest = plain.partition(":")
    if not re.search(r"\b(?:each|every|per|one)\b", head) or rest.strip():
        return None
    head = re.sub(r",?\s*(?:you (?:will )?need(?: to)?|cut)(?: the following)?\s*$", "", head)
    if not colon and not re.match(r"^(?:from|for|in|to) (?:each|every)\b.*$", plain):
        return None
    if re.search(r"\b(?:strips?|these|those)\b", head):
        return None
    times = times_of_heading(head)
    if times is None:
        if re.match(r"^(?:for|in|from|to make)? ?(?:each|every|one)\b", head):
            return Heading(is_multiplier=True)
        return None
    left = re.sub(r"\d+(?:\s*\d+/\d+)?", "", head.replace(times.noun, ""))
    if re.search(r"\b(?:squares?|rectangles?|hst|qst)\b|\bx\b", left):
        return None
    is_cloth = not re.search(r"block|star|unit|mat|cushion|pillow|row|quilt", times.noun)
    return Heading(is_multiplier=True, times=times, title=_title(times.noun) if is_cloth else "")


def _label(name: str, rest: str, names: Names, *, has_heading: bool) -> Heading | None:
    plain = in_digits(plain_text(name)).strip()
    if _section_of(plain):
        # "Cutting: ..." and "Fabric: ..." say nothing of the part.
        return Heading(section=_section_of(plain)) if not rest else Heading(label=name, rest=rest)
    if re.match(r"^(?:cut|need|make|qty|quantity|sub|then)\b", plain):
        return None
    if MULTIPLIES.search(plain) and not _FOR_ALL.search(plain):
        return None
    key = name_key(plain)
    is_known = key in names.keys or role_of(plain) != "other"
    sized = re.search(
        r"\d\s*(?:\"|in\b|cm|x|/)|\b(?:squares?|rectangles?|strips?|hsts?|qsts?|geese)\b", plain
    )
    if sized or re.match(r"^\(?\d", plain) or not re.search(r"[a-z]", plain):
        return None
    count = is_block_count(plain) is not None
    if re.search(r"\bblocks?\b|\bunits?\b", plain) or (count and not is_known):
        if rest:
            return None if count and not _FOR_ALL.search(plain) else Heading(label=name, rest=rest)
        return None if count and not _FOR_ALL.search(plain) else Heading(ends_times=True)
    if _FOR_ALL.search(plain) and not is_known:
        return Heading(ends_times=True, rest=rest)
    if PIECE_LABEL.match(plain) and not is_known:
        return Heading(label=name, rest=rest) if rest else Heading()
    if is_no_cloth(plain) or _SIZE_OF_QUILT.search(plain) or _SEAM.match(plain):
        return None
    title = _title(re.sub(r"\s*\([^)]*\)$", "", name) or name)
    return Heading(title=title, rest=rest, is_passing=bool(rest) and has_heading and not is_known)


def is_title(text: str) -> bool:
    """Whether the first line of a text looks like the name of the pattern.

    Parameters
    ----------
    text : as it was written

    Examples
    --------
    >>> is_title("Harbour Lights"), is_title("plenty of blue")
    (True, False)
    """
    words = text.split()
    if re.search(r"\d|[:;]", text) or not 1 <= len(words) <= 8 or not words[0][:1].isupper():
        return False
    return all(word[:1].isupper() or len(word) <= 3 or not word[0].isalpha() for word in words)


def is_block_count(plain: str) -> int | None:
    """Return how many blocks a line tells of, where it leaves open what its counts are for.

    Parameters
    ----------
    plain : as ``lines.text.plain_text`` gives it, with number words in digits

    Examples
    --------
    >>> is_block_count("star block (make 12):")
    12
    """
    match = _BLOCK_COUNT.match(plain.strip())
    if not match or _FOR_ALL.search(plain):
        return None
    if not re.search(r"\b(?:makes?|blocks?|stars|units|cushions|mats)\b", plain):
        return None
    return int(match["n"])


def is_remark(plain: str, *, is_sewing: bool) -> bool:
    """Whether a line tells what to do, or the size of the quilt, and asks for no cloth.

    Parameters
    ----------
    plain : as ``lines.text.plain_text`` gives it, with number words in digits
    is_sewing : whether it stands in a section about sewing

    Examples
    --------
    >>> is_remark("press the seams open.", is_sewing=False)
    True
    """
    plain = without_bullet(plain)
    if _SIZE_OF_QUILT.search(plain) or _SEAM.match(plain):
        return not re.search(r"\b(?:cut|squares|strips|rectangles|yd|yards?)\b", plain)
    if not is_no_cloth(plain):
        return False
    return is_sewing or not re.search(r"\d", plain)
