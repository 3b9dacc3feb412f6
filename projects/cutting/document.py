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

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal, Protocol, TypeVar

from projects.cutting.aims import AIMS, Aim, in_order
from projects.cutting.shapes import (
    MAX_COUNT,
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
from stash.json_fields import DocumentError, Fields, number_in
from stash.lengths import EIGHTH_YARD, TEN_CM, InchesOrCm, Unit, format_length
from stash.text import quoted

_MOST_SECONDS = 600
_Key = TypeVar("_Key")
_Key_co = TypeVar("_Key_co", covariant=True)
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
    units: InchesOrCm
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
    >>> from stash.lengths import INCH
    >>> asked = {"cuts": [{"name": "A", "width": 3.5, "length": "3 1/2"}], "units": "in"}
    >>> read_document(asked).cuts[0].width == 7 * INCH // 2
    True
    """
    try:
        return _read(given)
    except DocumentError as error:
        raise CuttingError(str(error)) from None


def answer_to_document(answer: Answer, units: InchesOrCm = "in") -> dict[str, Any]:
    """Return an answer as plain JSON values.

    Parameters
    ----------
    answer : lengths in length units
    units : inches or centimetres, for every length in the document

    Returns
    -------
    Lengths are numbers in ``units``, exact (see ``stash.json_fields.number_in``); ``gap`` is a
    share from 0 to 1, ``work`` counted steps (``SECOND_OF_WORK``). ``time`` is in seconds and the
    only value that differs between two answers to one question, unless both were
    ``stopped_by_clock``.
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


def plan_to_document(
    plan: _AnyPlan[_Key], units: Unit, *, piece: str | int, cut_names: Mapping[_Key, str]
) -> dict[str, Any]:
    """Return where the cuts of a plan lie and what it leaves, as plain JSON values.

    Parameters
    ----------
    plan : lengths in length units
    units : "cm", or else inches, for every length in the document
    piece : what the document calls the piece: its name, or its number from 1
    cut_names : what the document calls each cut

    Returns
    -------
    Lengths are numbers in ``units``, exact (see ``stash.json_fields.number_in``).

    Raises
    ------
    KeyError
        A cut has no name.
    """
    return {
        "piece": piece,
        "index": plan.index,
        "technique": plan.technique,
        "stages": plan.stages,
        "first": plan.first,
        "width": number_in(plan.width, units),
        "length": number_in(plan.length, units),
        "used": number_in(plan.used, units),
        "placements": [
            {
                "cut": cut_names[placement.cut],
                **_box(placement, units),
                "turned": placement.turned,
            }
            for placement in plan.placements
        ],
        "remnants": [_box(remnant, units) for remnant in plan.remnants],
    }


def _read(given: object) -> Document:
    units: InchesOrCm = Fields("the document", given, _TOP, "in").choice(
        "units", ("in", "cm"), "in"
    )
    top = Fields("the document", given, _TOP, units)
    if "cuts" not in top:
        raise top.lacks("cuts", "at least one cut is needed")
    seconds = top.number("seconds", least=0, most=_MOST_SECONDS)
    if seconds == 0:
        raise DocumentError(
            f"“seconds” of the document is 0; a number above 0 and up to {_MOST_SECONDS} is needed."
        )
    return Document(
        pieces=tuple(map(_piece, top.objects("pieces", "piece", _PIECE, most=MAX_PIECES))),
        cuts=tuple(map(_cut, top.objects("cuts", "cut", _CUT, most=MAX_LINES))),
        allow=_allow(top.inside("allow", _ALLOW)),
        units=units,
        limits=Limits(
            work=Limits().work if seconds is None else round(seconds * SECOND_OF_WORK),
            buy_width=top.length("buy_width") if "buy_width" in top else None,
            buy_step=EIGHTH_YARD if units == "in" else TEN_CM,
            units=units,
        ),
        aims=in_order(top.items("aims", most=len(AIMS))),
    )


def _name(kind: str, fields: Fields) -> str:
    """Return the name of a piece or cut, which sentences call it by from then on."""
    name = fields.text("name", as_written=True)
    fields.what = f"{kind} {quoted(name)}"
    return name


def _piece(fields: Fields) -> Piece:
    return Piece(
        name=_name("piece", fields),
        width=fields.length("width"),
        length=fields.length("length"),
        count=fields.count("count", 1, most=MAX_PIECES),
        precut=fields.flag("precut", default=False),
        washed=fields.flag("washed", default=False),
        favourite=fields.flag("favourite", default=False),
        keep_back=fields.length("keep_back", 0, zero=True),
        repeat_across=fields.length("repeat_across", 0, zero=True),
        repeat_along=fields.length("repeat_along", 0, zero=True),
        motif_across=_motif(fields, "motif_across"),
        motif_along=_motif(fields, "motif_along"),
    )


def _motif(fields: Fields, field: str) -> int | None:
    return fields.length(field, zero=True) if field in fields else None


def _cut(fields: Fields) -> Cut:
    return Cut(
        name=_name("cut", fields),
        width=fields.length("width"),
        length=fields.length("length"),
        count=fields.count("count", 1, most=MAX_COUNT),
        turn=fields.flag("turn", default=False),
        label=fields.text("label", ""),
        part=fields.text("part", ""),
    )


def _allow(fields: Fields) -> Allow:
    if fields.holds_object("shrink"):
        both = fields.inside("shrink", ("width", "length"))
        width, length = (both.share(side, Fraction(0)) for side in ("width", "length"))
    else:
        width = length = fields.share("shrink", Fraction(0))
    return Allow(
        squaring_up=fields.length("squaring_up", 0, zero=True),
        shrink_width=width,
        shrink_length=length,
        reserve=fields.share("reserve", Fraction(0)),
    )


class _Box(Protocol):
    """Where something lies in a piece, in length units."""

    @property
    def x(self) -> int: ...
    @property
    def y(self) -> int: ...
    @property
    def width(self) -> int: ...
    @property
    def length(self) -> int: ...


class _Placed(_Box, Protocol[_Key_co]):
    @property
    def cut(self) -> _Key_co: ...
    @property
    def turned(self) -> bool: ...


class _AnyPlan(Protocol[_Key_co]):
    """A plan, whatever its cuts and pieces are known by."""

    @property
    def index(self) -> int: ...
    @property
    def technique(self) -> str: ...
    @property
    def stages(self) -> int: ...
    @property
    def first(self) -> str: ...
    @property
    def width(self) -> int: ...
    @property
    def length(self) -> int: ...
    @property
    def used(self) -> int: ...
    @property
    def placements(self) -> Sequence[_Placed[_Key_co]]: ...
    @property
    def remnants(self) -> Sequence[_Box]: ...


def _plan(plan: Plan, units: InchesOrCm) -> dict[str, Any]:
    names = {placement.cut: placement.cut for placement in plan.placements}
    return {
        **plan_to_document(plan, units, piece=plan.piece, cut_names=names),
        "used_across": number_in(plan.used_across, units),
        "leaves": plan.leaves,
    }


def _box(box: _Box, units: Unit) -> dict[str, int | float]:
    return {
        "x": number_in(box.x, units),
        "y": number_in(box.y, units),
        "width": number_in(box.width, units),
        "length": number_in(box.length, units),
    }


def _buy(buy: Buy, units: InchesOrCm) -> dict[str, Any]:
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


def _evidence(evidence: Evidence, units: InchesOrCm) -> dict[str, Any]:
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
