"""What a set of squares can be chosen from: packs on the shelf, and fabrics by words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.http import QueryDict

from stash.finding.search import read_search, run
from stash.finding.shelf import Shelf
from stash.models import Fabric, Piece
from stash.models.piece import Form

__all__ = ["Offer", "offers"]

MOST_OFFERED = 60


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
    packs = [
        _of_piece(piece)
        for piece in Piece.objects.owned_by(owner)
        .on_shelf()
        .filter(form=Form.SQUARE)
        .select_related("fabric")
        .order_by("-created_at", "-pk")
    ]
    found, count = packs, len(packs)
    if words:
        keys = _search(owner, words)
        count = len(keys)
        by_fabric: dict[int, list[Offer]] = {}
        for offer in packs:
            by_fabric.setdefault(offer.fabric.pk, []).append(offer)
        fabrics = Fabric.objects.owned_by(owner).in_stash().in_bulk(keys[:MOST_OFFERED])
        found = [
            offer
            for key in keys[:MOST_OFFERED]
            if key in fabrics
            for offer in [*by_fabric.get(key, []), _of_fabric(fabrics[key])]
        ]
    shown = {offer.key: offer for offer in found[:MOST_OFFERED]}
    kept = {offer.key: offer for offer in _named(owner, chosen)}
    return [*kept.values(), *(one for key, one in shown.items() if key not in kept)], count


def _named(owner: User, keys: Iterable[str]) -> list[Offer]:
    """The offers of these keys, as far as they are the person's."""
    pieces: list[int] = []
    fabrics: list[int] = []
    for key in keys:
        kind, _, number = key.partition("-")
        if number.isascii() and number.isdigit() and len(number) < 16:
            (pieces if kind == "piece" else fabrics).append(int(number))
    packs = Piece.objects.owned_by(owner).on_shelf().select_related("fabric").in_bulk(pieces)
    plain = Fabric.objects.owned_by(owner).in_stash().in_bulk(fabrics)
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


def _search(owner: User, words: str) -> list[int]:
    stash = Shelf(owner)
    query = QueryDict(mutable=True)
    query.update({"words": words})
    found = run(read_search(query, stash.columns, stash.known()), stash.columns, stash.places)
    return [int(stash.columns.fabrics.key[row]) for row in found.rows]
