"""What a cut sheet shows: steps in cutting order, drawn pieces, remnants, ruler settings.

Pure values from a Plan; the page turns them into pictures and words. Steps follow practice:
straighten, then the strips (longest unbroken lengthwise first, then largest to smallest),
then the sub-cuts of each strip, then trimming (common practice, no formal source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from projects.cutting.shapes import Cut, FirstCut, Placement, Plan, Remnant, Strip

StepKind = Literal["strip", "sub-cut", "trim"]


@dataclass(frozen=True, kw_only=True)
class Step:
    """One ruler setting, repeated `times` in one direction.

    kind "strip": a first straight cut; "sub-cut": across a strip; "trim": along one
    rectangle. strip is the number of the strip it belongs to.
    """

    number: int
    kind: StepKind
    direction: FirstCut
    setting: int
    times: int
    strip: int
    cuts: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class DrawnRectangle:
    """A rectangle to draw, in length units, with its label.

    trim_to is the size (across, along) of the cut where it is trimmed from a larger block so
    that its motif is centred.
    """

    x: int
    y: int
    width: int
    length: int
    cut: str
    label: str
    strip: int
    turned: bool
    trim_to: tuple[int, int] | None = None


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """One piece to scale: outline, rectangles, remnants, steps in order, ruler settings.

    width and length are the outline of what may be cut; cut_length is the total length of
    straight cuts; settings lists each ruler setting once, largest first.
    """

    piece: str
    index: int
    width: int
    length: int
    used: int
    technique: str
    rectangles: tuple[DrawnRectangle, ...]
    remnants: tuple[Remnant, ...]
    steps: tuple[Step, ...]
    settings: tuple[int, ...]
    cut_length: int
    used_across: int = 0
    leaves: Literal["end", "side"] = "end"


def draw_plan(plan: Plan, cuts: Iterable[Cut] = ()) -> Drawing:
    """Return the drawing of one plan; labels come from the cuts, else their names."""
    by_name = {cut.name: cut for cut in cuts}
    rectangles: list[DrawnRectangle] = []
    steps: list[Step] = []
    total = 0
    for strip in plan.strips:
        rectangles += [_drawn(one, strip.number, by_name.get(one.cut)) for one in strip.placements]
        for kind, direction, setting, times, names in [
            *_strip_steps(strip),
            *_centring(strip, by_name),
        ]:
            same = steps and kind == "strip" and steps[-1].kind == kind
            if same and steps[-1].setting == setting:
                last = steps.pop()
                times, names = times + last.times, tuple(dict.fromkeys((*last.cuts, *names)))
            steps.append(
                Step(
                    number=len(steps) + 1,
                    kind=kind,
                    direction=direction,
                    setting=setting,
                    times=times,
                    strip=strip.number,
                    cuts=names,
                )
            )
        total += _cut_length(plan, strip)
    return Drawing(
        piece=plan.piece,
        index=plan.index,
        width=plan.width,
        length=plan.length,
        used=plan.used,
        technique=plan.technique,
        rectangles=tuple(rectangles),
        remnants=plan.remnants,
        steps=tuple(steps),
        settings=tuple(sorted({step.setting for step in steps}, reverse=True)),
        cut_length=total,
        used_across=plan.used_across,
        leaves=plan.leaves,
    )


def _final(one: Placement, cut: Cut | None) -> tuple[int, int] | None:
    """Return the size (across, along) to trim a block to; None where nothing is trimmed."""
    if cut is None:
        return None
    size = (cut.length, cut.width) if one.turned else (cut.width, cut.length)
    return None if size == (one.width, one.length) else size


def _drawn(one: Placement, strip: int, cut: Cut | None) -> DrawnRectangle:
    return DrawnRectangle(
        x=one.x,
        y=one.y,
        width=one.width,
        length=one.length,
        cut=one.cut,
        label=(cut.label or cut.name) if cut else one.cut,
        strip=strip,
        turned=one.turned,
        trim_to=_final(one, cut),
    )


def _centring(
    strip: Strip, by_name: Mapping[str, Cut]
) -> list[tuple[StepKind, FirstCut, int, int, tuple[str, ...]]]:
    """Return the trims of blocks of whole repeats around their motifs."""
    held: dict[tuple[FirstCut, int], list[str]] = {}
    for one in strip.placements:
        size = _final(one, by_name.get(one.cut))
        if size and size[0] < one.width:
            held.setdefault(("along", size[0]), []).append(one.cut)
        if size and size[1] < one.length:
            held.setdefault(("across", size[1]), []).append(one.cut)
    return [
        ("trim", direction, setting, len(names), tuple(dict.fromkeys(names)))
        for (direction, setting), names in sorted(held.items())
    ]


def _across(one: Placement, direction: FirstCut) -> tuple[int, int]:
    """Return (size along the strip, size across it)."""
    return (one.width, one.length) if direction == "across" else (one.length, one.width)


def _strip_steps(strip: Strip) -> list[tuple[StepKind, FirstCut, int, int, tuple[str, ...]]]:
    """Return the strip itself, its sub-cuts from long to short, then what is trimmed."""
    other: FirstCut = "along" if strip.direction == "across" else "across"
    names = tuple(dict.fromkeys(one.cut for one in strip.placements))
    made: list[tuple[StepKind, FirstCut, int, int, tuple[str, ...]]] = [
        ("strip", strip.direction, strip.size, 1, names)
    ]
    subs: dict[int, list[Placement]] = {}
    trims: dict[int, list[Placement]] = {}
    for one in strip.placements:
        along, deep = _across(one, strip.direction)
        subs.setdefault(along, []).append(one)
        if deep != strip.size:
            trims.setdefault(deep, []).append(one)
    kinds: tuple[tuple[StepKind, FirstCut, dict[int, list[Placement]]], ...] = (
        ("sub-cut", other, subs),
        ("trim", strip.direction, trims),
    )
    for kind, direction, held in kinds:
        for setting in sorted(held, reverse=True):
            cut = tuple(dict.fromkeys(one.cut for one in held[setting]))
            made.append((kind, direction, setting, len(held[setting]), cut))
    return made


def _cut_length(plan: Plan, strip: Strip) -> int:
    """Return the straight cuts of one strip: the strip's own, its ends and its trims."""
    whole = plan.width if strip.direction == "across" else plan.length
    total = whole
    for one in strip.placements:
        along, deep = _across(one, strip.direction)
        total += strip.size if deep == strip.size else strip.size + along
    return total
