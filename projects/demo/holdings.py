"""How the demo writes down cloth: what was bought, and what happened to it since."""

from dataclasses import dataclass, replace
from datetime import date


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something that happened to a piece: a kind of movement of the ledger.

    `width` and `length` are the measured size; for "cut", "used" and "given away" `length` is what
    came off, and for "weighed" the least that it can be. `scraps` are the sizes that came back to
    the scrap tin. `taken_back` events were undone.
    """

    kind: str
    on: date
    width: str = ""
    length: str = ""
    count: int | None = None
    scraps: tuple[tuple[str, str], ...] = ()
    note: str = ""
    taken_back: bool = False


@dataclass(frozen=True, kw_only=True)
class Bought:
    """One piece as it came into the house."""

    form: str
    width: str
    length: str
    on: date
    shop: str
    place: str
    count: int = 1
    edge: str = "straight"
    price: str = ""
    lot: str = ""
    keep_back: str = ""
    favourite: bool = False
    condition: str = ""
    width_measured: bool = False
    length_measured: bool = False
    events: tuple[Event, ...] = ()

    def then(self, *events: Event) -> "Bought":
        return replace(self, events=(*self.events, *events))


@dataclass(frozen=True, kw_only=True)
class Owned:
    """A fabric of the stash: the recipe of its looks, its facts, and its pieces."""

    recipe: str
    pieces: tuple[Bought, ...]
    tags: tuple[str, ...] = ()
    notes: str = ""
    washed: date | None = None
    unwashed: bool = False
    shrink: tuple[str, str] | None = None  # per cent along the length, across the width
    bleed: str = ""
    care: str = ""


def day(text: str) -> date:
    return date.fromisoformat(text)


def yards(
    length: str, on: str, shop: str, place: str, width: str = "42 in", **more: object
) -> Bought:
    """Yardage with the usable width that is planned with until somebody measures it."""
    return Bought(form="yardage", width=width, length=length, on=day(on), shop=shop, place=place,
                  **more)  # type: ignore[arg-type]  # fmt: skip


def fat_quarter(on: str, shop: str, place: str = "Fat quarter drawer", **more: object) -> Bought:
    """Sold as 18 x 22 in and planned with 18 x 21 (common practice)."""
    return Bought(form="fat quarter", width="21 in", length="18 in", on=day(on), shop=shop,
                  place=place, **more)  # type: ignore[arg-type]  # fmt: skip


def squares(count: int, on: str, shop: str, place: str = "Left drawer", **more: object) -> Bought:
    """Five-inch squares with pinked edges, measured to the points."""
    return Bought(form="square", width="5 in", length="5 in", count=count, edge="pinked, points",
                  on=day(on), shop=shop, place=place, **more)  # type: ignore[arg-type]  # fmt: skip


def strips(count: int, on: str, shop: str, place: str = "Left drawer", **more: object) -> Bought:
    """Strips of 2 1/2 in across the width."""
    return Bought(form="strip", width="42 in", length="2 1/2 in", count=count, on=day(on),
                  shop=shop, place=place, **more)  # type: ignore[arg-type]  # fmt: skip


def scrap(width: str, length: str, on: str, note: str = "") -> Bought:
    return Bought(form="scrap", width=width, length=length, on=day(on), shop="",
                  place="Scrap tin", width_measured=True, length_measured=True,
                  condition=note)  # fmt: skip


def measured(on: str, width: str, length: str, note: str = "after washing") -> Event:
    return Event(kind="measured", on=day(on), width=width, length=length, note=note)


def cut(on: str, length: str, note: str, *scraps: tuple[str, str]) -> Event:
    return Event(kind="cut", on=day(on), length=length, note=note, scraps=scraps)


def used(on: str, count: int, note: str) -> Event:
    """So many of a pack were sewn up."""
    return Event(kind="cut", on=day(on), count=count, note=note)


def given(on: str, length: str, note: str, *, taken_back: bool = False) -> Event:
    return Event(kind="given away", on=day(on), length=length, note=note, taken_back=taken_back)


def given_squares(on: str, count: int, note: str) -> Event:
    return Event(kind="given away", on=day(on), count=count, note=note)


def corrected(on: str, width: str, length: str, note: str) -> Event:
    return Event(kind="corrected", on=day(on), width=width, length=length, note=note)


def weighed(on: str, length: str, note: str) -> Event:
    return Event(kind="weighed", on=day(on), length=length, note=note)


def used_up(on: str, length: str, note: str) -> Event:
    """So much of it went into something that is not planned here."""
    return Event(kind="used", on=day(on), length=length, note=note)


def lent(on: str, back: str, to: str) -> tuple[Event, Event]:
    """To somebody, who brought it back."""
    return (
        Event(kind="lent", on=day(on), note=to),
        Event(kind="came back", on=day(back), note=f"from {to}"),
    )


WARM_WASH = "Wash 40 °C with like colours, line dry, iron medium"
COOL_WASH = "Wash 30 °C alone the first times, iron medium on the back"
SHELF_1, SHELF_2, SHELF_3, SHELF_4, SHELF_5 = (f"Shelf {number}" for number in range(1, 6))
