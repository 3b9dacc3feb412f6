"""One pasted line taken apart: phrases the trade uses, numbers with units, comments.

Nothing here decides what a line means; ``lines`` does.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field

__all__ = ["NUMBER", "Number", "ScannedLine", "in_digits", "plain_text", "scan", "without_bullet"]

_SIGNS = {
    "½": " 1/2 ",
    "⅓": " 1/3 ",
    "⅔": " 2/3 ",
    "¼": " 1/4 ",
    "¾": " 3/4 ",
    "⅛": " 1/8 ",
    "⅜": " 3/8 ",
    "⅝": " 5/8 ",
    "⅞": " 7/8 ",
    "⁄": "/",
    "∕": "/",
} | {
    sign: written
    for signs, written in (
        ("“”″„", '"'),
        ("‘’′´", "'"),
        ("×✕✖", " x "),
        ("–—−", " - "),
        ("‐‑", "-"),
    )
    for sign in signs
}
_BULLET = re.compile(
    r"\s*(?:[-*+>•·‣▪●◦□☐▢]+\s*|\[[ x]?\]\s*|\d{1,3}[.)]\s+|[a-z][.)]\s+)", re.ASCII
)
_COMMENT = re.compile(r"(?:#(?!\d)|//| -- )(.*)$")
_FOR = re.compile(r"(?<=\S)\s+(?:-\s+)?(for\b.*)$")
_PARENTHESIS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")

# Number words: one to ninety-nine, as pattern writers use them for counts.
_WORDS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
    "thirteen": 13,
    "fourteen": 14,
    "fifteen": 15,
    "sixteen": 16,
    "seventeen": 17,
    "eighteen": 18,
    "nineteen": 19,
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
}
_TENS = "|".join(word for word, number in _WORDS.items() if number >= 20)
_ONES = "|".join(word for word, number in _WORDS.items() if number < 10)
_TO_NINETEEN = "|".join(reversed([word for word, number in _WORDS.items() if number < 20]))
_NUMBER_WORD = re.compile(rf"\b(?:({_TENS})(?:[- ]({_ONES}))?|({_TO_NINETEEN}))\b")

# Phrases in the order in which they are taken out of the line; longer readings come first.
_PHRASES: tuple[tuple[str, str], ...] = (
    ("at a time", r"\b(?:one|two|four|eight|[1248])[- ]at[- ]a[- ]time\b"),
    ("diagonal", r"\b(?:(?:sub-?)?(?:cut |and |each |these |them )*"
                 r"(?:once |twice |in half |into halves |corner to corner |1 time |2 times )?"
                 r"(?:diagonally|(?:on|along|across) (?:the |both |each |one |its |a )?diagonals?)"
                 r"(?: once| twice| in half)?|cut (?:each )?(?:once|twice)(?! (?:the|as|a)\b))\b"),
    ("turning", r"\b(?:non-?directional|not directional|turning (?:is )?(?:ok|okay|allowed|fine)|"
                r"(?:may|can) be turned)\b"),
    ("no turning", r"\b(?:no (?:turning|turn|rotation|rotating)|"
                   r"(?:do not|don'?t|never|not to be|not) (?:be )?(?:turn|rotat)(?:ed|ing|e)?|"
                   r"(?:one|two|1|2)[- ]way|(?:uni)?directional|unturned|with (?:the )?nap)\b"),
    ("by length", r"(?:\bx|\bby)\s+(?:the\s+)?(?:full\s+)?"
                  r"(?:l\.?o\.?f\b\.?|length\b(?: of (?:the )?fabric\b)?)"),
    ("by width", r"(?:\bx|\bby)\s+(?:the\s+)?(?:full\s+)?(?:usable\s+)?"
                 r"(?:w\.?o\.?f\b\.?|width\b(?: of (?:the )?fabric\b)?)"),
    ("along", r"\b(?:(?:cut |on |along |down |with )*(?:the )?"
              r"(?:lof\b|lengthwise(?: grain)?|length of (?:the )?fabric|lengthways)|"
              r"(?:along|down) (?:the )?(?:length|grain|selvages?|selvedges?)|"
              r"parallel to (?:the )?(?:selvages?|selvedges?))\b"),
    ("across", r"\b(?:(?:cut |on |with )*(?:across |from )?(?:the )?"
               r"(?:wof\b|crosswise(?: grain)?|(?:full )?width of (?:the )?fabric|full width)|"
               r"across (?:the )?(?:width|fabric)|selvage to selvage|selvedge to selvedge)\b"),
    ("cut size", r"\b(?:unfinished|untrimmed|raw|cut sizes?)\b"),
    ("finished", r"\b(?:finished|finishing|finishes)\b(?: (?:size|at|to)\b)?"),
    ("hst", r"\b(?:half[- ]square(?:[- ]triangles?)?|hsts?)\b"),
    ("qst", r"\b(?:quarter[- ]square(?:[- ]triangles?)?|qsts?|hourglass(?:es)?)\b"),
    ("geese", r"\b(?:flying[- ](?:geese|goose)|geese|goose)\b"),
    ("fat quarter", r"\b(?:fat[- ](?:quarters?|1/4s?)|f\.?/?q(?:'?s)?\b\.?|fat 4ths?)"),
    ("fat eighth", r"\b(?:fat[- ](?:eighths?|8ths?|1/8s?)|f\.?/?8(?:th)?(?:'?s)?\b|"
                   r"f\.?/?e(?:'?s)?\b)"),
    ("long quarter", r"\blong[- ]quarters?\b"),
    ("square", r"\b(?:squares?|sqs?\b\.?)"),
    ("rectangle", r"\b(?:rectangles?|rects?\b\.?|oblongs?)"),
    ("strip", r"\bstrips?\b"),
)  # fmt: skip
_COMPILED = tuple((name, re.compile(pattern, re.ASCII)) for name, pattern in _PHRASES)

_UNIT = (
    r"(?:yards?|yds?\b\.?|inches|inch|ins|in\b\.?|feet|foot|ft\b\.?|centimet(?:re|er)s?|cms?\b\.?|"
    r"millimet(?:re|er)s?|mm\b\.?|met(?:re|er)s?|m\b\.?|\"|''|')"
)
NUMBER = re.compile(
    rf"""(?<![\d.,/])
    (?:(?P<named>(?:an?\ )?(?:half|third|quarter|eighth)(?:\ of)?(?:\ an?)?
          \ (?:yard|yd|met(?:re|er))\b)
      |(?P<number>\d{{1,9}}(?:\s+|-)\d{{1,4}}\s?/\s?\d{{1,4}}   # 2 1/2, 2-1/2
         |\d{{1,6}}\s?/\s?\d{{1,4}}
         |\d{{1,9}}[.,]\d{{1,9}}|[.,]\d{{1,9}}|\d{{1,9}})
       (?![\d/])
       (?:[-\ ]?(?P<unit>{_UNIT})(?![a-z\d]))?)
    """,
    re.VERBOSE | re.ASCII,
)
_METRES_AND_CM = re.compile(
    r"(?<![\d.,/])(\d{1,3})\s*m\s+(\d\d)(?:\s*cm\b|(?![\d./,]|\s*(?:mm|m|in|yd|ft|\")))", re.ASCII
)
# "3 1/2 wide x 6 1/2": the first size is the width here anyway; "long x" is not read.
_LINK = re.compile(r"\s*(?:wide\s+)?(?:x|by|\*)\s*", re.ASCII)
# Words that say nothing about the cut and are not echoed.
_LITTLE = re.compile(
    r"(?:an?|at|of|the|and|in|is|are|to|from|with|cut|need|make|qty|quantity|each|ea|x|by|pcs?|"
    r"pieces?|sized?|measuring|patch(?:es)?|wide)"
)


@dataclass(frozen=True)
class Number:
    """A number as written, with its unit word ("" for none).

    ``linked`` tells whether an "x" ties it to the number before, ``follows`` is the word or sign
    just before it ("" when it stands right behind another number or begins the line).
    """

    text: str
    unit: str
    linked: bool
    follows: str

    @property
    def is_plain(self) -> bool:
        """Whether it could be a count: a whole number without a unit."""
        return not self.unit and self.text.isdecimal()

    @property
    def written(self) -> str:
        """The number with its unit."""
        space = "" if self.unit in {'"', "''", "'", ""} else " "
        return f"{self.text}{space}{self.unit}"


@dataclass
class ScannedLine:
    """What one line holds: phrases found, numbers in order, words and comments left over."""

    plain: str
    phrases: set[str] = field(default_factory=set)
    at_a_time: str = ""
    diagonal: str = ""
    numbers: list[Number] = field(default_factory=list)
    words: str = ""
    label: str = ""
    comment: str = ""
    leftover: str = ""


def scan(text: str) -> ScannedLine:
    """Return one line taken apart into phrases, numbers, words and comments.

    Parameters
    ----------
    text : anything, on one line

    Returns
    -------
    Numbers as they were written, with their unit words; no lengths yet. Unread digits or signs stay
    in ``leftover``.

    Promise
    -------
    Never raises.

    Examples
    --------
    >>> [number.text for number in scan("96 squares 3 1/2").numbers]
    ['96', '3 1/2']
    """
    plain = plain_text(text)
    line = ScannedLine(plain=plain)
    rest = without_bullet(plain)
    # Its number is neither a count nor a size, even beside parentheses.
    rest = _take_phrases(rest, line, only=("at a time",))
    rest = _take_comments(rest, line)
    rest = _take_label(rest, line)
    # A print that must not be turned stays so wherever the line says it.
    _take_phrases(line.comment, line, only=("turning", "no turning"))
    rest = _take_phrases(rest, line)
    rest = in_digits(rest)
    rest = _METRES_AND_CM.sub(lambda match: f"{match[1]}.{match[2]} m", rest)
    rest = _take_numbers(rest, line)
    words = re.findall(r"[^\W\d_][^\W\d_'-]*", rest)
    line.words = " ".join(word for word in words if not _LITTLE.fullmatch(word))
    line.leftover = " ".join(re.findall(r"\S*\d\S*", rest))
    return line


def plain_text(text: str) -> str:
    """Return a line in small letters, one space between words, fractions and signs written out.

    Parameters
    ----------
    text : anything, on one line

    Examples
    --------
    >>> plain_text("Cut  8 – 2½” Strips")
    'cut 8 - 2 1/2 " strips'
    """
    for sign, written in _SIGNS.items():
        text = text.replace(sign, written)
    text = unicodedata.normalize("NFKC", text).lower()
    text = re.sub(r"(?<=\d) -(?=(?:inch|in|cm|mm|yd|yard|metre|meter)\b)", "-", text)
    text = re.sub(r"(?<=[\d\"'])\s*\*\s*(?=[\d.])", " x ", text)
    text = re.sub(r"(?<=[\d\"'])x(?=[\d.\s])", " x ", text)
    text = re.sub(r"(?<=\s)x(?=[\d.])", "x ", text)
    return " ".join(text.split())


def _take_comments(rest: str, line: ScannedLine) -> str:
    """Move what follows a comment sign, and parentheses that are no size, to the comment."""
    notes: list[str] = []
    match = _COMMENT.search(rest)
    if match:
        notes.append(match[1].strip())
        rest = rest[: match.start()]
    outside = _PARENTHESIS.sub(" ", rest)
    bare = len(NUMBER.findall(in_digits(outside))) <= 1

    def unwrap(found: re.Match[str]) -> str:
        inner = found[1].strip()
        if (bare and NUMBER.match(inner)) or _is_only_phrases(inner):
            return f" , {inner} , "
        notes.append(inner)
        return " "

    rest = _PARENTHESIS.sub(unwrap, rest)
    match = _FOR.search(rest)
    if match and _has_number(rest[: match.start()]) and not _is_cut(match[1]):
        notes.append(match[1].strip())
        rest = rest[: match.start()]
    line.comment = "; ".join(note for note in notes if note)
    return rest


def _has_number(text: str) -> bool:
    return NUMBER.search(in_digits(text)) is not None


def _is_cut(text: str) -> bool:
    """Whether a comment seems to hold a second cut, which must not be lost."""
    kinds = (pattern for name, pattern in _COMPILED if name in {"square", "rectangle", "strip"})
    return _has_number(text) and any(pattern.search(text) for pattern in kinds)


def _is_only_phrases(inner: str) -> bool:
    for _, pattern in _COMPILED:
        inner = pattern.sub(" ", inner)
    return not inner.strip(" ,.")


def _take_label(rest: str, line: ScannedLine) -> str:
    """Take a name before a colon, unless it already says what is cut."""
    before, colon, after = rest.partition(":")
    if not colon:
        return rest
    says_more = any(
        pattern.search(before)
        for name, pattern in _COMPILED
        if name in {"square", "rectangle", "strip", "hst", "qst", "geese"}
    )
    sized = any(
        number["unit"] or _LINK.match(before, number.end()) for number in NUMBER.finditer(before)
    )
    if says_more or sized or not re.search(r"[^\W\d_]", before):
        return f"{before} {after}"
    line.label = before.strip()
    return after


def _take_phrases(rest: str, line: ScannedLine, only: tuple[str, ...] = ()) -> str:
    for name, pattern in _COMPILED:
        if only and name not in only:
            continue
        match = pattern.search(rest)
        if match:
            line.phrases.add(name)
            if name == "at a time":
                line.at_a_time = match[0].replace("-", " ").split()[0]
            if name == "diagonal":
                line.diagonal = _diagonal(match[0])
            rest = pattern.sub(" ; ", rest)
    return rest


def _diagonal(text: str) -> str:
    """How a square is cut on: once in two, twice in four, or not told."""
    if "twice" in text or "both" in text or "diagonals" in text:
        return "cut twice on the diagonal"
    if "once" in text or "half" in text:
        return "cut once on the diagonal"
    return "cut on the diagonal"


def in_digits(text: str) -> str:
    """Return a plain line with its number words, one to ninety-nine, in digits.

    Parameters
    ----------
    text : as ``plain_text`` gives it

    Examples
    --------
    >>> in_digits("twenty-four squares")
    '24 squares'
    """
    return _NUMBER_WORD.sub(_digits_of, text)


def without_bullet(plain: str) -> str:
    """Return a plain line without the bullet, box or number of a list before it.

    Parameters
    ----------
    plain : as ``plain_text`` gives it

    Examples
    --------
    >>> without_bullet("- 4 squares 5")
    '4 squares 5'
    """
    bullet = _BULLET.match(plain)
    return plain[bullet.end() :] if bullet else plain


def _digits_of(match: re.Match[str]) -> str:
    return str(sum(_WORDS[word] for word in match.groups() if word))


def _take_numbers(rest: str, line: ScannedLine) -> str:
    kept: list[str] = []
    end = 0
    for match in NUMBER.finditer(rest):
        between = rest[end : match.start()]
        linked = bool(line.numbers) and _LINK.fullmatch(between) is not None
        if not linked:
            kept.append(between)
        words = between.split()
        line.numbers.append(
            Number(
                text=match["named"] or " ".join(match["number"].replace("-", " ").split()),
                unit=match["unit"] or "",
                linked=linked,
                follows=words[-1] if words else "",
            )
        )
        end = match.end()
    kept.append(rest[end:])
    return " ".join(kept)
