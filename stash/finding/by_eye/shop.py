"""“Do I own this?” in the shop: a photo that is not kept, beside what of the stash is most like it.

Without a card in the photo nothing is graded and nothing is said to be one lot.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db.models import Prefetch

from stash.amounts import amount_left
from stash.colour.cloth.palette import PaletteColour
from stash.colour.print_likeness import Gradients
from stash.colour.shop_question import Known, Ranked, nearest_by_colour, ranked
from stash.colour.spaces.difference import delta_e_2000, grade_words, grey_scale_grade
from stash.colour.taking import Taken
from stash.colour.words import stated
from stash.context import default_unit
from stash.finding.columns.store import columns_of
from stash.lengths import Unit
from stash.models import Fabric, Piece
from stash.photos.prints import find_gradients, gradients_from, kept_gradients

__all__ = ["Answer", "Candidate", "do_i_own"]

_MOST_COMPARED = 400
_MOST_SHOWN = 12
#: Prints found in one go for photos that came before prints were kept.
_MOST_FOUND = 24


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """A fabric of the stash beside the photo."""

    fabric: Fabric
    difference: float
    grade: str
    ranking: Ranked
    both_plain: bool
    amount: str

    @property
    def print_words(self) -> str:
        if self.both_plain:
            return "Print: none seen on either"
        if self.ranking.print is None:
            return "Print: not compared"
        return f"Print: {self.ranking.print_words}"

    @property
    def colour_words(self) -> str:
        """The difference in colour; graded only where both were measured."""
        if self.grade:
            words = grade_words(self.grade)
            return f"Colour: difference {self.difference:.1f}, {words}, grade {self.grade}"
        apart = stated(f"{self.ranking.colour:.0f}", is_estimate=True)
        return f"Colours: {apart} apart (CIEDE2000), lightness left open"


@dataclass(frozen=True, kw_only=True)
class Answer:
    """The candidates, most like the photo first, and of how many the print was not looked at."""

    candidates: tuple[Candidate, ...]
    unlooked: int


def do_i_own(owner: User, taken: Taken) -> Answer:
    """Return what of the stash is most like the cloth in a photo, by print and by colours.

    Raises StoreBusy.
    """
    asked = Known(
        key=None,
        far=taken.appearance.far,
        palette=taken.appearance.palette,
        uncertainty=taken.appearance.uncertainty,
        gradients=gradients_from(taken.gradients),
    )
    fabrics = _nearest(owner, asked)
    known = list(_known(fabrics))
    by_key = {fabric.pk: fabric for fabric in fabrics}
    prints = {cloth.key: cloth.gradients for cloth in known}
    units = default_unit(owner)
    first = ranked(asked, known)[:_MOST_SHOWN]
    return Answer(
        candidates=tuple(
            _candidate(by_key[ranking.key], taken, ranking, prints[ranking.key], units)  # type: ignore[index]
            for ranking in first
        ),
        unlooked=sum(cloth.gradients is None for cloth in known),
    )


def _nearest(owner: User, asked: Known) -> list[Fabric]:
    columns = columns_of(owner)
    told = columns.fabrics
    rows = nearest_by_colour(asked, told.far, told.uncertainty, _MOST_COMPARED)
    keys = [int(key) for key in told.key[rows]]
    pieces = Prefetch("pieces", Piece.objects.on_shelf(), to_attr="shelf_pieces")
    found = Fabric.objects.owned_by(owner).select_related("main_photo").prefetch_related(pieces)
    by_key = found.in_bulk(keys)
    return [by_key[key] for key in keys if key in by_key]


def _known(fabrics: Sequence[Fabric]) -> Iterator[Known]:
    """What is known of each; the nearest by colour get their prints found first."""
    left = _MOST_FOUND
    for fabric in fabrics:
        assert fabric.far_lab is not None
        photo = fabric.main_photo
        gradients = kept_gradients(photo) if photo else None
        if gradients is None and photo is not None and left:
            gradients, left = find_gradients(photo), left - 1
        yield Known(
            key=fabric.pk,
            far=fabric.far_lab,
            palette=_palette(fabric.palette),
            uncertainty=10.0 if fabric.value_uncertainty is None else fabric.value_uncertainty,
            gradients=gradients,
        )


def _palette(stored: Iterable[dict[str, object]]) -> list[PaletteColour]:
    return [
        PaletteColour(lab=tuple(colour["lab"]), share=colour["share"])  # type: ignore[arg-type]
        for colour in stored
    ]


def _candidate(
    fabric: Fabric, taken: Taken, ranking: Ranked, gradients: Gradients | None, units: Unit
) -> Candidate:
    assert fabric.far_lab is not None
    is_measured = not (taken.appearance.is_estimate or fabric.has_estimated_colour)
    is_plain = gradients is not None and not len(gradients)
    return Candidate(
        fabric=fabric,
        difference=float(delta_e_2000(fabric.far_lab, taken.appearance.far)),
        grade=grey_scale_grade(fabric.far_lab, taken.appearance.far) if is_measured else "",
        ranking=ranking,
        amount=amount_left(fabric.shelf_pieces, units),  # type: ignore[attr-defined]
        both_plain=is_plain and not len(taken.gradients),
    )
