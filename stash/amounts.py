"""How much of a fabric there is, said so that nobody mistakes several cuts for one length."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from stash.lengths import METRE, YARD, Rounding, Unit, format_length
from stash.models import Movement
from stash.models.piece import Form

__all__ = ["Lying", "amount_left", "describe_change", "describe_length", "describe_size"]


#: In the order in which they are told.
_FORMS: tuple[str, ...] = tuple(Form.values)


class Lying(Protocol):
    """What an amount is told by: a `Piece`, or what is known of one."""

    @property
    def form(self) -> str: ...

    @property
    def is_pack(self) -> bool: ...

    @property
    def available_length(self) -> int: ...

    @property
    def available_count(self) -> int: ...


def describe_length(length: int, units: Unit) -> str:
    """A length along the bolt in the person's words, rounded down."""
    if units == "cm":
        return format_length(length, units="m" if length >= METRE else "cm")
    return format_length(length, units="yd" if length >= YARD // 8 else "in")


def describe_size(width: int, length: int, units: Unit) -> str:
    """Width × length, the unit once, rounded down."""
    across = format_length(width, units=units, with_unit=False)
    return f"{across} × {format_length(length, units=units)}"


def amount_left(pieces: Iterable[Lying], units: Unit) -> str:
    """Return what is available of these pieces: “1 3/4 yd in 2 pieces, 2 fat quarters”."""
    lengths: list[int] = []
    counts: dict[str, int] = {}
    for piece in pieces:
        count = piece.available_count if piece.is_pack else int(piece.available_length > 0)
        if not count:
            continue
        if piece.form == Form.YARDAGE:
            lengths.append(piece.available_length)
        else:
            counts[piece.form] = counts.get(piece.form, 0) + count
    parts = []
    if lengths:
        cuts = f" in {len(lengths)} pieces" if len(lengths) > 1 else ""
        parts.append(describe_length(sum(lengths), units) + cuts)
    for form in _FORMS:
        if form in counts:
            parts.append(f"{counts[form]} {form if counts[form] == 1 else _plural(form)}")
    return ", ".join(parts) or "nothing available"


def describe_change(movement: Movement, units: Unit) -> str:
    """Return what a movement did to its piece: “1/2 yd less”, “2 more”."""
    parts = []
    if movement.count_delta:
        more = "more" if movement.count_delta > 0 else "fewer"
        parts.append(f"{abs(movement.count_delta)} {more}")
    # A piece that comes or goes whole says its size; a change of size says the difference.
    if movement.count_delta > 0 and movement.width_delta > 0 and movement.length_delta > 0:
        return f"{parts[0]}: {describe_size(movement.width_delta, movement.length_delta, units)}"
    for delta, direction in (
        (movement.length_delta, "length"),
        (movement.width_delta, "usable width"),
    ):
        if delta:
            more = "more" if delta > 0 else "less"
            rounding: Rounding = "down" if delta > 0 else "up"
            amount = format_length(abs(delta), units=units, rounding=rounding)
            parts.append(f"{amount} {more} {direction}")
    return ", ".join(parts) or "no change of size"


def _plural(form: str) -> str:
    return f"{form}s"
