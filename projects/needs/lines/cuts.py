"""What a pasted line asks for, once its count and sizes are known: cuts and the echo."""

from __future__ import annotations

from dataclasses import replace

from projects.needs.lines.text import ScannedLine
from projects.needs.sewing_rules import NeededCut, Sewing, without_turning
from projects.needs.units.geese import flying_geese, flying_geese_by_four
from projects.needs.units.need import UnitNeed
from projects.needs.units.triangles import (
    half_square_triangles,
    half_square_triangles_by_eight,
    quarter_square_triangles,
)
from stash.lengths import exact_text

__all__ = ["UnreadableError", "plain_cut", "plural", "shown", "unit_cuts"]


class UnreadableError(ValueError):
    """Why a line cannot be read, as the end of a sentence that begins with the quoted line."""


def unit_cuts(
    line: ScannedLine, kind: str, count: int, lengths: list[int], sewing: Sewing
) -> tuple[tuple[NeededCut, ...], str]:
    """Return the cuts of a line of triangles or geese, and the sentence to echo.

    Parameters
    ----------
    line : the line taken apart by ``text.scan``
    kind : what is wanted, in the words of ``lines``
    count : how many are wanted, 1 to 10 000
    lengths : the sizes as written, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    Cuts at cut size, in length units.

    Raises
    ------
    UnreadableError
        The line does not say whether its size is finished or cut, or gives sizes that the unit has
        not; the message ends a sentence that begins with the quoted line.
    NeedsError
        The unit refuses its sizes or its count.
    """
    if line.phrases & {"finished", "cut size"} == set() or {"finished", "cut size"} <= line.phrases:
        raise UnreadableError(
            "does not say whether its size is finished; write “24 hst 3 finished” or "
            "“24 hst 3 1/2 unfinished”"
        )
    if "cut size" in line.phrases:
        lengths = [length - sewing.both for length in lengths]
    need = _unit(line, kind, count, lengths, sewing)
    turn = "no turning" not in line.phrases
    cuts = need.cuts if turn else without_turning(need.cuts)
    listed = " and ".join(
        f"{cut.count} {plural('square' if cut.kind == 'square' else 'rectangle', cut.count)} "
        f"{_cut_size(cut, sewing)} ({cut.role})"
        for cut in cuts
    )
    size = shown(need.width, sewing) + (
        f" × {shown(need.length, sewing)}" if kind == "geese" else ""
    )
    held = "" if turn else ", not turned"
    extra = f" {need.surplus} extra." if need.surplus else ""
    echo = f"{count} {plural(need.unit, count)}, finished {size}: {listed}{held}.{extra}"
    return cuts, echo


def _cut_size(cut: NeededCut, sewing: Sewing) -> str:
    if cut.kind == "square":
        return sewing.show(cut.width)
    return sewing.show_size(cut.width, cut.length)


def _unit(line: ScannedLine, kind: str, count: int, lengths: list[int], sewing: Sewing) -> UnitNeed:
    at_a_time = {"1": "one", "2": "two", "4": "four", "8": "eight"}.get(
        line.at_a_time, line.at_a_time
    )
    if kind == "geese":
        if len(lengths) != 2 or max(lengths) != 2 * min(lengths):
            raise UnreadableError("needs the goose's size, twice as wide as high, such as 2 x 4")
        if at_a_time not in ("", "one", "four"):
            raise UnreadableError(f"makes geese {at_a_time} at a time; one or four can be planned")
        if at_a_time == "four":
            return flying_geese_by_four(max(lengths), count, sewing=sewing)
        return flying_geese(max(lengths), count, sewing=sewing)
    if len(set(lengths)) != 1:
        raise UnreadableError("needs one finished side")
    if kind == "qst":
        if at_a_time not in ("", "two"):
            raise UnreadableError(f"makes hourglasses {at_a_time} at a time; two can be planned")
        return quarter_square_triangles(lengths[0], count, sewing=sewing)
    if at_a_time not in ("", "two", "eight"):
        raise UnreadableError(f"makes triangles {at_a_time} at a time; two or eight can be planned")
    make = half_square_triangles_by_eight if at_a_time == "eight" else half_square_triangles
    return make(lengths[0], count, sewing=sewing)


def plain_cut(
    line: ScannedLine,
    kind: str,
    count: int,
    lengths: list[int],
    usable_width: int,
    sewing: Sewing,
) -> tuple[tuple[NeededCut, ...], str]:
    """Return the cut of a line of squares, rectangles or strips, and the sentence to echo.

    Sizes are cut sizes unless the line says *finished*; two sizes are read as across x along.

    Parameters
    ----------
    line : the line taken apart by ``text.scan``
    kind : what is wanted, in the words of ``lines``
    count : how many are wanted, 1 to 10 000
    lengths : the sizes as written, in length units
    usable_width : of the fabric, selvages off, in length units
    sewing : seam allowance, rule and units; 1/4 in by the trade's rule when left out

    Returns
    -------
    One cut at cut size, in length units.

    Raises
    ------
    UnreadableError
        The line gives too few sizes or too many for its kind, or one that cannot be cut; the
        message ends a sentence that begins with the quoted line.
    """
    if "finished" in line.phrases and "cut size" not in line.phrases:
        lengths = [length + sewing.both for length in lengths]
        seams = f" (finished plus {shown(sewing.both, sewing)})"
    else:
        seams = ""
    turn = "no turning" not in line.phrases
    if kind == "rectangle" and len(lengths) == 1 and "by width" in line.phrases:
        kind = "strip"
    if kind == "square":
        cut, echo = _squares(count, lengths, turn, sewing)
    elif kind == "strip":
        cut, echo = _strips(line, count, lengths, turn, usable_width, sewing)
    else:
        if len(lengths) == 1:
            raise UnreadableError("needs two sizes with “x” between them")
        cut, echo = _rectangles(count, lengths, turn, sewing)
    noted = ", ".join(part for part in (line.label, line.words) if part)
    cut = replace(
        cut,
        label=f"{cut.label}, {noted}" if noted else cut.label,
        technique=f"then {line.diagonal}" if line.diagonal else "",
    )
    return (cut,), f"{echo}{seams}."


def _squares(count: int, lengths: list[int], turn: bool, sewing: Sewing) -> tuple[NeededCut, str]:
    if len(set(lengths)) != 1:
        raise UnreadableError("calls a cut with two different sides a square; call it a rectangle")
    side = lengths[0]
    size = shown(side, sewing)
    cut = NeededCut(
        label=f"{size} square", width=side, length=side, count=count, turn=turn, kind="square"
    )
    held = "" if turn else ", not turned"
    return cut, f"{count} {plural('square', count)}, cut {size}{held}"


def _rectangles(
    count: int, lengths: list[int], turn: bool, sewing: Sewing, name: str = "rectangle"
) -> tuple[NeededCut, str]:
    width, length = lengths
    cut = NeededCut(
        label=f"{shown(width, sewing)} × {shown(length, sewing)} {name}",
        width=width,
        length=length,
        count=count,
        turn=turn,
    )
    echo = f"{count} {plural(name, count)}, cut {shown(width, sewing)} × {shown(length, sewing)}"
    if not turn:
        echo += ", the first across the width, not turned"
    return cut, echo


def _strips(
    line: ScannedLine,
    count: int,
    lengths: list[int],
    turn: bool,
    usable_width: int,
    sewing: Sewing,
) -> tuple[NeededCut, str]:
    along = bool(line.phrases & {"along", "by length"})
    across = bool(line.phrases & {"across", "by width"})
    many = f"{count} {plural('strip', count)}, cut"
    if along and across:
        raise UnreadableError("asks for strips both along the length and across the width")
    if along:
        if len(lengths) == 1:
            raise UnreadableError(
                "does not say how long the strips are; write “2 strips 5 1/2 x 72 1/2 along the "
                "length”"
            )
        width, length = sorted(lengths)
        size = f"{shown(width, sewing)} wide and {shown(length, sewing)} long"
        cut = NeededCut(
            label=f"{shown(width, sewing)} × {shown(length, sewing)} strip along the length",
            width=width,
            length=length,
            count=count,
            turn=False,
            kind="strip along",
        )
        return cut, f"{many} {size}, unbroken along the length"
    if len(lengths) == 2 and not across:
        return _rectangles(count, lengths, turn, sewing, "strip")
    if len(lengths) == 2 and "by width" in line.phrases:
        raise UnreadableError("gives a second size and “x width”; give one of them")
    height = min(lengths)
    width = max(lengths) if len(lengths) == 2 else usable_width
    cut = NeededCut(
        label=f"{shown(height, sewing)} strip across the width",
        width=width,
        length=height,
        count=count,
        turn=False,
        kind="strip across" if len(lengths) == 1 else "rectangle",
    )
    if len(lengths) == 2:
        return cut, f"{many} {shown(height, sewing)} high and {shown(width, sewing)} across"
    return cut, (
        f"{many} {shown(height, sewing)} across the width "
        f"({shown(usable_width, sewing)} usable width assumed)"
    )


def shown(length: int, sewing: Sewing) -> str:
    """Return a length as it was written, exactly.

    Parameters
    ----------
    length : length units
    sewing : its units are those of the text

    Returns
    -------
    Text with its unit; inches as fractions, never rounded.

    Examples
    --------
    >>> from stash.lengths import INCH
    >>> shown(7 * INCH // 2, Sewing())
    '3 1/2 in'
    """
    return exact_text(length, units=sewing.units)


def plural(word: str, count: int) -> str:
    """Return the word for one or for several.

    Parameters
    ----------
    word : a unit's name for one
    count : how many

    Examples
    --------
    >>> plural("flying goose", 2)
    'flying geese'
    """
    if count == 1:
        return word
    return "flying geese" if word == "flying goose" else f"{word}s"
