"""Choosing the best reference in a photo; each that fails says why and the next is tried."""

from stash.colour.card_view import find_card, read_card
from stash.colour.correction import Correction
from stash.colour.marks import Marks
from stash.colour.photo import Picture

Notes = tuple[str, ...]


def find_correction(picture: Picture, marks: Marks) -> tuple[Correction | None, Notes]:
    """Return the best correction that the photo allows, or None, and sentences for the person."""
    notes: Notes = ()
    for name, attempt in (("photo card", _from_card),):
        if name in marks.ignore:
            continue
        correction, said = attempt(picture, marks)
        notes += said
        if correction is not None:
            return correction, notes
    return None, notes


def _from_card(picture: Picture, marks: Marks) -> tuple[Correction | None, Notes]:
    view, complaint = find_card(picture)
    if view is None:
        return None, (complaint,) if complaint else ()
    return read_card(picture, view)
