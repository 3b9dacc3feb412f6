"""What the card of a draft shows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import User
from django.db.models import QuerySet

from stash.choices import Choice, choices_of
from stash.colour.appearance import Appearance
from stash.colour.references.card_greys import PRINT_ESTIMATED
from stash.colour.words import describe, stated
from stash.intake.forms import DraftForm
from stash.intake.likeness import Likeness, look_alikes
from stash.intake.sizes import TapSize, tap_sizes
from stash.lengths import Unit, exact_text
from stash.models import Draft, Place
from stash.models.piece import PACK_FORMS, Edge, Form
from stash.photos.appearance import photo_name, suggested_name

__all__ = ["Card", "Tap", "make_cards", "with_what_cards_show"]


@dataclass(frozen=True, kw_only=True)
class Tap:
    """A button for a size, pressed when the card has that size."""

    size: TapSize
    is_pressed: bool


@dataclass(frozen=True, kw_only=True)
class Card:
    draft: Draft
    appearance: Appearance | None
    colour_words: str
    suggested_name: str
    palette: Sequence[Mapping[str, Any]]
    taps: Sequence[Tap]
    likeness: Likeness | None
    lender_name: str
    typed: Mapping[str, str]
    places: Sequence[Choice] = ()
    errors: Mapping[str, Sequence[str]] = field(default_factory=dict)

    @property
    def forms(self) -> list[Choice]:
        return choices_of(Form.choices, self.typed["form"])

    @property
    def edges(self) -> list[Choice]:
        return choices_of(Edge.choices, self.typed["edge"])

    @property
    def notes(self) -> Sequence[str]:
        """Sentences to act on; the first of a lent reference is said with its lender."""
        notes = self.appearance.notes if self.appearance else ()
        own_notes = notes[1:] if self.lender_name else notes
        return [note for note in own_notes if note != PRINT_ESTIMATED]

    @property
    def name(self) -> str:
        return self.draft.name or self.suggested_name

    @property
    def is_pack(self) -> bool:
        return self.draft.form in PACK_FORMS


def with_what_cards_show(drafts: QuerySet[Draft]) -> QuerySet[Draft]:
    """Everything that a card looks at, in one query."""
    return drafts.select_related(
        "photo__lender__draft",
        "photo__lender__fabric",
        "trip",
        "place",
        "same_as__main_photo",
        "fabric",
        "piece",
    )


def make_cards(
    *,
    owner: User,
    drafts: Iterable[Draft],
    units: Unit,
    places: Iterable[Place] = (),
    wrong: DraftForm | None = None,
) -> list[Card]:
    """Cards for drafts of one person; ``wrong`` is what was typed into a single one in vain."""
    known = [(str(place.pk), str(place)) for place in places]
    shown = list(drafts)
    alike = look_alikes(owner=owner, drafts=[draft for draft in shown if draft.same_as_id is None])
    sizes = tap_sizes(units)
    return [_card(draft, alike.get(draft.pk), sizes, units, known, wrong) for draft in shown]


def _card(
    draft: Draft,
    likeness: Likeness | None,
    sizes: Sequence[TapSize],
    units: Unit,
    places: Sequence[tuple[str, str]],
    wrong: DraftForm | None,
) -> Card:
    appearance = draft.photo.appearance
    typed = _sent(wrong) if wrong else _typed(draft, units)
    return Card(
        draft=draft,
        appearance=appearance,
        colour_words=_colour_words(appearance) if appearance else "",
        suggested_name=suggested_name(appearance),
        palette=draft.photo.reading["palette"] if draft.photo.reading else (),
        taps=[Tap(size=size, is_pressed=_is_pressed(draft, size)) for size in sizes],
        likeness=likeness,
        lender_name=photo_name(draft.photo.lender) if draft.photo.lender else "",
        typed=typed,
        places=choices_of(places, typed["place"]),
        errors=_sentences(wrong) if wrong else {},
    )


def _colour_words(appearance: Appearance) -> str:
    return stated(describe(appearance.far).name, is_estimate=appearance.is_estimate)


def _is_pressed(draft: Draft, size: TapSize) -> bool:
    same_length = draft.form == size.form and draft.length == size.length
    return same_length and (size.width is None or draft.width == size.width)


def _typed(draft: Draft, units: Unit) -> dict[str, str]:
    return {
        "name": draft.name,
        "form": draft.form,
        "width": exact_text(draft.width, units=units) if draft.width else "",
        "length": exact_text(draft.length, units=units) if draft.length else "",
        "count": str(draft.count),
        "edge": draft.edge,
        "place": str(draft.place_id or ""),
    }


def _sent(form: DraftForm) -> dict[str, str]:
    return {name: str(form.data.get(name, "")) for name in form.fields}


def _sentences(form: DraftForm) -> dict[str, list[str]]:
    return {name: [str(error) for error in found] for name, found in form.errors.items()}
