"""One photo read twice: by the photo card, and by a bought reference that lies in it too."""

from dataclasses import dataclass

from stash.colour.appearance import Appearance
from stash.colour.cloth.finding import find_cloth
from stash.colour.picture.marks import Marks
from stash.colour.picture.region import Region
from stash.colour.picture.upright import Picture
from stash.colour.reading import read_with
from stash.colour.references.card_print import ANY_PRINT, CardPrint
from stash.colour.references.choosing import find_correction

__all__ = ["Twice", "read_twice"]

_NO_CARD = "No photo card was found in this photo; take it again with the whole card in it."
_NO_BOUGHT = (
    "No {name} was found where you pointed; tap it again, or take the photo again in even light."
)


@dataclass(frozen=True, kw_only=True)
class Twice:
    """Both readings of one cloth; `bought` is None where only the card was asked for.

    why_not: a sentence where a reference was not found; empty otherwise.
    """

    card: Appearance
    bought: Appearance | None
    why_not: str = ""


def read_twice(
    picture: Picture,
    *,
    region: Region | None = None,
    chart: bool = False,
    marks: Marks | None = None,
    card_print: CardPrint = ANY_PRINT,
) -> Twice:
    """Return the cloth in a picture as read by the photo card, and by a bought reference.

    Parameters
    ----------
    picture : upright, linear Display P3
    region : the part that is fabric, as fractions; None to find it clear of both references
    chart : whether a colour chart lies there, to be found by itself where ``marks`` has none
    marks : a colour chart or a grey card that was pointed at, as fractions of the picture
    card_print : how the person's photo card was printed; usual prints when nobody calibrated it

    Returns
    -------
    CIELAB colours, values 0 to 10, each with half its 90 % interval.

    Promise
    -------
    Both read the same region. The card alone reads the first, whatever else lies in the picture.

    Notes
    -----
    Whether all of it lies in one light is not judged: `read_picture` does that, and takes a dark
    cloth on something white for a shadow.
    """
    pointed = marks or Marks()
    name = "colour chart" if chart or pointed.chart_corners else "grey card"
    is_asked = chart or pointed.chart_corners is not None or pointed.grey_point is not None
    only_card = Marks(ignore=("colour chart", "grey card", "paper"))
    only_bought = Marks(
        chart_corners=pointed.chart_corners,
        grey_point=pointed.grey_point,
        ignore=tuple(n for n in ("colour chart", "photo card", "grey card", "paper") if n != name),
    )
    card, card_notes = find_correction(picture, only_card, card_print)
    bought, notes = find_correction(picture, only_bought) if is_asked else (None, ())
    outlines = tuple(
        found.outline for found in (card, bought) if found and found.outline is not None
    )
    where = region or find_cloth(picture, outlines)
    by_card = read_with(picture, card, region=where, notes=card_notes)
    if card is None:
        return Twice(card=by_card, bought=None, why_not=" ".join((_NO_CARD, *card_notes)))
    if not is_asked:
        return Twice(card=by_card, bought=None)
    if bought is None:
        return Twice(
            card=by_card, bought=None, why_not=" ".join((_NO_BOUGHT.format(name=name), *notes))
        )
    truth = read_with(picture, bought, region=where, notes=notes)
    return Twice(card=by_card, bought=truth)
