"""Words of whole patterns: names of parts, sections, what asks for no cloth, colours.

Nothing here decides; ``reading`` does. Roles are the trade's own words for what cloth does in
a quilt.
"""

from __future__ import annotations

import re
from collections.abc import Collection

__all__ = [
    "PIECE_LABEL",
    "PLAIN_HEADING",
    "ROLE_FIRST",
    "SECTIONS",
    "is_no_cloth",
    "name_key",
    "role_of",
    "unknown_words",
]

_ROLES = (
    ("batting", r"batting|wadding"),
    ("backing", r"backing|backing fabric|back"),
    ("binding", r"binding"),
    ("sashing", r"sashing|sashings|sash|sashes|cornerstones?"),
    ("border", r"borders?"),
    ("background", r"background"),
    ("feature", r"feature|focus"),
    ("accent", r"accent"),
)
_ROLE = tuple((role, re.compile(rf"\b(?:{words})\b")) for role, words in _ROLES)
_ANY_ROLE = "|".join(words for _, words in _ROLES)
_ADJECTIVE = r"(?:inner|outer|middle|centre|center|first|second|third|side|top|bottom|main|quilt)"

#: A line that begins with what its cloth does: "Background 2 yd", "Border 1: 4 strips ...".
ROLE_FIRST = re.compile(
    rf"^(?P<name>(?:{_ADJECTIVE} )*(?:{_ANY_ROLE})(?: fabric| print| cloth)?"
    rf"(?: \d{{1,2}}(?=\s*[-:,]\s))?)\s*[-:,]?\s+(?P<rest>\(?\d.*)$"
)
#: A line that is a name and nothing else.
PLAIN_HEADING = re.compile(
    rf"^(?:for )?(?:the )?(?P<name>(?:[a-z'-]+ ){{0,3}}(?:(?:{_ANY_ROLE})(?: fabric| print| cloth)?"
    r"|fabric|print|solid|fabrics|prints|fabric [a-z])(?: \d{1,2})?)$"
)
SECTIONS = (
    (
        "materials",
        re.compile(
            r"^(?:materials?|fabric requirements?|requirements?|fabrics?(?: needed| required| "
            r"list)?|"
            r"you (?:will )?need|what you need|shopping list|supplies|yardage|quantities)$"
        ),
    ),
    (
        "cutting",
        re.compile(
            r"^(?:cutting(?: list| instructions?| guide| directions?| chart)?|cut list|cut|to cut|"
            r"cut the following(?: pieces)?|pieces to cut)$"
        ),
    ),
    (
        "sewing",
        re.compile(
            r"^(?:assembly|(?:sewing|piecing|making|joining|construction)(?: the (?:quilt|blocks?|"
            r"top)| instructions?)?|finishing(?: the quilt)?|method|instructions?|directions?|"
            r"(?:quilt|block|top) assembly|to (?:make|finish)(?: up)?|putting it together)$"
        ),
    ),
)
#: A name that tells one patch from another and not its cloth.
PIECE_LABEL = re.compile(
    r"^(?:[a-z]{1,2}\d{0,2}|\d+[a-z]?|(?:pieces?|patch(?:es)?|units?|blocks?|steps?|rows?|"
    r"sections?|"
    r"templates?|figs?\.?|figure|cut|note|tip|size|total|qty|quantity|squares?|strips?|rectangles?|"
    r"hsts?|qsts?|flying geese|corners?|centres?|centers?|sides?|tops?|bottoms?)"
    r"(?: [a-z]?\d{0,2})?|(?:[a-z-]+ )?blocks?(?: [a-z\d])?)$"
)
#: What is done with cloth once it is cut.
_ASKS_FOR_NOTHING = re.compile(
    r"^(?:(?:then|now|next|and|gently|carefully|first),? )*(?:sew|stitch|join|press|trim|pin|"
    r"arrange|"
    r"lay|quilt|baste|label|set aside|set|keep|put|place|fold|match|align|square up|discard|remove|"
    r"cut off|note|tip|seams?|use a|read|measure|wash|starch|iron|enjoy|all seams|all measurements|"
    r"this pattern|sizes include|measurements include|wof|lof|bind|attach|layer|mark|align|"
    r"draw|add|"
    r"see|refer|right sides|with right sides)\b"
)
_REPEATS = re.compile(
    r"\b(?:repeat|again|another|more|each|every|same|also|both|cut|rest|remaining|extra)\b"
)
_CLOTH = re.compile(
    r"\b(?:strips?|squares?|rectangles?|yards?|yds?|metres?|meters?|fat quarters?|hsts?|pieces?)\b"
)

_KNOWN = frozenset(
    # colours and how they are told apart
    "red orange yellow green blue purple violet pink brown black white grey gray cream ivory beige "
    "tan teal aqua turquoise navy gold rust burgundy maroon lilac lavender mint olive lime peach "
    "coral charcoal silver ecru natural scarlet crimson plum mauve indigo mustard neutral neutrals "
    "light lights medium mediums dark darks pale deep bright soft low-volume "
    # cloth and where it lies in the quilt
    "charm "
    "fabric fabrics print prints printed solid solids plain cotton cloth dot dots dotted stripe "
    "stripes striped check checks checked floral florals plaid scrap scraps scrappy assorted mixed "
    "various different batik directional background feature focus accent sashing border borders "
    "binding backing batting wadding cornerstone cornerstones block blocks star stars point points "
    "centre centres center centers corner corners side sides top bottom inner outer middle unit "
    "units row rows column sky sea patch cut cuts strip-set strip-sets edge edges setting panel "
    "panels long short wide narrow quilt total size sizes sized off fold folded selvage selvages "
    "selvedge selvedges trimmed "
    # little words
    "this that these those be will you your use used using on out it its any all into a the "
    "across along down full".split()
)
_LETTER = re.compile(r"^[a-z]{1,2}\d{0,2}$")


def role_of(name: str) -> str:
    """Return what the cloth of that name does, or "other".

    Parameters
    ----------
    name : a heading or label

    Examples
    --------
    >>> role_of("Inner border")
    'border'
    """
    plain = name.lower()
    return next((role for role, words in _ROLE if words.search(plain)), "other")


def name_key(name: str) -> str:
    """Return what makes two names one: no article, no *fabric* behind it, small letters.

    Parameters
    ----------
    name : a heading or label

    Examples
    --------
    >>> name_key("The Background fabric")
    'background'
    """
    plain = re.sub(r"[()\[\]*_#:.,]", " ", name.lower())
    plain = " ".join(plain.split()).removeprefix("for ").removeprefix("the ")
    shorter = re.sub(r" (?:fabric|fabrics|print|cloth)$", "", plain)
    return shorter or plain


def is_no_cloth(plain: str) -> bool:
    """Whether a clause tells what to do with cloth that is cut, and cannot ask for any.

    Parameters
    ----------
    plain : as ``lines.text.plain_text`` gives it
    """
    if not _ASKS_FOR_NOTHING.match(plain) or _REPEATS.search(plain):
        return False
    return not (re.search(r"\d", plain) and _CLOTH.search(plain))


def unknown_words(words: str, names: Collection[str]) -> str:
    """Return those words of a line that nobody knows: neither the trade's nor a part's.

    Parameters
    ----------
    words : what was left over of a line
    names : keys of the parts

    Examples
    --------
    >>> unknown_words("dark blue gull", ["gull wings"])
    ''
    >>> unknown_words("wobbly blue", [])
    'wobbly'
    """
    own = {word for name in names for word in name.split()}
    return " ".join(
        word
        for word in words.split()
        if word not in _KNOWN and word not in own and not _LETTER.match(word)
    )
