"""A plan as straight cuts in the order of work: what each of them frees, and what is left.

One value that the sheet prints, booking spends and a drawing shows, so that they cannot differ.
Cloth is parted at straight lines, from its straight edge on. A lengthwise plan begins with a
line across the width below its strips: what lies beyond stays whole, for others may count on it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Generic, Protocol, TypeVar

from projects.cutting.layout import slabs
from projects.cutting.shapes import CuttingError, FirstCut, Placement, Remnant

__all__ = ["LEAST_KEPT", "Cloth", "CutStep", "Cutting", "cut_up", "steps_of"]

LEAST_KEPT = 2 * 8128
"""Cloth narrower than this (2 in) is not put back on the shelf: common practice, no source."""


class _Lying(Protocol):
    """A cut at its place, as plans and saved plans tell it."""

    @property
    def cut(self) -> Hashable: ...
    @property
    def x(self) -> int: ...
    @property
    def y(self) -> int: ...
    @property
    def width(self) -> int: ...
    @property
    def length(self) -> int: ...
    @property
    def turned(self) -> bool: ...


Held = TypeVar("Held", bound=_Lying)
HeldOut = TypeVar("HeldOut", bound=_Lying, covariant=True)


class _Strip(Protocol[HeldOut]):
    """One strip of a plan's first straight cuts."""

    @property
    def start(self) -> int: ...
    @property
    def size(self) -> int: ...
    @property
    def placements(self) -> Sequence[HeldOut]: ...


class _Planned(Protocol[HeldOut]):
    """What a plan must tell to be cut up; plans and saved plans do."""

    @property
    def width(self) -> int: ...
    @property
    def length(self) -> int: ...
    @property
    def used(self) -> int: ...
    @property
    def first(self) -> FirstCut: ...
    @property
    def placements(self) -> Sequence[HeldOut]: ...
    @property
    def strips(self) -> Sequence[_Strip[HeldOut]]: ...
    @property
    def remnants(self) -> Sequence[Remnant]: ...


@dataclass(frozen=True, kw_only=True)
class Cloth(Generic[Held]):
    """A rectangle of cloth, and what it is parted into.

    ``along`` is how its lines run: "across" the width, which parts its length, or "along" the
    length. ``into`` are its parts from the straight edge on; the last needs no line of its own.
    What is not parted is a cut (``holds``), stays where it is, is left over, or is waste.
    """

    x: int
    y: int
    width: int
    length: int
    holds: Held | None = None
    along: FirstCut | None = None
    into: tuple[Cloth[Held], ...] = ()
    stays: bool = False

    @property
    def is_left(self) -> bool:
        """Whether it is over and large enough to be kept."""
        is_over = self.holds is None and not self.into and not self.stays
        return is_over and min(self.width, self.length) >= LEAST_KEPT

    @property
    def lines(self) -> int:
        """How many lines part it into its own parts."""
        return max(0, len(self.into) - 1)

    def ends(self) -> Iterator[Cloth[Held]]:
        """Yield what is not parted any more, in the order of work."""
        if not self.into:
            yield self
        for part in self.into:
            yield from part.ends()

    def all(self) -> Iterator[Cloth[Held]]:
        """Yield this cloth and every part of it, in the order of work."""
        yield self
        for part in self.into:
            yield from part.all()


@dataclass(frozen=True, kw_only=True)
class Cutting(Generic[Held]):
    """A plan in cuts. ``block`` is the cloth that the first cuts part into strips.

    ``ends`` says how far the block is cut after each strip, in the direction in which they follow
    each other.
    """

    whole: Cloth[Held]
    block: Cloth[Held]
    first: FirstCut
    ends: tuple[int, ...]

    def loose(self, step: int) -> tuple[Cloth[Held], ...]:
        """Return what lies loose after so many strips, what follows the last of them included.

        Parameters
        ----------
        step : how many strips are cut, from 0

        Returns
        -------
        Parts of the block in their order, never what stays.
        """
        parts = tuple(cloth for cloth in self.block.into or (self.block,) if not cloth.stays)
        if step >= len(self.ends):
            return parts
        end = self.ends[step - 1] if step else 0
        return tuple(cloth for cloth in parts if _end(cloth, self.first) <= end)


@dataclass(frozen=True, kw_only=True)
class CutStep(Generic[Held]):
    """A line that is cut so many times in a row, or what is over at last (``is_over``).

    ``setting`` is how far the line lies from the straight edge, in length units. ``gives`` is the
    first of what comes off, ``then`` what is done to each of them.
    """

    along: FirstCut
    setting: int
    times: int
    gives: Cloth[Held]
    then: tuple[CutStep[Held], ...] = ()
    is_over: bool = False


def cut_up(
    plan: _Planned[Held],
    *,
    length: int | None = None,
    is_used_up: bool = False,
    is_whole_width: Callable[[Held], bool] = lambda _: False,
) -> Cutting[Held]:
    """Return a plan as the cuts that free everything in it.

    Parameters
    ----------
    plan : a verified plan; lengths in length units
    length : of the cloth below its straight end, in length units; None for what may be cut
    is_used_up : whether what lies below the cuts is left over; else it stays the piece
    is_whole_width : which cuts are as wide as the cloth, whatever width was counted on; such a cut
        that lies alone in its strip is the strip

    Returns
    -------
    The cloth parted until each cut lies alone. Parts with both sides of at least ``LEAST_KEPT``
    (2 in) that hold nothing are left over, smaller ones are waste.

    Raises
    ------
    CuttingError
        Straight cuts do not part the plan.

    Promise
    -------
    The parts lie apart and make up the whole cloth. Remnants of the plan stay whole, but what
    reaches below the cuts is parted there.

    Source
    ------
    Own derivation; that a length is cut off first is common practice, no source.

    Examples
    --------
    >>> from projects.cutting.layout import make_plan
    >>> from stash.lengths import INCH
    >>> wide, long = 7 * INCH, 48 * INCH
    >>> borders = [Placement(cut="A", x=x, y=0, width=wide, length=long) for x in (0, wide)]
    >>> cutting = cut_up(make_plan("blue", 0, 42 * INCH, 65 * INCH, borders, first="along"))
    >>> [(one.width // INCH, one.length // INCH) for one in cutting.whole.ends()]
    [(7, 48), (7, 48), (28, 48), (42, 17)]
    """
    there = plan.length if length is None else length
    items = _items(plan, is_whole_width)
    block = _block(plan, items) or _block(plan, _cuts_of(items))
    if block is None:
        raise CuttingError("Straight cuts do not part this plan.")
    ends = tuple(strip.start + strip.size for strip in plan.strips)
    if there <= plan.used:
        return Cutting(whole=block, block=block, first=plan.first, ends=ends)
    rest: Cloth[Held] = Cloth(
        x=0, y=plan.used, width=plan.width, length=there - plan.used, stays=not is_used_up
    )
    strips = block.into if plan.first == block.along == "across" else (block,)
    whole: Cloth[Held] = Cloth(
        x=0, y=0, width=plan.width, length=there, along="across", into=(*strips, rest)
    )
    if plan.first == "across":
        block = replace(whole, length=plan.used, into=strips)
    return Cutting(whole=whole, block=block, first=plan.first, ends=ends)


def steps_of(cloth: Cloth[Held]) -> tuple[CutStep[Held], ...]:
    """Return the lines that part a cloth, equal neighbours as one step.

    Parameters
    ----------
    cloth : what is to be cut

    Returns
    -------
    In the order of work; none where nothing is cut. The last is what is over, where that is no cut.

    Examples
    --------
    >>> from projects.cutting.layout import make_plan
    >>> from stash.lengths import INCH
    >>> side = 10 * INCH
    >>> row = [Placement(cut="A", x=n * side, y=0, width=side, length=side) for n in (0, 1)]
    >>> [strip, rest] = steps_of(cut_up(make_plan("blue", 0, 42 * INCH, 36 * INCH, row)).whole)
    >>> strip.along, strip.setting // INCH, strip.times, rest.is_over
    ('across', 10, 1, True)
    >>> [(one.along, one.setting // INCH, one.times, one.is_over) for one in strip.then]
    [('along', 10, 2, False), ('along', 22, 1, True)]
    """
    if cloth.along is None:
        return ()
    steps: list[CutStep[Held]] = []
    for part in cloth.into:
        is_last = part is cloth.into[-1]
        step = CutStep(
            along=cloth.along,
            setting=part.length if cloth.along == "across" else part.width,
            times=1,
            gives=part,
            then=steps_of(part),
            is_over=is_last and part.holds is None and not part.into,
        )
        if steps and not step.is_over and _shape(steps[-1].gives) == _shape(part):
            steps[-1] = replace(steps[-1], times=steps[-1].times + 1)
        else:
            steps.append(step)
    return tuple(steps)


_Area = tuple[int, int, int, int]


def _block(plan: _Planned[Held], items: Sequence[_Item[Held]]) -> Cloth[Held] | None:
    """The cloth that holds the cuts, parted into the plan's strips first."""
    block = _parted((0, 0, plan.width, plan.used), items, plan.first)
    is_by_strips = block is None or len(plan.strips) < 2 or block.along == plan.first
    return block if is_by_strips else None


@dataclass(frozen=True)
class _Item(Generic[Held]):
    """A rectangle that is to be freed whole: a cut, or a remnant that holds nothing."""

    x: int
    y: int
    width: int
    length: int
    holds: Held | None


def _items(plan: _Planned[Held], is_whole_width: Callable[[Held], bool]) -> list[_Item[Held]]:
    """The cuts of a plan and its remnants, as far as they lie beside the cuts."""
    alone = {
        (strip.start, strip.start + strip.size): strip.placements[0]
        for strip in plan.strips
        if plan.first == "across"
        and len(strip.placements) == 1
        and is_whole_width(strip.placements[0])
    }
    whole = list(alone.values())
    items = [
        _Item(
            0 if placement in whole else placement.x,
            placement.y,
            placement.width,
            placement.length,
            placement,
        )
        for placement in plan.placements
    ]
    items = [replace(item, width=plan.width) if item.holds in whole else item for item in items]
    for left in plan.remnants:
        is_beside = any(start <= left.y < end for start, end in alone)
        if left.y < plan.used and not is_beside:
            length = min(left.length, plan.used - left.y)
            items.append(_Item(left.x, left.y, left.width, length, None))
    return items


def _cuts_of(items: Sequence[_Item[Held]]) -> list[_Item[Held]]:
    return [item for item in items if item.holds is not None]


def _parted(
    area: _Area, items: Sequence[_Item[Held]], way: FirstCut, turned: bool = False
) -> Cloth[Held] | None:
    """The area cut up; None where straight cuts do not free everything in it whole."""
    x, y, width, length = area
    if not items:
        return Cloth(x=x, y=y, width=width, length=length)
    only = items[0]
    if len(items) == 1 and (only.x, only.y, only.width, only.length) == area:
        return Cloth(x=x, y=y, width=width, length=length, holds=only.holds)
    low, high = (y, y + length) if way == "across" else (x, x + width)
    boxes = {
        Placement(cut=f"{number}", x=item.x, y=item.y, width=item.width, length=item.length): item
        for number, item in enumerate(items)
    }
    spans: list[tuple[int, int, list[_Item[Held]]]] = []
    for start, end, held in slabs(list(boxes), way):
        if start > low:
            spans.append((low, start, []))
        spans.append((start, end, [boxes[index] for index in held]))
        low = end
    if low < high:
        spans.append((low, high, []))
    other: FirstCut = "along" if way == "across" else "across"
    if len(spans) == 1:
        return None if turned else _parted(area, items, other, turned=True)
    parts = []
    for start, end, inside in spans:
        here = (
            (x, start, width, end - start) if way == "across" else (start, y, end - start, length)
        )
        part = _parted(here, inside, other)
        if part is None:
            part = _parted(here, _cuts_of(inside), other)
        if part is None:
            return None
        parts.append(part)
    return Cloth(x=x, y=y, width=width, length=length, along=way, into=tuple(parts))


def _end(cloth: Cloth[Held], first: FirstCut) -> int:
    return cloth.y + cloth.length if first == "across" else cloth.x + cloth.width


def _shape(cloth: Cloth[Held]) -> Hashable:
    """What makes two parts alike wherever they lie."""
    held = cloth.holds
    return (
        cloth.width,
        cloth.length,
        None if held is None else (held.cut, held.turned, held.width, held.length),
        cloth.along,
        cloth.stays,
        tuple(_shape(part) for part in cloth.into),
    )
