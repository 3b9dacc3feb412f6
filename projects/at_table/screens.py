"""What the table shows: one step a screen, from washing to the last strip, without gaps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from math import floor
from typing import Any

from projects.at_table.laid import Laid, Strip
from projects.at_table.strips import StripWords, words_of
from projects.coverage.intentions import Intention
from projects.cut_sheet.before_cutting import before_cutting, bleed_step, wash_steps
from projects.cut_sheet.booking import LEAST_REST
from projects.cut_sheet.folding import fold_of
from projects.cut_sheet.on_the_table import known_of
from projects.cut_sheet.plans import SheetPlan
from projects.models import Role
from projects.planning.cuts import cut_label
from stash.lengths import Unit, format_length
from stash.models import Fabric, Piece

__all__ = ["ClothOnTable", "Screen", "cloths_of", "screens_of"]


@dataclass(frozen=True, kw_only=True)
class ClothOnTable:
    """The cloth of one plan: what must not be cut of it, and what its cuts are called."""

    fabric: Fabric
    piece: Piece
    name: str
    stays: tuple[str, ...]
    cuts: Mapping[int, str]
    is_pack: bool
    strips: int
    cut: int
    #: The number of its first screen.
    at: int = 1

    @property
    def is_done(self) -> bool:
        return self.cut == self.strips

    def to_document(self) -> dict[str, Any]:
        """What the page's script needs of it."""
        return {"name": self.name, "stays": self.stays, "cuts": self.cuts, "pack": self.is_pack}


@dataclass(frozen=True, kw_only=True)
class Screen:
    """One step. ``strip`` is the strip that it books, 0 for what is only made ready.

    ``cloth`` is the place of its cloth among those on the table, ``caution`` the one that belongs
    to it ("iron" or "cutter"), ``cuts`` the cuts that may be spoiled in it, each with how many.
    """

    number: int = 0
    cloth: int
    strip: int = 0
    head: str
    do: tuple[str, ...] = ()
    then: tuple[str, ...] = ()
    label: str = ""
    after: str = ""
    caution: str = ""
    cuts: tuple[tuple[int, int], ...] = ()

    @property
    def is_cut(self) -> bool:
        return self.strip > 0

    @property
    def is_pressed(self) -> bool:
        return self.caution == "iron"

    @property
    def is_opened(self) -> bool:
        """Whether the cutter is taken into the hand for it."""
        return self.caution == "cutter"

    def to_document(self) -> dict[str, Any]:
        return {name: value for name, value in asdict(self).items() if value or name == "cloth"}


def cloths_of(
    laid: Laid, wanted: Sequence[Intention], screens: Sequence[Screen], units: Unit
) -> list[ClothOnTable]:
    """The cloths in the order of work; ``wanted`` is what all projects want of these fabrics."""
    stays = {
        prepared.fabric.pk: prepared.stays
        for prepared in before_cutting(laid.plans, wanted, units, tells_place=False)
    }
    found = []
    for place, plan in enumerate(laid.plans):
        mine = [strip.number for strip in laid.strips if strip.plan.key == plan.key]
        first = next(screen.number for screen in screens if screen.cloth == place)
        open_still = [
            screen.number
            for screen in screens
            if screen.cloth == place and screen.is_cut and screen.strip not in laid.cut
        ]
        is_begun = len(open_still) < len(mine)
        found.append(
            ClothOnTable(
                fabric=plan.piece.fabric,
                piece=plan.piece,
                name=plan.plan.name,
                stays=stays.get(plan.piece.fabric_id, ()),
                cuts={number: cut_label(cut, units) for number, cut in plan.cuts.items()},
                is_pack=plan.is_pack,
                strips=len(mine),
                cut=len(mine) - len(open_still),
                at=open_still[0] if is_begun and open_still else first,
            )
        )
    return found


def screens_of(laid: Laid, letters: Mapping[int, str], units: Unit, ruler: Unit) -> list[Screen]:
    """Every step of the sheet in the order of work; ``ruler`` is what settings are written in."""
    found: list[Screen] = []
    ready: set[int] = set()
    strips = iter(laid.strips)
    for place, plan in enumerate(laid.plans):
        fabric = plan.piece.fabric
        if fabric.pk not in ready:
            ready.add(fabric.pk)
            mine = [other for other in laid.plans if other.piece.fabric_id == fabric.pk]
            found += _made_ready(place, mine, units)
        if plan.is_straightened:
            found.append(_straightened(place, plan, units, ruler))
        words = words_of(plan, letters, ruler)
        for _ in range(plan.copies):
            for told in words:
                if told.is_block:
                    found.append(Screen(cloth=place, head=told.head, do=told.do, then=told.then))
                else:
                    strip = next(strips)
                    found.append(_of_strip(laid, place, strip, told, letters, units))
    return [replace(screen, number=number) for number, screen in enumerate(found, 1)]


def _made_ready(place: int, plans: Sequence[SheetPlan], units: Unit) -> list[Screen]:
    """Washing where it is due, then pressing, of all cloth of one fabric."""
    bleeding = bleed_step(plans[0].piece.fabric)
    washing = wash_steps(plans)
    is_washed = any(plan.plan.assumed.is_washed for plan in plans)
    screens = []
    if bleeding or is_washed:
        told = ([bleeding] if bleeding else []) + washing
        head = "Wash it" if is_washed else "Test its dye"
        screens.append(Screen(cloth=place, head=head, then=tuple(told)))
        washing = []
    precut = all(plan.plan.assumed.precut for plan in plans)
    how = "Without steam and without pulling." if precut else "Then check it for flaws."
    known = tuple(dict.fromkeys(known_of(plan, units) for plan in plans))
    told = [*washing, *known]
    screens.append(
        Screen(cloth=place, head="Press it", do=(how,), then=tuple(told), caution="iron")
    )
    return screens


def _straightened(place: int, plan: SheetPlan, units: Unit, ruler: Unit) -> Screen:
    size = format_length(plan.squaring_up, units=units, rounding="up")
    fold = f"{fold_of(plan, ruler).sentence}."
    return Screen(
        cloth=place,
        head="Straighten one end",
        do=(fold, f"{size} is counted for it."),
        then=("Measure with the ruler, and square the edge again after every few strips.",),
        caution="cutter",
    )


def _of_strip(
    laid: Laid,
    place: int,
    strip: Strip,
    told: StripWords,
    letters: Mapping[int, str],
    units: Unit,
) -> Screen:
    plan = strip.plan
    head = told.head
    if plan.copies > 1:
        head = f"{head}, piece {strip.copy + 1} of {plan.copies}"
    held: dict[int, int] = {}
    for placement in plan.plan.strips[strip.strip - 1].placements:
        held[placement.cut] = held.get(placement.cut, 0) + 1
    return Screen(
        cloth=place,
        strip=strip.number,
        head=head,
        do=told.do,
        then=told.then,
        label=_label(plan, held, letters),
        after=_after(laid, strip, units),
        cuts=tuple(held.items()) if len(plan.plan.strips[strip.strip - 1].placements) > 1 else (),
    )


def _label(plan: SheetPlan, held: Mapping[int, int], letters: Mapping[int, str]) -> str:
    """Which heap each cut goes to."""
    names = {part.pk: part.name for part in plan.parts}
    binding = {part.pk for part in plan.parts if part.role == Role.BINDING}
    told = [f"{letters.get(cut, '')} for {names[plan.cuts[cut].part_id]}" for cut in held]
    is_binding = all(plan.cuts[cut].part_id in binding for cut in held)
    return f"Label {', '.join(told)}{'; set it aside, it comes last' if is_binding else ''}."


def _after(laid: Laid, strip: Strip, units: Unit) -> str:
    """What is left of the piece once this strip is off it."""
    plan = strip.plan
    size: tuple[int, int] | None
    if strip.is_last and (plan.is_pack or not plan.is_across):
        return "" if plan.is_pack else "Then the block is cut up."
    if plan.is_pack or not plan.is_across:
        size = plan.open_after(strip.strip)
        of = "of this piece" if plan.is_pack else "of the block"
    else:
        # At the size when cut, as it lies there, whatever the shelf calls it unwashed.
        block = plan.block if strip.is_last else plan.up_to(strip.strip).block
        rest = floor(plan.piece.length * plan.keeps_length) - block
        width = floor(plan.piece.width * plan.plan.assumed.keeps_width)
        size = (width, rest) if rest >= (LEAST_REST if strip.is_last else 1) else None
        of = "of it"
    if size is None:
        return "Then nothing of it is left."
    wide = format_length(size[0], units=units, with_unit=False)
    return f"Then {wide} × {format_length(size[1], units=units)} {of} is left."
