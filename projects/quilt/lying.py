"""Which block lies where, as the forms write it, and what changing one of them changes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from projects.quilt_design.layouts.blocks import Block
from projects.quilt_design.layouts.layout import (
    KNOWN_BLOCKS,
    Cell,
    Layout,
    LayoutError,
    Setting,
    Single,
    known_block,
)
from projects.quilt_design.layouts.places import every_other

__all__ = ["MOST_SINGLES", "OTHER", "REACHES", "Lying", "Reach", "lying_of", "role_without_block"]

#: Before the role of a second block; further blocks have their name there.
OTHER = "other "
MOST_SINGLES = 120
Reach = Literal["this", "every other", "all"]
REACHES: tuple[Reach, ...] = ("this", "every other", "all")

_NAMES = {block.name for block in KNOWN_BLOCKS}
_CELL = re.compile(r"([a-p])([0-3])", re.ASCII)
_SINGLE = re.compile(r"([0-9]{1,3})\.([0-9]{1,3})=([a-p])([0-3])", re.ASCII)
_FOUR: tuple[Cell, ...] = (Cell(),) * 4
# Quarter turns of a block that is laid in fours round a point, row by row.
_ROUND = (0, 1, 3, 2)


def role_without_block(role: str) -> str:
    """A role without what tells it from the same role of another block."""
    if role.startswith(OTHER):
        return role.removeprefix(OTHER)
    name = next((name for name in _NAMES if role.startswith(f"{name} ")), "")
    return role.removeprefix(f"{name} ") if name else role


@dataclass(frozen=True, kw_only=True)
class Lying:
    """Names of blocks, four cells that are laid over and over, and the places that depart.

    four: top left, top right, bottom left, bottom right. singles: by row and place from 0.
    """

    names: tuple[str, ...]
    setting: Setting = "straight"
    four: tuple[Cell, ...] = _FOUR
    singles: Mapping[tuple[int, int], Cell] = field(default_factory=dict)

    # --- as text ---

    @classmethod
    def read(cls, *, names: Iterable[str], four: str, singles: str, setting: Setting) -> Lying:
        """What the fields of a form hold.

        Raises
        ------
        LayoutError
            The text names no arrangement; the message quotes it.
        """
        cells: tuple[Cell, ...] = _FOUR
        if four.strip():
            found = [_CELL.fullmatch(word) for word in four.split()]
            if len(found) != 4 or None in found:
                raise LayoutError(f"“{four[:40]}” is no arrangement; write it like a0 b0 b0 a0.")
            cells = tuple(_cell(match[1], match[2]) for match in found if match)
        places = dict[tuple[int, int], Cell]()
        for word in singles.split():
            match = _SINGLE.fullmatch(word)
            is_there = match is not None and int(match[1]) and int(match[2])
            if match is None or not is_there or len(places) >= MOST_SINGLES:
                raise LayoutError(
                    f"“{singles[:40]}” cannot be read as single blocks; write them like 1.2=b0, "
                    f"{MOST_SINGLES} at most."
                )
            places[int(match[1]) - 1, int(match[2]) - 1] = _cell(match[3], match[4])
        return cls(names=tuple(names), setting=setting, four=cells, singles=places)

    @property
    def fields(self) -> dict[str, str]:
        """What a form would hold."""
        return {
            "block": self.names[0],
            "others": ", ".join(self.names[1:]),
            "lie": " ".join(_text(cell) for cell in self.four),
            "singles": " ".join(
                f"{row + 1}.{place + 1}={_text(cell)}"
                for (row, place), cell in sorted(self.singles.items())
            ),
        }

    # --- as a layout wants it ---

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The blocks, each with its own roles."""
        return tuple(_block(number, name) for number, name in enumerate(self.names))

    @property
    def pattern(self) -> tuple[tuple[Cell, ...], ...]:
        """The smallest pattern that repeats to the four cells."""
        a, b, c, d = self.four
        if (a, c) != (b, d):
            return ((a, b), (c, d))
        return ((a,), (c,)) if a != c else ((a,),)

    def singles_within(self, lengths: tuple[int, ...]) -> tuple[Single, ...]:
        """Those that depart, and whose place there is where rows have so many blocks."""
        return tuple(
            Single(row=row, place=place, block=cell.block, turn=cell.turn)
            for (row, place), cell in sorted(self.singles.items())
            if row < len(lengths)
            and place < lengths[row]
            and cell != self.four[2 * (row % 2) + place % 2]
        )

    def at(self, row: int, place: int) -> Cell:
        return self.singles.get((row, place), self.four[2 * (row % 2) + place % 2])

    # --- what is changed ---

    def reached(self, row: int, place: int, reach: Reach) -> Callable[[int, int], bool]:
        """Whether changing a block at a place changes that at another place as well."""
        half = every_other(row, place, self.setting)
        if reach == "this":
            return lambda r, p: (r, p) == (row, place)
        if reach == "every other":
            return lambda r, p: every_other(r, p, self.setting) == half
        return lambda r, p: True

    def changed(self, row: int, place: int, reach: Reach, change: Callable[[Cell], Cell]) -> Lying:
        """With everything that is reached changed; a single block that becomes like its place
        is none any more."""
        if reach == "this":
            four = self.four
            singles = {**self.singles, (row, place): change(self.at(row, place))}
        else:
            is_reached = self.reached(row, place, reach)
            four = tuple(
                change(cell) if is_reached(number // 2, number % 2) else cell
                for number, cell in enumerate(self.four)
            )
            singles = {
                at: change(cell) if is_reached(*at) else cell for at, cell in self.singles.items()
            }
        kept = {
            (r, p): cell for (r, p), cell in singles.items() if cell != four[2 * (r % 2) + p % 2]
        }
        return replace(self, four=four, singles=kept)

    def turned(self, row: int, place: int, reach: Reach) -> Lying:
        """A quarter clockwise."""
        return self.changed(row, place, reach, _quarter)

    def made(self, row: int, place: int, reach: Reach, name: str) -> Lying:
        """Another block at every place that is reached, lying as the old one did.

        A block that is nowhere else gives its roles, and so its cloth, to the new one.
        """
        known_block(name)
        if reach == "all":
            cleared = self.changed(row, place, reach, lambda cell: replace(cell, block=0))
            return replace(cleared, names=(name, *self.names[1:]))._tidy()
        own = self.at(row, place).block
        there = next((n for n in sorted(self._used) if self.names[n] == name and n != own), None)
        if there is not None:
            return self._given(row, place, reach, there, name)
        number = own if self._is_alone(row, place, reach) else self._free(own)
        return self._given(row, place, reach, number, name)

    def in_own_cloth(self, row: int, place: int, reach: Reach) -> Lying | None:
        """The same block, with roles of its own; None where it cannot have others."""
        own = self.at(row, place).block
        name = self.names[own]
        number = self._free(own)
        if reach == "all" or self._is_alone(row, place, reach) or name in self.names[2:]:
            return None
        return self._given(row, place, reach, number, name)

    def _given(self, row: int, place: int, reach: Reach, number: int, name: str) -> Lying:
        names = [*self.names, *[name] * (number - len(self.names) + 1)]
        names[number] = name
        made = self.changed(row, place, reach, lambda cell: replace(cell, block=number))
        return replace(made, names=tuple(names))._tidy()

    def _is_alone(self, row: int, place: int, reach: Reach) -> bool:
        """Whether all that is like the block of a place is reached with it."""
        own, is_reached = self.at(row, place).block, self.reached(row, place, reach)
        kept_four = any(
            cell.block == own and (reach == "this" or not is_reached(number // 2, number % 2))
            for number, cell in enumerate(self.four)
        )
        return not kept_four and not any(
            cell.block == own and not is_reached(*at) for at, cell in self.singles.items()
        )

    def _free(self, own: int) -> int:
        """A number that no block that is laid has."""
        used = self._used | {own}
        return next(n for n in range(len(used) + 1) if n not in used)

    @property
    def _used(self) -> set[int]:
        return {cell.block for cell in (*self.four, *self.singles.values())}

    def _tidy(self) -> Lying:
        last = max(self._used)
        return replace(self, names=self.names[: last + 1])

    def in_fours(self) -> Lying:
        """Each block turned round the point where four of them meet, the first as it lies."""
        first = self.four[0].turn
        four = tuple(
            replace(cell, turn=(first + turn) % 4)
            for cell, turn in zip(self.four, _ROUND, strict=True)
        )
        return replace(self, four=four)

    def all_one_way(self) -> Lying:
        """Every block lying as the first."""
        first = self.four[0].turn
        return replace(
            self,
            four=tuple(replace(cell, turn=first) for cell in self.four),
            singles={at: replace(cell, turn=first) for at, cell in self.singles.items()},
        )


def lying_of(layout: Layout) -> Lying:
    """How the blocks of a layout lie, whatever its pattern."""
    cells = {
        (row, place): layout.cell(row, place)
        for row, length in enumerate(layout.row_lengths())
        for place in range(length)
    }
    sizes = {len(row) for row in layout.pattern}
    if len(layout.pattern) <= 2 and sizes <= {1, 2}:
        pattern = layout.pattern
        four = tuple(
            pattern[row % len(pattern)][place % len(pattern[row % len(pattern)])]
            for row in range(2)
            for place in range(2)
        )
    else:
        four = (Counter(cells.values()).most_common(1)[0][0],) * 4
    return Lying(
        names=tuple(block.name for block in layout.blocks),
        setting=layout.setting,
        four=four,
        singles={
            (row, place): cell
            for (row, place), cell in cells.items()
            if cell != four[2 * (row % 2) + place % 2]
        },
    )


def _block(number: int, name: str) -> Block:
    block = known_block(name)
    if number == 0:
        return block
    before = OTHER if number == 1 else f"{name} "
    return block.tied({key: before + key for key in block.parts})


def _cell(letter: str, turn: str) -> Cell:
    return Cell(block=ord(letter) - ord("a"), turn=int(turn))


def _text(cell: Cell) -> str:
    return f"{chr(ord('a') + cell.block)}{cell.turn}"


def _quarter(cell: Cell) -> Cell:
    return replace(cell, turn=(cell.turn + 1) % 4)
