"""The fabrics of a list as cards: values that say all that a list shows of each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from stash.addresses import address_of, tile_address
from stash.amounts import amount_left
from stash.colour.spaces.cielab import Lab
from stash.colour.words import stated
from stash.finding.columns.arrays import Columns
from stash.finding.results import Apart, Found
from stash.finding.shelf import Shelf
from stash.models import Fabric
from stash.models.fabric import Reference, colour_told
from stash.models.piece import PACK_FORMS
from stash.photos.cloth.cut import MARK_COLUMNS, mark_of_row

__all__ = ["Card", "cards_of"]

_MOST_KEPT = 1_000  # of one stash; a card takes about half a kilobyte
_ASKED_AT_ONCE = 500  # keys in one query: databases have limits
_SHOWN = ("pk", "name", "colour_name", "called", "value_uncertainty", "reference", *MARK_COLUMNS)


@dataclass(frozen=True, kw_only=True, slots=True)
class Card:
    """One fabric of a list. Equal cards look the same, so that what was drawn can be kept."""

    pk: int
    name: str
    mark: str  # of the picture of the cloth; empty without a photo
    far_lab: Lab | None
    colour_name: str
    called: str  # what the person calls its colour, while nothing was read
    is_of_many_colours: bool
    value: float | None
    value_uncertainty: float | None
    is_estimate: bool  # the value
    has_estimated_colour: bool
    amount: str
    lies: str
    why: str = ""
    joined_by: str = ""  # the address that chooses this fabric, too

    @property
    def address(self) -> str:
        return address_of("stash:fabric", self.pk)

    @property
    def colour_words(self) -> str:
        """What its far colour is called, with *about* where that is an estimate."""
        return stated(self.colour_name, is_estimate=self.has_estimated_colour)

    @property
    def is_claim(self) -> bool:
        """Whether its colour is known by the person's word alone."""
        return bool(self.called)

    @property
    def colour_told(self) -> str:
        return colour_told(self.colour_words, self.called)

    @property
    def tile(self) -> str:
        return tile_address(self.pk, self.mark, "cloth")

    @property
    def grey_tile(self) -> str:
        return tile_address(self.pk, self.mark, "cloth-grey")


class _Lying(NamedTuple):
    """One piece as an amount and a place are told by it; 0 is no place."""

    form: str
    available_length: int
    available_count: int
    place: int

    @property
    def is_pack(self) -> bool:
        return self.form in PACK_FORMS


def cards_of(stash: Shelf, found: Found | Apart, places: Sequence[int]) -> list[Card]:
    """The cards at these places of the results, in order, each with why it is there."""
    columns = stash.columns
    rows = [int(found.rows[at]) for at in places]
    known = columns.kept_cards((stash.units, stash.places))
    unknown = [row for row in rows if columns.fabrics.key[row] not in known]
    made = {card.pk: card for card in _made(stash, unknown)} if unknown else {}
    cards = []
    for key, at in zip(columns.fabrics.key[rows].tolist(), places, strict=True):
        card = made.get(key) or known.get(key)
        if card is not None:
            why = found.why(at)
            cards.append(replace(card, why=why) if why else card)
    if len(known) + len(made) <= _MOST_KEPT:
        known |= made
    return cards


def _made(stash: Shelf, rows: Sequence[int]) -> Iterator[Card]:
    """The cards of these rows, as the database has them now."""
    columns = stash.columns
    keys = columns.fabrics.key[list(rows)].tolist()
    many = (columns.fabrics.share[list(rows)] > 0).sum(axis=1) > 1
    labels = {int(place.key): place.label for place in stash.places}
    shown = _shown(stash.owner, keys)
    for key, lying, is_of_many in zip(keys, _lying(columns, rows), many.tolist(), strict=True):
        if key in shown:
            lies = dict.fromkeys(labels.get(piece.place, "") for piece in lying)
            yield _card(
                *shown[key],
                is_of_many_colours=is_of_many,
                amount=amount_left(lying, stash.units),
                lies=", ".join(label for label in lies if label),
            )


def _lying(columns: Columns, rows: Iterable[int]) -> Iterator[list[_Lying]]:
    """What lies of each of these fabrics."""
    pieces = columns.pieces
    told = (pieces.form, pieces.length, pieces.count, pieces.place)
    for row in rows:
        mine = columns.pieces_of(row)
        facts = zip(*(column[mine].tolist() for column in told), strict=True)
        yield [_Lying(*facts_of_piece) for facts_of_piece in facts]


def _shown(owner: Any, keys: Sequence[int]) -> dict[int, tuple[Any, ...]]:
    """What the columns do not know of these fabrics, by key."""
    rows: dict[int, tuple[Any, ...]] = {}
    for start in range(0, len(keys), _ASKED_AT_ONCE):
        asked = Fabric.objects.filter(pk__in=keys[start : start + _ASKED_AT_ONCE])
        rows |= {row[0]: row for row in asked.owned_by(owner).order_by().values_list(*_SHOWN)}
    return rows


def _card(
    pk: int,
    name: str,
    colour_name: str,
    called: str,
    uncertainty: float | None,
    reference: str,
    *marked_by: Any,
    **told: Any,
) -> Card:
    far_l, far_a, far_b, value, is_by_eye, *_ = marked_by
    is_bare = reference == Reference.NONE
    return Card(
        pk=pk,
        name=name,
        mark=mark_of_row(*marked_by),
        far_lab=None if far_l is None or far_a is None or far_b is None else (far_l, far_a, far_b),
        colour_name=colour_name,
        called="" if far_l is not None else called,
        value=value,
        value_uncertainty=uncertainty,
        is_estimate=value is not None and is_bare and not is_by_eye,
        has_estimated_colour=far_l is not None and is_bare,
        **told,
    )
