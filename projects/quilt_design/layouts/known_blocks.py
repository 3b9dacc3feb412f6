"""A handful of traditional blocks, described by geometry.

Names are the plain traditional ones where the trade uses one (from memory), else our own. The
keys of the parts are the words for the places, to be exchanged with ``Block.tied``.
"""

from __future__ import annotations

from projects.needs.units.kinds import CornerPlace
from projects.quilt_design.layouts.blocks import Block, BlockUnit, LayoutError, PlacedKind

__all__ = ["KNOWN_BLOCKS", "known_block"]


def _unit(
    kind: PlacedKind,
    at: tuple[int, int],
    size: tuple[int, int],
    parts: str,
    turn: int = 0,
    corner: int = 0,
    corners: CornerPlace = "one",
) -> BlockUnit:
    return BlockUnit(
        kind=kind,
        x=at[0],
        y=at[1],
        across=size[0],
        down=size[1],
        parts=tuple(parts.split("; ")),
        turn=turn,
        corner=corner,
        corners=corners,
    )


def _squares(rows: str, words: dict[str, str]) -> tuple[BlockUnit, ...]:
    """Return one square for each letter; a dot leaves the cell to another unit."""
    return tuple(
        _unit("square", (x, y), (1, 1), words[letter])
        for y, row in enumerate(rows.split())
        for x, letter in enumerate(row)
        if letter != "."
    )


def _log_cabin(rounds: int) -> tuple[BlockUnit, ...]:
    """Return strips round a centre square: two light, two dark, clockwise from the top."""
    units = [_unit("square", (rounds, rounds), (1, 1), "centre")]
    for k in range(1, rounds + 1):
        low, high, inner = rounds - k, rounds + k, 2 * k - 1
        units += [
            _unit("rectangle", (low + 1, low), (inner, 1), "light"),
            _unit("rectangle", (high, low), (1, inner + 1), "light"),
            _unit("rectangle", (low + 1, high), (inner + 1, 1), "dark"),
            _unit("rectangle", (low, low), (1, inner + 2), "dark"),
        ]
    return tuple(
        _unit("square", (unit.x, unit.y), (1, 1), unit.parts[0])
        if unit.across == unit.down
        else unit
        for unit in units
    )


_PAIR = "pattern; background"
_BACK = {"a": "pattern", "b": "background", "c": "centre"}
_ONE = (1, 1)

KNOWN_BLOCKS: tuple[Block, ...] = (
    Block(name="plain square", grid=1, units=_squares("a", {"a": "squares"})),
    Block(name="four-patch", grid=2, units=_squares("ab ba", {"a": "first", "b": "second"})),
    Block(name="nine-patch", grid=3, units=_squares("aba bab aba", {"a": "first", "b": "second"})),
    Block(
        name="rail fence",
        grid=3,
        units=tuple(
            _unit("rectangle", (0, y), (3, 1), word)
            for y, word in enumerate(("first", "second", "third"))
        ),
    ),
    Block(name="half-square triangle", grid=1, units=(_unit("hst", (0, 0), _ONE, "light; dark"),)),
    Block(name="hourglass", grid=1, units=(_unit("qst", (0, 0), _ONE, "first; second"),)),
    Block(
        name="pinwheel",
        grid=2,
        units=tuple(
            _unit("hst", at, _ONE, _PAIR, turn)
            for turn, at in enumerate(((0, 1), (0, 0), (1, 0), (1, 1)))
        ),
    ),
    Block(
        name="shoofly",
        grid=3,
        units=(
            *_squares(".a. aca .a.", {"a": "background", "c": "centre"}),
            _unit("hst", (0, 0), _ONE, "background; pattern"),
            _unit("hst", (2, 0), _ONE, "background; pattern", 1),
            _unit("hst", (2, 2), _ONE, "background; pattern", 2),
            _unit("hst", (0, 2), _ONE, "background; pattern", 3),
        ),
    ),
    Block(
        name="friendship star",
        grid=3,
        units=(
            *_squares("b.b .c. b.b", _BACK),
            _unit("hst", (1, 0), _ONE, "background; pattern"),
            _unit("hst", (2, 1), _ONE, "background; pattern", 1),
            _unit("hst", (1, 2), _ONE, "background; pattern", 2),
            _unit("hst", (0, 1), _ONE, "background; pattern", 3),
        ),
    ),
    Block(
        name="Ohio star",
        grid=3,
        units=(
            *_squares("b.b .c. b.b", _BACK),
            *(
                _unit("qst", at, _ONE, "background; points", turn)
                for turn, at in enumerate(((1, 0), (2, 1), (1, 2), (0, 1)))
            ),
        ),
    ),
    Block(
        name="sawtooth star",
        grid=4,
        units=(
            _unit("square", (1, 1), (2, 2), "centre"),
            *_squares("b..b .... .... b..b", _BACK),
            _unit("geese", (1, 0), (2, 1), "background; points", 2),
            _unit("geese", (3, 1), (1, 2), "background; points", 3),
            _unit("geese", (1, 3), (2, 1), "background; points"),
            _unit("geese", (0, 1), (1, 2), "background; points", 1),
        ),
    ),
    Block(
        name="flying geese",
        grid=2,
        units=tuple(_unit("geese", (0, y), (2, 1), "goose; sky") for y in range(2)),
    ),
    Block(
        name="snowball",
        grid=3,
        units=(
            _unit("stitch and flip", (0, 0), (3, 3), "middle; corners", corner=1, corners="four"),
        ),
    ),
    Block(
        name="square in a square",
        grid=2,
        units=(
            _unit("stitch and flip", (0, 0), (2, 2), "middle; corners", corner=1, corners="four"),
        ),
    ),
    Block(name="log cabin", grid=7, units=_log_cabin(3)),
)


def known_block(name: str) -> Block:
    """Return one of the known blocks by its name.

    Parameters
    ----------
    name : exactly as in ``KNOWN_BLOCKS``

    Raises
    ------
    LayoutError
        No block has that name; the message lists those there are.
    """
    for block in KNOWN_BLOCKS:
        if block.name == name:
            return block
    names = ", ".join(block.name for block in KNOWN_BLOCKS)
    raise LayoutError(f"“{name}” is not a block we know; use one of: {names}.")
