"""What a set of squares can be chosen from: packs on the shelf, and fabrics by words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db.models import Count

from projects.models import SquareSet
from stash.finding.answers import search_words
from stash.models import Fabric, Piece, ShopTrip
from stash.models.piece import Form
from stash.models.querysets import PieceQuerySet
from stash.text import row_number

__all__ = ["Offer", "counts_like", "counts_of_trip", "offers", "trips_with_squares"]

MOST_OFFERED = 60
_MOST_TRIPS = 3


@dataclass(frozen=True, kw_only=True)
class Offer:
    """Squares that may be taken: from a pack or piece that is square, or of any fabric.

    ``free`` is how many of the pack are not promised; None where nobody counts.
    """

    key: str
    fabric: Fabric
    piece: Piece | None
    free: int | None


def offers(owner: User, *, words: str, chosen: Iterable[str]) -> tuple[list[Offer], int]:
    """Return what may be chosen, what is chosen already first, and how many fabrics answered.

    Without words the squares on the shelf, newest first; with words the fabrics that answer to
    them, each as its squares if it has some.
    """
    packs = _packs(owner).select_related("fabric__main_photo").order_by("-pk")
    if words:
        keys = search_words(owner, words).keys
        found, count = _of_fabrics(owner, keys[:MOST_OFFERED], packs), len(keys)
    else:
        found, count = [_of_piece(piece) for piece in packs[:MOST_OFFERED]], packs.count()
    shown = {offer.key: offer for offer in found[:MOST_OFFERED]}
    kept = {offer.key: offer for offer in _named(owner, chosen)}
    return [*kept.values(), *(offer for key, offer in shown.items() if key not in kept)], count


def counts_like(squares: SquareSet) -> dict[str, str]:
    """How many of each a set has, by the keys of offers."""
    keys = Counter(
        f"piece-{piece}" if piece is not None else f"fabric-{fabric}"
        for fabric, piece in squares.laid.values_list("fabric", "piece")
    )
    return {key: str(count) for key, count in keys.items()}


def trips_with_squares(owner: User) -> list[ShopTrip]:
    """The last trips whose photos became squares on the shelf, each with how many kinds."""
    return list(
        ShopTrip.objects.owned_by(owner)
        .filter(drafts__piece__in=_packs(owner))
        .annotate(kinds=Count("drafts"))
        .order_by("-date", "-pk")[:_MOST_TRIPS]
    )


def counts_of_trip(trip: ShopTrip) -> dict[str, str]:
    """All squares that a trip brought and that are free, by the keys of offers."""
    packs = _packs(trip.owner).filter(draft__trip=trip)
    return {f"piece-{pack.pk}": str(pack.available_count) for pack in packs if pack.available_count}


def _packs(owner: User) -> PieceQuerySet:
    return Piece.objects.owned_by(owner).on_shelf().filter(form=Form.SQUARE)


def _of_fabrics(owner: User, keys: list[int], packs: PieceQuerySet) -> list[Offer]:
    """Each fabric as its squares, if it has some, and as cloth to cut squares from."""
    squares: dict[int, list[Offer]] = {}
    for piece in packs.filter(fabric__in=keys):
        squares.setdefault(piece.fabric_id, []).append(_of_piece(piece))
    fabrics = Fabric.objects.owned_by(owner).in_stash().select_related("main_photo").in_bulk(keys)
    return [
        offer
        for key in keys
        if key in fabrics
        for offer in [*squares.get(key, []), _of_fabric(fabrics[key])]
    ]


def _named(owner: User, keys: Iterable[str]) -> list[Offer]:
    """The offers of these keys, as far as they are the person's."""
    pieces: list[int] = []
    fabrics: list[int] = []
    for key in keys:
        kind, _, text = key.partition("-")
        number = row_number(text)
        if number is not None:
            (pieces if kind == "piece" else fabrics).append(number)
    packs = (
        Piece.objects.owned_by(owner)
        .on_shelf()
        .select_related("fabric__main_photo")
        .in_bulk(pieces)
    )
    plain = Fabric.objects.owned_by(owner).in_stash().select_related("main_photo").in_bulk(fabrics)
    return [
        *(_of_piece(packs[key]) for key in pieces if key in packs),
        *(_of_fabric(plain[key]) for key in fabrics if key in plain),
    ]


def _of_piece(piece: Piece) -> Offer:
    return Offer(
        key=f"piece-{piece.pk}", fabric=piece.fabric, piece=piece, free=piece.available_count
    )


def _of_fabric(fabric: Fabric) -> Offer:
    return Offer(key=f"fabric-{fabric.pk}", fabric=fabric, piece=None, free=None)
