"""The cut list as the solver sees it: equal sizes merged, small whole numbers, fixed order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from projects.cutting.allowances import usable_size
from projects.cutting.shapes import (
    MAX_LINES,
    Allow,
    Cut,
    CuttingError,
    Piece,
    Placement,
)
from projects.cutting.solver.normal_patterns import common_step
from projects.cutting.solver.table import Kind
from stash.text import quoted


@dataclass(frozen=True, slots=True)
class Line:
    """Rectangles of one size: w across, h along, in solver steps; names in cutting order."""

    w: int
    h: int
    count: int
    turn: bool
    names: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Bin:
    """Pieces of one usable size; copies are (piece name, index)."""

    w: int
    h: int
    copies: tuple[tuple[str, int], ...]
    favourite: bool = False

    @property
    def count(self) -> int:
        """How many copies there are."""
        return len(self.copies)


Put = tuple[int, int, int, int, int]  # line, x, y, w, h as it lies


@dataclass(frozen=True, slots=True)
class Problem:
    """lines, bins and kinds in solver steps; step_x and step_y lead back to length units."""

    lines: tuple[Line, ...]
    bins: tuple[Bin, ...]
    step_x: int
    step_y: int

    @property
    def kinds(self) -> list[Kind]:
        """Every way that a line may lie, in solver steps; lines that may turn have two."""
        made = []
        for number, line in enumerate(self.lines):
            made.append(Kind(number, line.w, line.h, False))
            if line.turn:
                made.append(Kind(number, line.h, line.w, True))
        return made

    @property
    def area(self) -> int:
        """The area of the whole list, in square solver steps."""
        return sum(line.w * line.h * line.count for line in self.lines)


def make_problem(
    pieces: Sequence[Piece], cuts: Sequence[Cut], allow: Allow, buy_width: int
) -> tuple[Problem, int]:
    """Return the problem and the width of bought cloth in solver steps.

    The order of the input does not matter: lines by height, width, then turning; bins by
    favourite last, then size, then order and name.
    """
    sizes: dict[tuple[int, int, bool], list[Cut]] = {}
    for cut in cuts:
        turn = cut.turn and cut.width != cut.length
        w, h = cut.width, cut.length
        if turn:
            w, h = max(w, h), min(w, h)
        sizes.setdefault((w, h, turn), []).append(cut)
    across = [w for w, _, _ in sizes] + [h for _, h, turn in sizes if turn]
    along = [h for _, h, _ in sizes] + [w for w, _, turn in sizes if turn]
    step_x, step_y = common_step(across), common_step(along)
    if any(turn for _, _, turn in sizes):
        step_x = step_y = common_step([step_x, step_y])
    lines = [
        Line(
            w // step_x,
            h // step_y,
            sum(cut.count for cut in members),
            turn,
            tuple(sorted((cut.name, cut.count) for cut in members)),
        )
        for (w, h, turn), members in sizes.items()
    ]
    lines.sort(key=lambda line: (-line.h, -line.w, line.turn))
    groups: dict[tuple[bool, int, int], list[tuple[int, str, int]]] = {}
    for piece in pieces:
        width, length = usable_size(piece, allow)
        key = (piece.favourite, width // step_x, length // step_y)
        groups.setdefault(key, []).extend((piece.order, piece.name, i) for i in range(piece.count))
    bins = [
        Bin(w, h, tuple((name, i) for _, name, i in sorted(members)), favourite)
        for (favourite, w, h), members in groups.items()
        if w > 0 and h > 0
    ]
    bins.sort(key=lambda bin_: (bin_.favourite, bin_.w * bin_.h, bin_.h, bin_.copies))
    return Problem(tuple(lines), tuple(bins), step_x, step_y), buy_width // step_x


def check_input(pieces: Sequence[Piece], cuts: Sequence[Cut]) -> None:
    """Raise CuttingError when the lists cannot be planned together."""
    if len(cuts) > MAX_LINES:
        raise CuttingError(f"{len(cuts)} lines of cuts are too many; {MAX_LINES} are accepted.")
    if not cuts:
        raise CuttingError("The cut list is empty; at least one cut is needed.")
    for what, names in (
        ("piece", [piece.name for piece in pieces]),
        ("cut", [cut.name for cut in cuts]),
    ):
        twice = [name for name, n in Counter(names).items() if n > 1]
        if twice:
            raise CuttingError(
                f"Two {what}s are called {quoted(twice[0])}; each needs its own name."
            )


class Names:
    """Hands out the names of merged cuts, first name first, until none is left."""

    def __init__(self, problem: Problem, cuts: Sequence[Cut]) -> None:
        self.problem = problem
        self.width = {cut.name: cut.width for cut in cuts}
        self.left: list[list[list[str | int]]] = [
            [list(pair) for pair in line.names] for line in problem.lines
        ]

    def place(self, puts: Sequence[Put]) -> list[Placement]:
        """Turn solver rectangles into placements; those without a name left are dropped."""
        made = []
        for line, x, y, w, h in puts:
            waiting = self.left[line]
            while waiting and waiting[0][1] == 0:
                waiting.pop(0)
            if not waiting:
                continue
            waiting[0][1] = int(waiting[0][1]) - 1
            name = str(waiting[0][0])
            width = w * self.problem.step_x
            made.append(
                Placement(
                    cut=name,
                    x=x * self.problem.step_x,
                    y=y * self.problem.step_y,
                    width=width,
                    length=h * self.problem.step_y,
                    turned=width != self.width[name],
                )
            )
        return made

    def missing(self) -> dict[str, int]:
        """Return how many of each cut have found no place."""
        return {str(name): int(n) for line in self.left for name, n in line if n}
