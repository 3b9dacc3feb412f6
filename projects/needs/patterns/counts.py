"""What a line of a pattern says beside its cut: how often, at least, in all, which form, the motif.

Each phrase that is understood is taken out of the line; what is left is read as a plain cut.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from projects.needs.lines.cuts import UnreadableError
from projects.needs.lines.text import NUMBER
from stash.lengths import LengthError, parse_length

__all__ = [
    "MULTIPLIES",
    "Counted",
    "Times",
    "counted",
    "refuse_each",
    "times_of_heading",
    "without_equivalents",
]

_BLOCK = (
    r"(?:[a-z'-]+ ){0,2}?(?:blocks?|stars?|units?|place ?mats?|cushions?|pillows?|mats?|"
    r"quilts?|rows?)"
)
_NOUN = r"(?:[a-z'-]+ ){0,3}?[a-z'-]+?"
_END = r"(?=\s*(?:[,:;.)\]-]|$|\b(?:cut|you|use|make|at|x)\b))"
_OF_SO_MANY = re.compile(
    rf"\(?\b(?:(?:from|for|in|out of|using|of|with)\s+)?each\s+(?:(?:of|from|in)\s+)?"
    rf"(?:the\s+|your\s+|these\s+)?(?P<n>\d+)\s+(?P<noun>{_NOUN}){_END}\)?\s*,?"
)
_BLOCKS_FIRST = re.compile(
    rf"^(?:for |to make |make )?(?P<n>\d+)\s+(?P<noun>{_BLOCK})(?:,? (?:each|per block|"
    rf"cut))*\s*:\s*(?=\S)"
)
_PER = re.compile(
    rf"(?:\b(?:per|for each|in each|for every|in every|each|every|for one|(?:for |to |in "
    rf")?an?)\s+|/\s?)"
    rf"(?P<noun>{_BLOCK})\b"
    rf"(?:\s*[,(x-]?\s*(?:\(|make |makes |for |x )*\s*(?P<n>\d+)\b"
    rf"(?!\s*(?:in )?(?:total|all))(?:\s+{_BLOCK})?\s*\)?)?"
)
_AT_LEAST = re.compile(
    r"(?<![/.])(?P<a>\b\d+)\s*\+(?=\s|$|,|\))|\b(?:at least|min(?:imum)?\.?(?: of)?)\s+(?P<b>\d+)\b"
    r"|(?P<c>\b\d+) or more\b"
)
_COUNTED = r"(?: squares| rectangles| pieces| strips)?"
_TOTAL = re.compile(
    rf"\(?\b(?:for |giving |making |to make )?(?:a )?(?:grand )?total(?: "
    rf"of)?:?\s*(?P<a>\d+)\b{_COUNTED}\)?"
    rf"|\(?(?:[=]\s*)?(?<![\d/.,])(?<!\d )\b(?P<b>\d+){_COUNTED},? (?:in )?(?:total|all)\b\)?"
    r"|\((?:you )?(?:will )?need (?P<c>\d+)\)"
)
_IN_ALL = re.compile(r",?\s*\(?\b(?:in (?:all|total)|altogether)\b\)?")
_SEE = re.compile(
    r",?\s*\(?\bsee (?:the )?(?:page|diagram|figure|fig\.?|note|below|above|step)s?\b[^,;()]*\)?$"
)
_TRIANGLES = re.compile(
    r"[,(]?\s*\b(?:to (?:make|yield|give|get)|(?:which )?(?:makes?|yields?|gives?)|for|"
    r"yielding|making|"
    r"giving|into)?\s*(?:a total of )?(?P<n>\d+)\s+(?:[a-z-]+ ){0,2}?triangles\b(?: in all| "
    r"total)?\)?"
)
_CENTRE = re.compile(
    r"\(?\b(?:fuss(?:y|ily)[- ]?cut(?:ting)?|(?:with )?(?:the |a )?(?:motifs?|flowers?|prints?|"
    r"designs?) "
    r"(?:centred|centered|in the (?:middle|centre|center))|"
    r"(?:centre|center|centring|centering|centred|centered) (?:on |over )?(?:the |a |each )?"
    r"(?:motifs?|flowers?|prints?|designs?)|centred|centered)\b\)?"
)
_PACK = re.compile(
    r"^(?:cut |need |use )?(?P<n>\d+|an?)?\s*(?:pre-?cut )?(?:packs?|packets?|bundles?|rolls?|"
    r"stacks?)\b"
    r"\s*(?:of)?\s*(?P<rest>.*)$"
)
_PACK_BEHIND = re.compile(
    r"^(?P<n>\d+|an?)\s+(?P<rest>\S.*?)\s+(?:packs?|packets?|bundles?|rolls?|"
    r"stacks?)\b(?P<more>.*)$"
)
_PACK_HOLDS = re.compile(
    r"[,(]?\s*\b(?P<n>\d+)\s*(?:(?:squares|strips|pieces)\s*)?(?:(?:in|to|per) (?:each|a|the|it)?"
    r"\s*(?:pack|roll|bundle)?|each|in it|in each)\b\)?|\(\s*(?P<m>\d+)(?:\s*(?:squares|strips|"
    r"pieces))?\s*\)"
)
_FROM_FORM = re.compile(
    r"\bfrom (?:the |your )?(?P<n>\d+) (?P<noun>fat[- ](?:quarters?|eighths?)|fqs?|f8s?|long "
    r"quarters?|"
    r"(?:different |assorted )?(?:fabrics|prints|scraps|colou?rs))\b"
)
_FORM_NAMES = (
    (re.compile(r"^(?:fat[- ]quarters?|fqs?)$"), "fat quarters"),
    (re.compile(r"^(?:fat[- ]eighths?|f8s?)$"), "fat eighths"),
    (re.compile(r"^long quarters?$"), "long quarters"),
)
MULTIPLIES = re.compile(
    r"\b(?:each|every|per|both|either|same|also|again|repeat\w*|twice|thrice|doubled?|triple|"
    r"apiece|"
    r"times|another|ditto|likewise|more|extra)\b|\bx\s*\d+$|\b(?:make|makes) \d+"
)
# "96 squares (8 per block)": the count stands outside, and this tells where they go.
_NOTED = re.compile(
    r"[(\[]\s*\d+\s*(?:[a-z]+\s*)?(?:per|for each|in each|for every|in every|each)\b[^()\d]*[)\]]"
)
_STILL_EACH = re.compile(
    r"\b(?:of|from|(?<!\d )(?<!\d)in|for|per|to) (?:each|every)\b|\bper\b|\b(?:each|every) "
    r"(?!side|measuring|measure|on\b|once|twice|at\b|cut|inch|in\b|\"|diagonal|corner|strip|\d|"
    r"is\b|for\b)[a-z]+"
)


@dataclass(frozen=True, kw_only=True)
class Times:
    """How often a count is wanted, and of what; nothing where that is not told."""

    count: int | None
    noun: str

    @property
    def words(self) -> str:
        """The words that stand behind a multiplied count."""
        return f"for each of {self.count} {self.noun}"


@dataclass
class Counted:
    """A line without what it says about counts, and what that was."""

    rest: str
    times: Times | None = None
    total: int | None = None
    triangles: int | None = None
    packs: int | None = None
    least: int = 1
    in_all: bool = False
    centre: bool = False
    says: list[str] = field(default_factory=list)


def counted(plain: str) -> Counted:
    """Return a line with its phrases about counts taken out.

    Parameters
    ----------
    plain : as ``lines.text.plain_text`` gives it, with number words in digits

    Raises
    ------
    UnreadableError
        It multiplies twice.

    Examples
    --------
    >>> found = counted("4 squares 3 for each of 12 blocks")
    >>> found.rest, found.times.count
    ('4 squares 3', 12)
    """
    line = Counted(rest=_SEE.sub("", plain))
    _take_centre(line)
    _take_at_least(line)
    _take_times(line)
    _take_totals(line)
    _take_pack(line)
    _take_form(line)
    return line


def refuse_each(clause: str) -> None:
    """Refuse a clause that says "each" of something and not of how many.

    Parameters
    ----------
    clause : without the phrases that are understood

    Raises
    ------
    UnreadableError
        It does; the message quotes it and says what is accepted.
    """
    clause = _NOTED.sub(" ", clause)
    left = _STILL_EACH.search(clause)
    for inner in re.findall(r"[(\[]([^()\[\]]*)[)\]]", clause):
        left = left or MULTIPLIES.search(inner)
    if left:
        raise UnreadableError(
            f"says “{left[0]}” and not of how many; write “for each of 12 blocks” or the whole "
            "number"
        )


def _take_centre(line: Counted) -> None:
    if _CENTRE.search(line.rest):
        line.centre = True
        line.rest = _CENTRE.sub(" cut " if line.rest.startswith("fuss") else " ", line.rest)
        line.says.append("Cut with the motif in the middle.")


def _take_at_least(line: Counted) -> None:
    match = _AT_LEAST.search(line.rest)
    if match:
        number = match["a"] or match["b"] or match["c"]
        line.rest = f"{line.rest[: match.start()]} {number} {line.rest[match.end() :]}"
        line.says.append(f"At least {number} were asked for; {number} are planned.")


def _take_times(line: Counted) -> None:
    for pattern in (_OF_SO_MANY, _BLOCKS_FIRST, _PER):
        match = pattern.search(line.rest)
        if not match or _is_note(line.rest, match):
            continue
        if pattern is _OF_SO_MANY and re.match(
            r"(?:strips?|squares?|rectangles?)\b", match["noun"]
        ):
            continue
        if line.times is not None:
            raise UnreadableError("multiplies twice; give one of them")
        number = int(match["n"]) if match["n"] else None
        line.times = Times(count=number, noun=_form_name(_plural(match["noun"])))
        joint = " " if pattern is _BLOCKS_FIRST else " , "
        line.rest = f"{line.rest[: match.start()]}{joint}{line.rest[match.end() :]}".strip(" ,")


def _is_note(text: str, match: re.Match[str]) -> bool:
    """Whether it stands in parentheses beside a count of its own: "96 squares (8 per block)"."""
    before = text[: match.start()]
    return re.search(r"[(\[]\s*\d+\s*(?:[a-z]+\s*)?$", before) is not None


def _plural(noun: str) -> str:
    return noun if noun.endswith("s") or noun.startswith("fat") else f"{noun}s"


def _form_name(noun: str) -> str:
    return next((name for pattern, name in _FORM_NAMES if pattern.match(noun)), noun)


def _take_totals(line: Counted) -> None:
    match = _TRIANGLES.search(line.rest)
    if match and ("diagonal" in line.rest or "twice" in line.rest or "once" in line.rest):
        line.triangles = int(match["n"])
        line.rest = f"{line.rest[: match.start()]} {line.rest[match.end() :]}"
    match = _TOTAL.search(line.rest)
    if match:
        line.total = int(match["a"] or match["b"] or match["c"])
        line.rest = f"{line.rest[: match.start()]} {line.rest[match.end() :]}"
    line.in_all = match is not None or _IN_ALL.search(line.rest) is not None
    line.rest = _IN_ALL.sub(" ", line.rest)


def _take_pack(line: Counted) -> None:
    match = _PACK.match(line.rest)
    rest = match["rest"] if match else ""
    if not match:
        match = _PACK_BEHIND.match(line.rest)
        if not match or not re.search(r"square|strip|quarter|eighth|\d", match["rest"]):
            return
        rest = f"{match['rest']} {match['more']}"
    line.packs = 1 if not match["n"] or match["n"].startswith("a") else int(match["n"])
    holds = _PACK_HOLDS.search(rest)
    if holds:
        rest = f"{holds['n'] or holds['m']} {rest[: holds.start()]} {rest[holds.end() :]}"
    line.rest = rest.strip()


def _take_form(line: Counted) -> None:
    """What the whole count is for: fewer than one for each of them must be a count for one."""
    goal = re.search(rf"\bfor (?:all )?(?:of )?(?:the )?(?P<n>\d+) {_NOUN}{_END}", line.rest)
    if goal:
        line.least = int(goal["n"])
    match = _FROM_FORM.search(line.rest)
    if match:
        line.rest = f"{line.rest[: match.start()]} {line.rest[match.end() :]}".strip(" ,:")
        line.says.append(f"From {match['n']} {_form_name(match['noun'])}.")
        line.least = max(line.least, int(match["n"]))


def times_of_heading(plain: str) -> Times | None:
    """Return how often what stands below a heading is wanted, where the heading says "each".

    Parameters
    ----------
    plain : as ``lines.text.plain_text`` gives it, with number words in digits

    Examples
    --------
    >>> times_of_heading("for each of 12 blocks, cut:").count
    12
    >>> times_of_heading("12 blocks:") is None
    True
    """
    line = Counted(rest=plain.rstrip(": "))
    match = _OF_SO_MANY.search(line.rest) or _PER.search(line.rest)
    if not match:
        return None
    number = int(match["n"]) if match["n"] else None
    return Times(count=number, noun=_form_name(_plural(match["noun"])))


def without_equivalents(plain: str) -> str:
    """Return a line without sizes in brackets that tell those before them in the other system.

    Parameters
    ----------
    plain : as ``lines.text.plain_text`` gives it

    Raises
    ------
    UnreadableError
        The two do not tell the same size.

    Notes
    -----
    Patterns round one of the two; up to an eighth is taken for rounding (common practice, no
    source). What stands first counts.

    Examples
    --------
    >>> without_equivalents("2 yd (1.8 m) at 42 in")
    '2 yd at 42 in'
    """

    def told_again(match: re.Match[str]) -> str:
        inner = list(NUMBER.finditer(match[1]))
        before = list(NUMBER.finditer(plain[: match.start()]))[-len(inner) :]
        if not inner or len(before) < len(inner):
            return match[0]
        left = NUMBER.sub("", match[1])
        if left.replace("x", "").replace("by", "").strip(" ,"):
            return match[0]
        own, other = before[-1]["unit"] or "", inner[-1]["unit"] or ""
        if not own or not other or _is_metric(own) == _is_metric(other):
            return match[0]
        if plain[before[-1].end() : match.start()].strip():
            return match[0]
        try:
            for first, second in zip(before, inner, strict=True):
                size = parse_length(f"{first['number']} {first['unit'] or own}", default_unit="in")
                again = parse_length(
                    f"{second['number']} {second['unit'] or other}", default_unit="cm"
                )
                if 8 * abs(size - again) > size:
                    raise UnreadableError(
                        f"tells two different sizes, “{first[0]}” and “{second[0]}”"
                    )
        except LengthError:
            return match[0]
        return " "

    told = re.sub(r"[(\[]([^()\[\]]*)[)\]]", told_again, plain)
    return " ".join(told.split())


def _is_metric(unit: str) -> bool:
    return unit.startswith(("c", "m"))
