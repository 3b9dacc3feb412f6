"""A cut list as a JSON document, and the answer as one.

Asked: {"units": "in" | "cm", "pieces": [{"name", "width", "length", "count"}], "cuts":
[{"name", "width", "length", "count", "turn"}], "allow": {"squaring_up", "shrink",
"reserve"}}. Lengths are numbers in the document's units or trade text ("2 1/2", "1 3/8 yd").
Left out: count 1, turn false (a cut is never turned unless the list says so), allowances 0.
shrink is one fraction for both directions or {"width", "length"}. Pieces may also say
precut, washed, favourite, keep_back, repeat_across and repeat_along (motifs are then centred),
and motif_across and motif_along (where the middle of the first motif lies from the corner; left
out: not known); an empty list of pieces asks what to buy. aims lists what to prefer among plans,
most important first (the words of projects.cutting.aims). seconds is how much work may
be spent: what a quiet core does in so many seconds, counted in steps, so that a busy machine
answers the same.

Answered: lengths are plain numbers in the document's units, exact.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import isfinite
from typing import Any, Literal

from projects.cutting.aims import AIMS, Aim, in_order
from projects.cutting.shapes import (
    MAX_LINES,
    MAX_PIECES,
    SECOND_OF_WORK,
    Allow,
    Answer,
    Buy,
    Cut,
    CuttingError,
    Evidence,
    Limits,
    Piece,
    Plan,
)
from stash.lengths import (
    CM,
    EIGHTH_YARD,
    INCH,
    TEN_CM,
    LengthError,
    format_length,
    parse_length,
)
from stash.text import quoted

Units = Literal["in", "cm"]
_UNIT = {"in": INCH, "cm": CM}
_TOP = {"units", "pieces", "cuts", "allow", "buy_width", "seconds", "aims"}
_PIECE = {
    "name",
    "width",
    "length",
    "count",
    "precut",
    "washed",
    "keep_back",
    "favourite",
    "repeat_across",
    "repeat_along",
    "motif_across",
    "motif_along",
}
_CUT = {"name", "width", "length", "count", "turn", "label", "part"}
_ALLOW = {"squaring_up", "shrink", "reserve"}


@dataclass(frozen=True, kw_only=True)
class Document:
    """What a document asks for."""

    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    allow: Allow
    units: Units
    limits: Limits
    aims: tuple[Aim, ...]


def read_document(given: object) -> Document:
    """Return what a JSON document asks for, as typed values.

    The fields stand in the head of this module. Numbers and bare texts are in the document's own
    units.

    Parameters
    ----------
    given : what ``json.loads`` returned

    Returns
    -------
    Lengths in length units: a number to the nearest unit, a text as ``stash.lengths`` reads it.

    Raises
    ------
    CuttingError
        A field is missing, unknown, of the wrong kind or out of range, or a list is too long; one
        sentence that quotes the input and says what is needed.

    Examples
    --------
    >>> asked = {"cuts": [{"name": "A", "width": 3.5, "length": "3 1/2"}], "units": "in"}
    >>> read_document(asked).cuts[0].width == 7 * INCH // 2
    True
    """
    top = _mapping("The document", given)
    _known("The document", top, _TOP)
    units = top.get("units", "in")
    if units not in _UNIT:
        raise CuttingError(f'units is {quoted(units)}; "in" or "cm" is needed.')
    if "cuts" not in top:
        raise CuttingError('The document has no "cuts"; at least one cut is needed.')
    pieces = _list("pieces", top.get("pieces", []), MAX_PIECES)
    cuts = _list("cuts", top["cuts"], MAX_LINES)
    seconds = top.get("seconds", Limits().work / SECOND_OF_WORK)
    if isinstance(seconds, bool) or not isinstance(seconds, int | float) or not 0 < seconds <= 600:
        raise CuttingError(
            f"seconds is {quoted(seconds)}; a number above 0 and up to 600 is needed."
        )
    width = top.get("buy_width")
    aims = _list("aims", top.get("aims", []), len(AIMS))
    return Document(
        pieces=tuple(_piece(number, piece, units) for number, piece in enumerate(pieces, 1)),
        cuts=tuple(_cut(number, cut, units) for number, cut in enumerate(cuts, 1)),
        allow=_allow(top.get("allow", {}), units),
        units=units,
        limits=Limits(
            work=round(seconds * SECOND_OF_WORK),
            buy_width=None if width is None else _length("buy_width", width, units),
            buy_step=EIGHTH_YARD if units == "in" else TEN_CM,
            units=units,
        ),
        aims=in_order(aims),
    )


def answer_to_document(answer: Answer, units: Units = "in") -> dict[str, Any]:
    """Return an answer as plain JSON values.

    Parameters
    ----------
    answer : lengths in length units
    units : inches or centimetres, for every length in the document

    Returns
    -------
    Lengths are numbers in ``units``, exact (see ``number_in``); ``gap`` is a share from 0 to 1,
    ``work`` counted steps (``SECOND_OF_WORK``). ``time`` is in seconds and the only value that
    differs between two answers to one question, unless both were ``stopped_by_clock``.
    """
    return {
        "verdict": answer.verdict,
        "plans": [_plan(plan, units) for plan in answer.plans],
        "used": number_in(answer.used, units),
        "short": [{"cut": lacking.cut, "missing": lacking.missing} for lacking in answer.short],
        "buy": _buy(answer.buy, units) if answer.buy else {},
        "evidence": _evidence(answer.evidence, units),
        "notes": list(answer.notes),
        "aims": list(answer.aims),
    }


def number_in(length: int, units: Units) -> int | float:
    """Return a length as a number of inches or centimetres.

    Parameters
    ----------
    length : length units
    units : "in" or "cm"

    Returns
    -------
    A whole number where it is one, else ten decimals, which hold every length unit in centimetres
    and every 1/64 in exactly.

    Raises
    ------
    KeyError
        The units are neither.

    Examples
    --------
    >>> number_in(7 * INCH // 2, "in"), number_in(1, "cm")
    (3.5, 0.0003125)
    """
    exact = Fraction(length, _UNIT[units])
    if exact.denominator == 1:
        return exact.numerator
    # 10 decimals hold 3.125 micrometres in centimetres exactly and 1/64 in as well.
    return float(round(Decimal(exact.numerator) / Decimal(exact.denominator), 10))


def _mapping(what: str, given: object) -> dict[str, Any]:
    if not isinstance(given, Mapping):
        raise CuttingError(f"{what} is {_short(given)}; an object with named fields is needed.")
    return {str(key): entry for key, entry in given.items()}


def _list(what: str, given: object, most: int) -> list[Any]:
    if not isinstance(given, list | tuple):
        raise CuttingError(f"{what} is {_short(given)}; a list is needed.")
    if len(given) > most:
        raise CuttingError(f"{what} has {len(given)} lines; up to {most} are accepted.")
    return list(given)


def _known(what: str, given: Mapping[str, Any], known: set[str]) -> None:
    for key in given:
        if key not in known:
            raise CuttingError(
                f"{what} has the unknown field {quoted(key)}; known are {', '.join(sorted(known))}."
            )


def _short(given: object) -> str:
    if isinstance(given, str):
        return quoted(given)
    text = json.dumps(given, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


def _length(what: str, given: object, units: Units, *, zero: bool = False) -> int:
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        raise CuttingError(f"{what} is {_short(given)}; a length such as 2.5 or '2 1/2' is needed.")
    if isinstance(given, str):
        try:
            return parse_length(given, default_unit=units, allow_zero=zero)
        except LengthError as error:
            raise CuttingError(f"{what}: {error}") from None
    if isinstance(given, float) and not isfinite(given):
        raise CuttingError(f"{what} is {quoted(given)}; a length such as 2.5 or '2 1/2' is needed.")
    if given < 0 or (given == 0 and not zero):
        raise CuttingError(f"{what} is {quoted(given)}; it must be above zero.")
    exact = Fraction(str(given)) * _UNIT[units]
    return int(exact + Fraction(1, 2))


def _count(what: str, given: object) -> int:
    if isinstance(given, bool) or not isinstance(given, int):
        raise CuttingError(f"{what} is {_short(given)}; a whole number is needed.")
    return given


def _flag(what: str, given: object) -> bool:
    if not isinstance(given, bool):
        raise CuttingError(f"{what} is {_short(given)}; true or false is needed.")
    return given


def _name(what: str, given: Mapping[str, Any]) -> str:
    name = given.get("name")
    if not isinstance(name, str) or not name.strip():
        raise CuttingError(f"{what} has the name {_short(name)}; a text is needed.")
    return name


def _piece(number: int, given: object, units: Units) -> Piece:
    fields = _mapping(f"Piece {number}", given)
    _known(f"Piece {number}", fields, _PIECE)
    name = _name(f"Piece {number}", fields)
    return Piece(
        name=name,
        width=_length(f"The width of piece {quoted(name)}", fields.get("width"), units),
        length=_length(f"The length of piece {quoted(name)}", fields.get("length"), units),
        count=_count(f"The count of piece {quoted(name)}", fields.get("count", 1)),
        precut=_flag(f"precut of piece {quoted(name)}", fields.get("precut", False)),
        washed=_flag(f"washed of piece {quoted(name)}", fields.get("washed", False)),
        favourite=_flag(f"favourite of piece {quoted(name)}", fields.get("favourite", False)),
        keep_back=_or_zero(name, fields, "keep_back", units),
        repeat_across=_or_zero(name, fields, "repeat_across", units),
        repeat_along=_or_zero(name, fields, "repeat_along", units),
        motif_across=_or_none(name, fields, "motif_across", units),
        motif_along=_or_none(name, fields, "motif_along", units),
    )


def _or_zero(name: str, fields: Mapping[str, Any], field: str, units: Units) -> int:
    return _length(f"The {field} of piece {quoted(name)}", fields.get(field, 0), units, zero=True)


def _or_none(name: str, fields: Mapping[str, Any], field: str, units: Units) -> int | None:
    return None if fields.get(field) is None else _or_zero(name, fields, field, units)


def _cut(number: int, given: object, units: Units) -> Cut:
    fields = _mapping(f"Cut {number}", given)
    _known(f"Cut {number}", fields, _CUT)
    name = _name(f"Cut {number}", fields)
    return Cut(
        name=name,
        width=_length(f"The width of cut {quoted(name)}", fields.get("width"), units),
        length=_length(f"The length of cut {quoted(name)}", fields.get("length"), units),
        count=_count(f"The count of cut {quoted(name)}", fields.get("count", 1)),
        turn=_flag(f"turn of cut {quoted(name)}", fields.get("turn", False)),
        label=str(fields.get("label", "")),
        part=str(fields.get("part", "")),
    )


def _allow(given: object, units: Units) -> Allow:
    fields = _mapping("allow", given)
    _known("allow", fields, _ALLOW)
    shrink = fields.get("shrink", 0)
    if isinstance(shrink, Mapping):
        both = _mapping("shrink", shrink)
        _known("shrink", both, {"width", "length"})
        width, length = both.get("width", 0), both.get("length", 0)
    else:
        width = length = shrink
    return Allow(
        squaring_up=_length("squaring_up", fields.get("squaring_up", 0), units, zero=True),
        shrink_width=_fraction("shrink", width),
        shrink_length=_fraction("shrink", length),
        reserve=_fraction("reserve", fields.get("reserve", 0)),
    )


def _fraction(what: str, given: object) -> Fraction:
    text = given.strip() if isinstance(given, str) else given
    hundredths = isinstance(text, str) and text.endswith("%")
    try:
        if isinstance(text, bool) or not isinstance(text, int | float | str):
            raise ValueError
        exact = Fraction(str(text).rstrip("% ")) / (100 if hundredths else 1)
    except (ValueError, ZeroDivisionError):
        raise CuttingError(
            f"{what} is {_short(given)}; a fraction such as 0.03 or '3 %' is needed."
        ) from None
    if not 0 <= exact < 1:
        raise CuttingError(
            f"{what} is {_short(given)}; a fraction from 0 to below 1 (0.03 is 3 %) is needed."
        )
    return exact


def _plan(plan: Plan, units: Units) -> dict[str, Any]:
    return {
        "piece": plan.piece,
        "index": plan.index,
        "technique": plan.technique,
        "stages": plan.stages,
        "first": plan.first,
        "width": number_in(plan.width, units),
        "length": number_in(plan.length, units),
        "used": number_in(plan.used, units),
        "used_across": number_in(plan.used_across, units),
        "leaves": plan.leaves,
        "placements": [
            {
                "cut": placement.cut,
                "x": number_in(placement.x, units),
                "y": number_in(placement.y, units),
                "width": number_in(placement.width, units),
                "length": number_in(placement.length, units),
                "turned": placement.turned,
            }
            for placement in plan.placements
        ],
        "remnants": [
            {
                "x": number_in(remnant.x, units),
                "y": number_in(remnant.y, units),
                "width": number_in(remnant.width, units),
                "length": number_in(remnant.length, units),
            }
            for remnant in plan.remnants
        ],
    }


def _buy(buy: Buy, units: Units) -> dict[str, Any]:
    shop: Literal["yd", "m"] = "yd" if units == "in" else "m"
    return {
        "width": number_in(buy.width, units),
        "length": number_in(buy.length, units),
        "to_buy": number_in(buy.to_buy, units),
        "rounded": number_in(buy.rounded, units),
        "rounded_text": format_length(buy.rounded, units=shop, rounding="up"),
        "bound": number_in(buy.bound, units),
        "plan": _plan(buy.plan, units) if buy.plan else None,
    }


def _evidence(evidence: Evidence, units: Units) -> dict[str, Any]:
    return {
        "proof": evidence.proof,
        "sentence": evidence.sentence,
        "holds_for": evidence.holds_for,
        "bound": None if evidence.bound is None else number_in(evidence.bound, units),
        "best": None if evidence.best is None else number_in(evidence.best, units),
        "gap": None if evidence.gap is None else round(evidence.gap, 6),
        "numbers": dict(evidence.numbers),
        "tried": list(evidence.tried),
        "easier": [
            {"technique": name, "length": number_in(length, units)}
            for name, length in evidence.easier
        ],
        "work": evidence.work,
        "stopped_by_clock": evidence.stopped_by_clock,
        "time": round(evidence.seconds, 3),
    }
