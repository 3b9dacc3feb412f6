"""Choosing the best reference in a photo; each that fails says why and the next is tried."""

import logging
from functools import partial

from stash.colour.picture.checks import is_blurred, is_drawn, is_monochrome
from stash.colour.picture.faults import FAULTS
from stash.colour.picture.marks import Marks
from stash.colour.picture.upright import Picture
from stash.colour.references.card_greys import read_card
from stash.colour.references.card_print import ANY_PRINT, CardPrint
from stash.colour.references.card_view import find_card
from stash.colour.references.chart import (
    corners_in_pixels,
    find_chart,
    read_chart,
    read_found,
)
from stash.colour.references.correction import Correction
from stash.colour.references.neutral import read_point, read_sheet, suggest_sheet

Notes = tuple[str, ...]
Found = tuple[Correction | None, Notes]

logger = logging.getLogger(__name__)

# Long side to short side. The finders enlarge the short side to what they need, and the long side
# with it: at 8 the chart finder takes 0.3 GB, at 100 nearly 4 GB.
MAX_PROPORTION = 8.0

_TOO_LONG = (
    f"The picture is more than {MAX_PROPORTION:g} times as long as it is wide, so no reference is"
    " looked for in it; send a photo that is less narrow."
)


def is_too_long(picture: Picture) -> bool:
    """Return whether a picture is longer and narrower than references are looked for in.

    Parameters
    ----------
    picture : upright, linear Display P3

    Notes
    -----
    The limit is MAX_PROPORTION, 8 times.
    """
    sides = picture.width, picture.height  # of what is stored too, so that rereading agrees
    return max(sides) > MAX_PROPORTION * min(sides)


def find_correction(picture: Picture, marks: Marks, card_print: CardPrint = ANY_PRINT) -> Found:
    """Return the best correction that the photo allows, and sentences for the person.

    Order: colour chart, photo card, grey card, paper; but a chart whose corners nobody marked is
    only looked for where no photo card is. A
    reference named in ``marks.ignore`` is skipped. A picture without colour allows none, nor does
    one that ``is_too_long``.

    Parameters
    ----------
    picture : upright, linear Display P3
    marks : what the person pointed at, as fractions of the picture
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    None where there is none. Its uncertainty is half the 90 % interval of a value.

    Promise
    -------
    A finder that fails has found none, and is logged.
    """
    if is_too_long(picture):
        return None, (_TOO_LONG,)
    if is_monochrome(picture):
        return None, ()
    notes: Notes = ()
    for name, attempt in (
        ("colour chart", _from_marked_chart),
        ("photo card", partial(_from_card, card_print=card_print)),
        ("colour chart", _from_found_chart),
        ("grey card", _from_grey),
        ("paper", _from_paper),
    ):
        if name in marks.ignore:
            continue
        try:
            correction, more_notes = attempt(picture, marks)
        except FAULTS:
            logger.warning("looking for the %s failed", name, exc_info=True)
            continue
        notes += more_notes
        if correction is not None:
            return correction, notes
    return None, notes


def _from_marked_chart(picture: Picture, marks: Marks) -> Found:
    if marks.chart_corners is None:
        return None, ()
    return read_chart(picture, corners_in_pixels(picture, marks.chart_corners))


def _from_found_chart(picture: Picture, marks: Marks) -> Found:
    corners = None if marks.chart_corners else find_chart(picture)
    if corners is None:
        return None, ()
    return read_found(picture, corners)


def _from_card(picture: Picture, marks: Marks, *, card_print: CardPrint) -> Found:
    view, complaint = find_card(picture)
    if view is None:
        return None, (complaint,) if complaint else ()
    return read_card(picture, view, card_print)


def _from_grey(picture: Picture, marks: Marks) -> Found:
    if marks.grey_point is None:
        return None, ()
    return read_point(picture, marks.grey_point, "grey card")


def _from_paper(picture: Picture, marks: Marks) -> Found:
    if marks.paper_corners is not None:
        return read_sheet(picture, marks.paper_corners)
    if marks.paper_point is not None:
        return read_point(picture, marks.paper_point, "paper")
    if is_drawn(picture) or is_blurred(picture):  # a page on a screen; a card that is a blot
        return None, ()
    return suggest_sheet(picture, marks.paper_size)
