"""Put the invented sewing room into the demo's own data folder."""

import uuid
from collections.abc import Callable, Generator, Iterable, Sequence
from contextlib import closing
from dataclasses import replace
from datetime import date, datetime, time
from decimal import Decimal
from functools import partial
from operator import itemgetter
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core.exceptions import ImproperlyConfigured
from django.utils import timezone

from stash.accounts.demo import demo_quilter
from stash.acts import one_act
from stash.catalogue import ledger
from stash.catalogue.fabrics.acts import describe_fabric
from stash.catalogue.pieces.keeping import set_keeping
from stash.intake.acts import receive_photo, start_trip
from stash.intake.sizes import SAFE_WIDTH
from stash.lengths import INCH, MM, parse_length
from stash.models import Fabric, Piece, Place
from stash.photos.acts import add_to_fabric
from stash.photos.store import early_views

from .auditions import load_auditions
from .cloth import Recipe
from .cloth.painters import Shot, paint_all
from .holdings import Bought, Event, Owned
from .plans import load_projects
from .recipes import RECIPES, with_card
from .scenario import CARD_SINCE, PLACES, WAITING_TRIP, Room
from .shelves import OWNED
from .squares import load_squares
from .trip import waiting_photos

_BOLT_WIDTH = 44 * INCH
_ACTS = uuid.UUID("6f0d6b1e-5a0e-4a3e-9d0a-2f6f1c0a7d11")
_WEIGHED_SPREAD = INCH // 2
_PRINTS = {
    "solid": "solid",
    "mottled": "mottled",
    "hand dyed": "hand-dyed leaves",
    "tonal leaves": "tone on tone leaves",
    "tonal swirls": "tone on tone swirls",
    "brushed": "brush strokes",
    "sponged": "sponged",
    "woven stripe": "woven stripe",
    "ditsy": "little flowers",
    "garden": "large flowers",
    "plaid": "checks",
    "rings": "ringed dots",
    "dashes": "slanting rain",
}


Shots = Generator[Shot, None, None]


def begin_shots() -> Shots:
    """Begin to photograph the shelves and then the shopping bag, in other processes.

    Close what is returned to stop early.
    """
    shelves = [recipe for _, recipe in _by_day(OWNED)]
    return paint_all([*shelves, *waiting_photos()], early_views())


def load_demo(report: Callable[[str], Any], shots: Shots | None = None) -> None:
    """Create the demo's quilter and everything she owns, telling `report` how far it is.

    ``shots`` are those of `begin_shots`, if they were begun before.
    Raises ImproperlyConfigured when the data folder is not the demo's.
    """
    if not settings.DEMO:
        raise ImproperlyConfigured("The demo is loaded only into its own data folder.")
    quilter = demo_quilter()
    places = load_places(quilter)
    with closing(shots or begin_shots()) as photos:
        load_fabrics(quilter, OWNED, places, report, photos)
        _load_waiting_trip(quilter, report, photos)
    load_projects(quilter, report)
    load_squares(quilter, report)
    load_auditions(quilter, report)
    report("The sewing room is ready.")


def load_places(owner: User) -> dict[str, Place]:
    """Create the sewing room's places and return them by name."""
    made: dict[str, Place] = {}

    def build(rooms: Sequence[Room], inside: Place | None) -> None:
        for room in rooms:
            made[room.name] = Place.objects.create(
                owner=owner, name=room.name, note=room.note, inside=inside
            )
            build(room.inside, made[room.name])

    build(PLACES, None)
    return made


def load_fabrics(
    owner: User,
    owned: Sequence[Owned],
    places: dict[str, Place],
    report: Callable[[str], Any],
    shots: Shots | None = None,
) -> None:
    """Create fabrics in the order in which they came into the house, then what happened to them.

    ``shots`` begin with all of them, if they were begun before.
    """
    in_order = _by_day(owned)
    made = []
    photos = shots or paint_all([recipe for _, recipe in in_order], early_views())
    for number, (cloth, recipe) in enumerate(in_order):
        if number % 10 == 0:
            report(f"Photographing the shelves: {number} of {len(in_order)} fabrics ...")
        shot = next(photos)
        fabric = catalogue(owner, cloth, recipe)
        add_to_fabric(owner=owner, fabric=fabric, data=shot.data, taken=shot.taken)
        made.append((fabric, cloth))
    if shots is None:
        photos.close()
    tell_history(made, places)


def _by_day(owned: Sequence[Owned]) -> list[tuple[Owned, Recipe]]:
    """Return all cloth in the order in which it came, with what was photographed that day."""
    by_name = {recipe.name: recipe for recipe in RECIPES}
    return [
        (cloth, _photographed(by_name[cloth.recipe], _first_day(cloth)))
        for cloth in sorted(owned, key=lambda cloth: (_first_day(cloth), cloth.recipe))
    ]


def _photographed(recipe: Recipe, on: date) -> Recipe:
    """Return the recipe as its photo was taken that day."""
    taken = replace(recipe, taken=_noon(on))
    # A 5-inch square has no room for the card.
    return with_card(taken) if on >= CARD_SINCE and recipe.scene != "pinked" else taken


def catalogue(owner: User, owned: Owned, recipe: Recipe) -> Fabric:
    """Create a fabric without pieces; its photo comes afterwards."""
    fabric = Fabric.objects.create(owner=owner, name=recipe.name)
    describe_fabric(fabric=fabric, facts=_facts(owned, recipe), tag_names=owned.tags)
    fabric.created_at = _aware(_first_day(owned))
    fabric.save(update_fields=["created_at"])
    return fabric


def tell_history(made: Iterable[tuple[Fabric, Owned]], places: dict[str, Place]) -> None:
    """Let all pieces come, and all else happen, day by day over the whole stash."""
    pieces: dict[str, Piece] = {}
    days: list[tuple[date, Callable[[], None]]] = []
    for fabric, owned in made:
        for number, bought in enumerate(owned.pieces):
            key = f"{owned.recipe} {number}"
            days.append((bought.on, partial(_acquire, pieces, fabric, bought, places, key)))
            for which, event in enumerate(bought.events):
                days.append((event.on, partial(_tell, pieces, key, event, places, which)))
    for _, happens in sorted(days, key=itemgetter(0)):
        happens()


def _facts(owned: Owned, recipe: Recipe) -> dict[str, Any]:
    across, along = recipe.repeat
    has_repeat = recipe.design not in ("solid", "mottled", "chambray")
    shrink_length, shrink_width = owned.shrink or (None, None)
    return {
        "fibre": recipe.fibre,
        "weave": recipe.weave,
        "weight": recipe.weight,
        "direction": recipe.direction,
        "print_scale": recipe.print_scale,
        "print_words": _PRINTS.get(recipe.design, recipe.design),
        "repeat_across": round(across * MM) if has_repeat else None,
        "repeat_along": round(along * MM) if has_repeat else None,
        "nominal_width": _BOLT_WIDTH,
        "prewashed": True if owned.washed else False if owned.unwashed else None,
        "prewashed_on": owned.washed,
        "shrink_length": Decimal(shrink_length) if shrink_length else None,
        "shrink_width": Decimal(shrink_width) if shrink_width else None,
        "care": owned.care,
        "bleed": owned.bleed,
        "notes": owned.notes,
    }


def _acquire(
    pieces: dict[str, Piece], fabric: Fabric, bought: Bought, places: dict[str, Place], key: str
) -> None:
    pieces[key] = ledger.acquire(
        owner=fabric.owner,
        fabric=fabric,
        form=bought.form,
        width=parse_length(bought.width),
        length=parse_length(bought.length),
        count=bought.count,
        width_measured=bought.width_measured,
        length_measured=bought.length_measured,
        edge=bought.edge,
        place=places[bought.place],
        lot=bought.lot,
        bought_where=bought.shop,
        bought_on=bought.on if bought.shop else None,
        price=Decimal(bought.price) if bought.price else None,
        keep_back=parse_length(bought.keep_back) if bought.keep_back else 0,
        favourite=bought.favourite,
        condition=bought.condition,
        act=_act(key, "acquired"),
        note=bought.shop,
        at=_aware(bought.on),
    )


def _tell(
    pieces: dict[str, Piece], of: str, event: Event, places: dict[str, Place], number: int
) -> None:
    """Let one thing happen to a piece, through the ledger."""
    piece, key = pieces[of], f"{of} {number}"
    act, at = _act(key, event.kind), _aware(event.on)
    common: dict[str, Any] = {"piece": piece, "act": act, "note": event.note, "at": at}
    length = parse_length(event.length) if event.length else None
    if event.kind == "measured":
        assert length is not None
        ledger.measure(width=parse_length(event.width), length=length, **common)
    elif event.kind == "corrected":
        assert length is not None
        width = parse_length(event.width)
        ledger.correct(width=width, length=length, count=piece.count, **common)
    elif event.kind == "given away":
        ledger.give_away(length=length, count=event.count, **common)
    elif event.kind == "used":
        ledger.use(length=length, count=event.count, **common)
    elif event.kind == "weighed":
        assert length is not None
        ledger.weigh(length=length, length_spread=_WEIGHED_SPREAD, **common)
    elif event.kind == "lent":
        ledger.lend(**common | {"to": event.note, "note": ""})
    elif event.kind == "came back":
        ledger.come_back(**common)
    else:
        scraps = [
            ledger.Remnant(width=parse_length(width), length=parse_length(length))
            for width, length in event.scraps
        ]
        with one_act(piece.owner, act):
            returned = ledger.cut_from_piece(
                length=length, count=event.count or 0, remnants=scraps, **common
            )
        for scrap in returned:
            set_keeping(piece=scrap, facts={"place": places["Scrap tin"]})
    if event.taken_back:
        ledger.undo(owner=piece.owner, undone_act=act, act=_act(key, "undone"), at=at)
        piece.refresh_from_db()


def _load_waiting_trip(owner: User, report: Callable[[str], Any], shots: Shots) -> None:
    report("Emptying the shopping bag ...")
    trip = start_trip(
        owner=owner, shop=WAITING_TRIP.shop, date=WAITING_TRIP.on, width=SAFE_WIDTH["in"]
    )
    for shot in shots:
        receive_photo(trip=trip, data=shot.data, taken=shot.taken)


def _first_day(owned: Owned) -> date:
    return min(bought.on for bought in owned.pieces)


def _noon(on: date) -> datetime:
    return datetime.combine(on, time(12))


def _aware(on: date) -> datetime:
    return timezone.make_aware(_noon(on))


def _act(key: str, what: str) -> uuid.UUID:
    """The same act has the same key in every load."""
    return uuid.uuid5(_ACTS, f"{key} {what}")
