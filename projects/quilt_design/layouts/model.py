"""A layout as a value: blocks in rows and columns, their setting, sashing, borders; as JSON too."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from functools import cached_property
from typing import Any, Literal, get_args

from projects.needs.finishing.borders import BorderStyle
from projects.needs.sewing_rules import NeedsError, check_length
from projects.quilt_design.layouts.blocks import Block, BlockUnit, LayoutError

__all__ = [
    "MAX_ACROSS",
    "MAX_PATCHES",
    "Border",
    "Cell",
    "Layout",
    "Sashing",
    "Setting",
    "Single",
    "alternating",
]

Setting = Literal["straight", "on point"]
MAX_ACROSS = 100
MAX_PATCHES = 10_000
_FORMAT = 1
# With single places: a program that does not know of them must not draw the quilt without them.
_SINGLES_FORMAT = 2


@dataclass(frozen=True, kw_only=True)
class Cell:
    """What lies at one place: the number of a block, from 0, and its quarter turns clockwise."""

    block: int = 0
    turn: int = 0


@dataclass(frozen=True, kw_only=True)
class Single:
    """One place that departs from the pattern: row and place count from 0, as in ``pattern``."""

    row: int
    place: int
    block: int = 0
    turn: int = 0


@dataclass(frozen=True, kw_only=True)
class Sashing:
    """Strips between the blocks, finished ``width`` wide.

    cornerstone: key of the part of the squares where strips meet; None when strips between
    blocks are short and those between rows run through. outer: whether a round of them lies
    outside the blocks too.
    """

    width: int
    part: str
    cornerstone: str | None = None
    outer: bool = False


@dataclass(frozen=True, kw_only=True)
class Border:
    """One round of finished ``width``.

    style: *butted* has the sides first, then top and bottom across; *mitred* has slanting joins.
    corners: keys of the parts of four corner squares, clockwise from the top left; only with
    that style.
    """

    width: int
    part: str
    style: BorderStyle = "butted"
    corners: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Layout:
    """A quilt top before it exists. Lengths are finished, in units of ``stash.lengths``.

    columns, rows: blocks across and down; on point, those of the outer rows and columns, with
    (columns - 1) x (rows - 1) more in between. block: finished side of every block.
    pattern: rows of cells, repeated over the layout: the block at row r from the top (on point,
    rows in between count) and place c from the left is ``pattern[r mod R][c mod C]``.
    singles: places that have something else than the pattern gives them.
    side_part, corner_part: keys of the parts of the setting triangles on point.
    borders: from the inside out.
    """

    columns: int
    rows: int
    block: int
    blocks: tuple[Block, ...]
    pattern: tuple[tuple[Cell, ...], ...] = ((Cell(),),)
    setting: Setting = "straight"
    side_part: str = ""
    corner_part: str = ""
    sashing: Sashing | None = None
    borders: tuple[Border, ...] = field(default=())
    singles: tuple[Single, ...] = field(default=())

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn or sewn."""
        for number, what in ((self.columns, "columns"), (self.rows, "rows")):
            if not 1 <= number <= MAX_ACROSS:
                raise LayoutError(
                    f"{number} {what} cannot be laid out; give 1 to {MAX_ACROSS} {what}."
                )
        self._check_sizes()
        self._check_borders()
        self._check_pattern()
        self._check_setting()
        drawn = sum(
            sum(len(unit.parts) for unit in self.blocks[cell.block].units) for cell in self.cells()
        )
        if drawn > MAX_PATCHES:
            raise LayoutError(
                f"The layout has over {MAX_PATCHES} patches ({drawn}); take fewer rows or columns."
            )

    def _check_sizes(self) -> None:
        widths = [(self.block, "block"), *((border.width, "border") for border in self.borders)]
        if self.sashing is not None:
            widths.append((self.sashing.width, "sashing"))
        for width, what in widths:
            if not isinstance(width, int):
                raise LayoutError(f"A {what} of {width!r} is no length; give whole units.")
            try:
                check_length(width, what)
            except NeedsError as error:
                raise LayoutError(str(error)) from error

    def _check_borders(self) -> None:
        for border in self.borders:
            if border.style not in get_args(BorderStyle):
                raise LayoutError(
                    f"“{border.style}” is not a border; use butted, corner squares or mitred."
                )
            wanted = 4 if border.style == "corner squares" else 0
            if len(border.corners) != wanted:
                raise LayoutError(
                    f"A {border.style} border has {wanted} corner squares, not "
                    f"{len(border.corners)}; name one part for each."
                )

    def _check_pattern(self) -> None:
        if not self.blocks:
            raise LayoutError("The layout has no block; give at least one.")
        if not self.pattern or not all(self.pattern):
            raise LayoutError("The layout's pattern has an empty row; give each row a block.")
        self._check_singles()
        for cell in (*(cell for row in self.pattern for cell in row), *self._singly.values()):
            if not 0 <= cell.block < len(self.blocks):
                raise LayoutError(
                    f"The pattern asks for block {cell.block + 1}, but there are "
                    f"{len(self.blocks)}; name one of those."
                )
            if cell.turn not in range(4):
                raise LayoutError(f"{cell.turn} quarter turns cannot be made; give 0 to 3.")

    def _check_singles(self) -> None:
        if len(self._singly) < len(self.singles):
            raise LayoutError("A place has two blocks of its own; give each place one at most.")
        lengths = self.row_lengths()
        for single in self.singles:
            if not (0 <= single.row < len(lengths) and 0 <= single.place < lengths[single.row]):
                raise LayoutError(
                    f"There is no place {single.place + 1} in row {single.row + 1}; name one of "
                    "the places of the layout."
                )

    def _check_setting(self) -> None:
        if self.setting not in get_args(Setting):
            raise LayoutError(f"“{self.setting}” is not a setting; use straight or on point.")
        if self.setting == "straight":
            return
        if not (self.side_part and self.corner_part):
            raise LayoutError(
                "Blocks on point need setting triangles; name the parts of sides and corners."
            )
        sash = self.sashing
        if sash is not None and not sash.outer and min(self.columns, self.rows) < 2:
            raise LayoutError(
                f"{self.columns} × {self.rows} blocks on point touch at their tips only, so no "
                "sashing lies between them; give two or more each way, or sashing round the "
                "outside too."
            )

    def row_lengths(self) -> tuple[int, ...]:
        """How many blocks lie in each row from the top; on point, rows in between count."""
        if self.setting == "straight":
            return (self.columns,) * self.rows
        return tuple(self.columns - row % 2 for row in range(2 * self.rows - 1))

    def cell(self, row: int, place: int) -> Cell:
        """What lies at a place of a row."""
        single = self._singly.get((row, place))
        if single is not None:
            return single
        line = self.pattern[row % len(self.pattern)]
        return line[place % len(line)]

    @cached_property
    def _singly(self) -> Mapping[tuple[int, int], Cell]:
        return {
            (single.row, single.place): Cell(block=single.block, turn=single.turn)
            for single in self.singles
        }

    def cells(self) -> tuple[Cell, ...]:
        """All cells, row by row."""
        return tuple(
            self.cell(row, place)
            for row, length in enumerate(self.row_lengths())
            for place in range(length)
        )

    @property
    def parts(self) -> tuple[str, ...]:
        """The keys of the parts, blocks first, then setting, sashing, borders."""
        used = sorted({cell.block for cell in self.cells()})
        keys = [part for number in used for part in self.blocks[number].parts]
        if self.setting == "on point":
            keys += [self.side_part] if self.columns + self.rows > 2 else []
            keys.append(self.corner_part)
        if self.sashing is not None:
            keys += [self.sashing.part, self.sashing.cornerstone or self.sashing.part]
        keys += [key for border in self.borders for key in (border.part, *border.corners)]
        return tuple(dict.fromkeys(keys))

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types; ``from_dict`` gives an equal layout back."""
        stored = asdict(self)
        stored["format"] = _SINGLES_FORMAT if self.singles else _FORMAT
        if not self.singles:
            del stored["singles"]
        return stored

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> Layout:
        """Return the layout that ``to_dict`` described.

        Raises
        ------
        LayoutError
            Something is missing or of the wrong kind, or the layout cannot be sewn.
        """
        told = stored.get("format") if isinstance(stored, Mapping) else None
        if told not in (_FORMAT, _SINGLES_FORMAT):
            raise LayoutError(
                f"A stored layout of format “{told}” cannot be read; this is format {_FORMAT}."
            )
        try:
            return cls(
                **{name: stored[name] for name in ("columns", "rows", "block", "setting")},
                blocks=tuple(_block(block) for block in stored["blocks"]),
                pattern=tuple(tuple(Cell(**cell) for cell in row) for row in stored["pattern"]),
                side_part=stored["side_part"],
                corner_part=stored["corner_part"],
                sashing=Sashing(**stored["sashing"]) if stored["sashing"] else None,
                borders=tuple(_border(border) for border in stored["borders"]),
                singles=tuple(Single(**single) for single in stored.get("singles", ())),
            )
        except (KeyError, TypeError, AttributeError) as error:
            raise LayoutError(
                f"A stored layout cannot be read ({error}); draw it again."
            ) from error


def alternating(setting: Setting = "straight") -> tuple[tuple[Cell, ...], ...]:
    """Return the pattern in which block 1 and block 2 take turns.

    Straight: like a chess board. On point: block 2 lies in the rows in between.

    Parameters
    ----------
    setting : *straight* or *on point*

    Returns
    -------
    Rows of cells, repeated over the layout; numbers of blocks count from 0.

    Examples
    --------
    >>> [[cell.block for cell in row] for row in alternating()]
    [[0, 1], [1, 0]]
    """
    first, second = Cell(block=0), Cell(block=1)
    if setting == "on point":
        return ((first,), (second,))
    return ((first, second), (second, first))


def _block(stored: Mapping[str, Any]) -> Block:
    units = tuple(BlockUnit(**{**unit, "parts": tuple(unit["parts"])}) for unit in stored["units"])
    return Block(name=stored["name"], grid=stored["grid"], units=units)


def _border(stored: Mapping[str, Any]) -> Border:
    """Return a border; those of layouts stored before there were styles are butted."""
    return Border(**{**stored, "corners": tuple(stored.get("corners", ()))})
