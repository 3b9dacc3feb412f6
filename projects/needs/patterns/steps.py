"""Clauses of a pattern's line: cuts, what is cut from the strips before, the diagonal after."""

from __future__ import annotations

import re
from dataclasses import dataclass

from projects.needs.lines.cuts import UnreadableError
from projects.needs.lines.reading import Understood, understand
from projects.needs.patterns.counts import refuse_each
from projects.needs.sewing_rules import NeededCut, NeedsError, Sewing
from stash.lengths import LengthError

__all__ = [
    "Strips",
    "Subcut",
    "check_subcuts",
    "clauses_of",
    "cuts_of",
    "diagonal_of",
    "strips_of",
    "subcut_of",
]

_SUB = r"(?:(?:sub|cross|re)[- ]?cut)"
_STRIPS = (
    r"(?:\s+(?:(?:each|every|of|the|these|those|this|that|them|all|your|long|wof)\b|"
    r"(?:\d[\d /.-]*(?:\"|inch|in\b\.?|cm)?\s*)?(?:wide\s+)?(?:strips?|segments?)\b))*"
)
_SPLIT = re.compile(
    r"\s*;\s*"
    r"|\.\s+(?=(?:then |now |and |next,? )*(?:sub-?|cross-?|re-?)?cut\b|"
    r"(?:from|press|set|label|keep|trim|use|sew|you|this|these|make|discard|reserve)\b)"
    r"|,?\s+(?:and\s+)?then\s+(?=\S)"
    rf"|\s*[,:-]?\s*(?:and\s+)?(?={_SUB}\b)"
    r"|\s*(?:,|:|\s-|\band\b)\s*(?=cut\s+(?:each|every|these|those|them|into|the strips?)\b)"
    r"|\s*(?:,|\band\b)\s*(?=from (?:each|the|these|those)(?: of the)?(?: these)? strips?\b)"
)
_INTO = re.compile(
    rf"^(?:and |then |now )*(?:{_SUB}|cut)\b(?P<what>{_STRIPS})\s*[,:]?\s*"
    r"(?:\bin ?to\b|\bto (?:make|yield|get|give)\b):?\s*(?P<rest>.*)$"
)
_SUBCUT = re.compile(rf"^(?:and |then |now )*{_SUB}\b(?P<what>{_STRIPS})\s*[,:]?\s*(?P<rest>.*)$")
_FROM = re.compile(
    rf"^(?:and |then |now )*from(?P<what>(?=.*\b(?:strips?|these|those|them)\b){_STRIPS})\s*,?\s*"
    rf"(?:{_SUB}|cut|you (?:will )?need(?: to cut)?)?\s*:?\s*(?P<rest>.*)$"
)
_SIZE = r"\d[\d /.-]*?\s*(?:\"|inch(?:es)?|in\b\.?|cm|mm)?"
_NO_COUNT = re.compile(
    rf"^(?:as many )?(?:squares|rectangles|segments|pieces|units)\s*(?:of )?{_SIZE}(?:\s*(?:x|"
    rf"by)\s*{_SIZE})?$"
    rf"|^(?:as many )?\d+(?: \d+/\d+|/\d+|[.]\d+)?\s*(?:\"|-?inch|in\b\.?|cm|mm)?\s*"
    rf"(?:(?:x|by)\s*{_SIZE}\s*)?(?:squares|rectangles|segments|pieces|units)(?: as (?:you can|"
    rf"possible))?$"
)
_EACH_BEHIND = re.compile(
    r"\s*,?\s*\(?\b(?:from|per|out of|of|in)\s+(?:each|every)?\s*(?:of (?:the|these) "
    r")?(?:strips?)\b\)?"
    r"|\s*,?\s*\b(?:from each|per strip)\b"
)
_DIAGONAL = re.compile(
    r"^(?:and |then |now )*(?:sub-?)?cut\s+(?:each|every|these|those|them|the|all|both|of|squares?|"
    r"\d[\d /]*\"?|one|it|in half|into (?:halves|quarters)|once|twice|diagonally|on|along|across|"
    r"diagonals?|a|its|corner to corner|two|2|1|times?|,|\s)+\.?$"
)
_AND = re.compile(r"\s*(?:;|,|\+|&|\band\b|\bplus\b)\s*(?:\band\b\s*)?(?:cut\s+)?")
_KIND = re.compile(
    r"\b(?:squares?|sqs?|rectangles?|rects?|strips?|hsts?|qsts?|half[- ]square|"
    r"quarter[- ]square|geese|"
    r"goose|hourglass(?:es)?|fat|fqs?|f8s?|yd|yds|yards?|metres?|meters?)\b|@|\d\"?\s*(?:x|"
    r"by)\s*[\d.]"
)
_SHAPE = re.compile(r"(?<!half[- ])(?<!quarter[- ])\b(square|rectangle|strip|hst|qst)s?\b")
_OF_TWO = re.compile(
    r"\b(?:hsts?|qsts?|half[- ]square|quarter[- ]square|geese|goose|"
    r"hourglass(?:es)?)\b"
)
_CLOTH = (
    r"(?:(?:light|dark|medium|pale|deep|bright|the) )*(?:red|orange|yellow|green|blue|purple|"
    r"violet|pink|"
    r"brown|black|white|gr[ea]y|cream|ivory|beige|tan|teal|aqua|turquoise|navy|gold|print|"
    r"solid|light|"
    r"dark|medium|background|feature|accent|sashing|border|binding|backing)s?"
)
_TWO_CLOTHS = re.compile(rf"\b{_CLOTH}\s*(?:,|/|&|\+|\band\b|\bor\b)\s*(?:and |or )?{_CLOTH}\b")
# "3 1/2 x 6 1/2 (48)": sizes, and behind them how many.
_COUNT_BEHIND = re.compile(
    r"^(?P<sizes>\d[\d /.]*(?:\"|in\b\.?|cm)?\s*(?:x|by)\s*\d[\d /.]*(?:\"|in\b\.?|"
    r"cm)?[^\d(]*)\((?P<n>\d+)\)$"
)
_NOTE_FOR = re.compile(r"(?<=\S)\s+(?:-\s+)?(for\b.*)$")
_PLAIN_FOR = re.compile(
    r"for\s+(?:the\s+|all\s+|all the\s+|your\s+)?(?:\d{1,4}\s+)?[a-z][a-z' -]*(?:\s\d{1,2}|"
    r"\s[a-z]\d{0,2})?[.:]?"
)
_NOTE_IN_BRACKETS = re.compile(
    r"(?:pieces?|patch(?:es)?|units?|blocks?|rows?|steps?)?\s*[a-z]?\d{0,2}(?:\s*(?:-|,|&|and|"
    r"to)\s*[a-z]?\d{0,2})*"
    r"|\d+\s*(?:squares |rectangles |strips )?(?:per|for each|in each|in every|from each|a|for "
    r"every|each)\b[a-z -]*"
    r"|(?:piece|block|unit|border|row|fabric|template|patch)s? [a-z\d]{1,3}"
    r"|(?:finishe[sd](?: size)?(?: at| to)?:? )[\d ./x\"-]+(?:in|cm|inch(?:es)?)?"
    r"|[\d ./x\"-]+(?:in|cm|inch(?:es)?)? finished"
)
# Patterns are written for cloth up to this much wider than ours, or narrower by as much again.
_WIDER, _NARROWER = (44, 42), (36, 42)


@dataclass(frozen=True, kw_only=True)
class Strips:
    """Strips that others are cut from: how many, how high, how long."""

    count: int
    height: int
    length: int


@dataclass(frozen=True, kw_only=True)
class Subcut:
    """What is cut from the strips before: each of them or all together.

    ``strips`` is how many of them, where that is told.
    """

    each: bool
    rest: str
    strips: int | None = None

    @property
    def fills_strips(self) -> bool:
        """Whether it gives a size and no count, so that the strips themselves are wanted."""
        return _NO_COUNT.match(self.rest) is not None


def clauses_of(plain: str) -> list[str]:
    """Return the clauses of a line, each a cut or a step with what was cut before.

    Parameters
    ----------
    plain : as ``lines.text.plain_text`` gives it

    Examples
    --------
    >>> clauses_of("cut 4 strips 2 1/2 x wof; subcut 64 squares 2 1/2")
    ['cut 4 strips 2 1/2 x wof', 'subcut 64 squares 2 1/2']
    """
    return [clause for clause in (part.strip(" ,.:-") for part in _SPLIT.split(plain)) if clause]


def subcut_of(clause: str) -> Subcut | None:
    """Return what a clause cuts from the strips before it, or nothing where it does not.

    Parameters
    ----------
    clause : one of ``clauses_of``

    Examples
    --------
    >>> subcut_of("subcut each into 16 squares 2 1/2")
    Subcut(each=True, rest='16 squares 2 1/2', strips=None)
    """
    match = _INTO.match(clause) or _SUBCUT.match(clause) or _FROM.match(clause)
    if not match:
        return None
    rest = match["rest"]
    each = re.search(r"\b(?:each|every)\b", match["what"]) is not None
    behind = _EACH_BEHIND.search(rest)
    if behind:
        each = True
        rest = f"{rest[: behind.start()]} {rest[behind.end() :]}"
    rest = re.sub(r"\s*,?\s*\beach\s*\)?$", "", rest)
    some = re.search(r"(?<![/.\d])\b(\d+)\s+(?:of\s+|the\s+|these\s+)*strips?\b", match["what"])
    strips = int(some[1]) if some else None
    return Subcut(each=each, rest=rest.strip(" ,.:"), strips=strips)


def diagonal_of(clause: str) -> str:
    """Return how the squares before are cut on, or nothing where the clause does not say it.

    Parameters
    ----------
    clause : one of ``clauses_of``

    Examples
    --------
    >>> diagonal_of("cut each square twice diagonally")
    'cut twice on the diagonal'
    """
    if not _DIAGONAL.match(clause) or not re.search(r"diagonal|corner to corner", clause):
        return ""
    if re.search(r"\b(?:twice|both|quarters|2 times)\b|diagonals", clause):
        return "cut twice on the diagonal"
    if re.search(r"\b(?:once|half|halves|1 time)\b", clause):
        return "cut once on the diagonal"
    return "cut on the diagonal"


def strips_of(cut: NeededCut) -> Strips | None:
    """Return the cut as strips to cut on, or nothing where it is none.

    Parameters
    ----------
    cut : any line of a cut list
    """
    if cut.kind == "strip across":
        return Strips(count=cut.count, height=cut.length, length=cut.width)
    if cut.kind == "strip along" or "strip" in cut.label:
        height, length = sorted((cut.width, cut.length))
        return Strips(count=cut.count, height=height, length=length)
    return None


def cuts_of(clause: str, *, usable_width: int, sewing: Sewing) -> list[Understood]:
    """Return what a clause asks for: one cut, or several with "and" or a comma between them.

    Parameters
    ----------
    clause : one of ``clauses_of``, without its phrases about counts
    usable_width : assumed for strips across the width, in length units
    sewing : its units are those of bare numbers

    Raises
    ------
    UnreadableError
        It cannot be read whole, or a remark in it holds a number that is not understood.
    NeedsError
        A size or count cannot be planned.
    LengthError
        A size is ambiguous or none.
    """
    clause = re.sub(
        r"^((?:cut|need|make|you need|you will need)\s+)?\((\d+)\)\s*", r"\1\2 ", clause
    )
    clause = re.sub(r"^(?:cut\s+)?(\d+)\s*:\s*(?=\S)", r"\1 ", clause)
    clause = re.sub(r"^(?:cut|need|make)\s*:\s*", "", clause)
    clause = _COUNT_BEHIND.sub(r"\g<n> \g<sizes>", clause)
    refuse_each(clause)
    try:
        _refuse_numbers_in_remarks(clause)
        _refuse_two_cuts(clause)
        return [understand(clause, usable_width=usable_width, sewing=sewing)]
    except (UnreadableError, NeedsError, LengthError) as error:
        parts = [part for part in _AND.split(clause) if part.strip()]
        if len(parts) < 2 or not all(_KIND.search(part) for part in parts):
            raise
        try:
            for part in parts:
                _refuse_numbers_in_remarks(part)
                _refuse_two_cuts(part)
            return [understand(part, usable_width=usable_width, sewing=sewing) for part in parts]
        except (UnreadableError, NeedsError, LengthError):
            raise error from None


def _refuse_two_cuts(clause: str) -> None:
    """Two shapes of one kind are two cuts, and two colours may each want all of them."""
    clause = re.sub(r"(?:#(?!\d)|//| -- ).*$", "", clause)
    kinds = _SHAPE.findall(clause)
    if len(kinds) != len(set(kinds)):
        raise UnreadableError(f"names “{kinds[0]}” twice; give each cut its own line")
    if _TWO_CLOTHS.search(clause) and not _OF_TWO.search(clause):
        raise UnreadableError("names two fabrics; give each its own line, with its own count")


def _refuse_numbers_in_remarks(clause: str) -> None:
    """A remark is set aside; one that counts something may be a cut that would be lost."""
    clause = re.sub(r"(?:#(?!\d)|//| -- ).*$", "", clause)
    behind = _NOTE_FOR.search(clause)
    if behind and re.search(r"\d", behind[1]) and not _PLAIN_FOR.fullmatch(behind[1].strip()):
        raise UnreadableError(f"has “{behind[1]}”, a remark with a number that is not understood")
    outside = re.sub(r"[(\[][^()\[\]]*[)\]]", " ", clause)
    bare = len(re.findall(r"\d+(?: \d+/\d+|/\d+|[.,]\d+)?", outside)) <= 1
    for inner in re.findall(r"[(\[]([^()\[\]]*)[)\]]", clause):
        if re.search(r"\d", inner) and not bare and not _NOTE_IN_BRACKETS.fullmatch(inner.strip()):
            raise UnreadableError(f"has “({inner})”, a remark with a number that is not understood")


def check_subcuts(strips: Strips, cuts: list[NeededCut], *, each: bool, total: bool) -> int:
    """Return how often the counts of the cuts are wanted: for every strip, or once in all.

    Parameters
    ----------
    strips : what they are cut from
    cuts : what is cut from them, as the pattern counts it
    each : whether the pattern says "each"
    total : whether it says that the counts are those of all strips

    Raises
    ------
    UnreadableError
        A cut is larger than its strip, or the numbers of strips and cuts do not belong together:
        then nobody knows whether a count is meant for one strip or for all.

    Notes
    -----
    Strips of 42 in may be planned for cloth of 36 to 44 in (common practice, no source).
    """
    wide = strips.length * _WIDER[0] // _WIDER[1]
    for cut in cuts:
        if min(cut.width, cut.length) > strips.height or max(cut.width, cut.length) > max(
            wide, strips.height
        ):
            raise UnreadableError("cuts something larger than the strips it is cut from")
    one_holds = _strips_for(strips.height, wide, cuts) <= 1
    if each:
        if not one_holds:
            raise UnreadableError("asks for more from each strip than one strip holds")
        return strips.count
    if strips.count == 1:
        return 1
    if one_holds and not total:
        raise UnreadableError(
            f"does not say whether its count is for each of the {strips.count} strips or for "
            f"all of "
            "them; write “each” or “in all”"
        )
    narrow = strips.length * _NARROWER[0] // _NARROWER[1]
    if strips.count > _strips_for(strips.height, narrow, cuts) + 1:
        raise UnreadableError(
            f"cuts less than {strips.count} strips give; write “each”, or the number of strips "
            f"that "
            "are cut on"
        )
    return 1


def _strips_for(height: int, length: int, cuts: list[NeededCut]) -> int:
    """How many strips the cuts fill, put side by side and stacked where they are low."""
    free: list[int] = []
    sizes: list[int] = []
    for cut in cuts:
        along, rows = _lying(height, cut)
        sizes += [along] * -(-cut.count // rows)
    for size in sorted(sizes, reverse=True):
        for place, room in enumerate(free):
            if room >= size:
                free[place] = room - size
                break
        else:
            free.append(length - size)
    return len(free)


def _lying(height: int, cut: NeededCut) -> tuple[int, int]:
    """Return how much of a strip's length one takes, and how many lie above each other."""
    ways = [
        (across, along)
        for across, along in ((cut.length, cut.width), (cut.width, cut.length))
        if across <= height
    ]
    exact = [way for way in ways if way[0] == height]
    return min((along, height // across) for across, along in exact or ways)
