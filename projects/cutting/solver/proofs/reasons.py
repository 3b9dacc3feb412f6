"""Why a list cannot be cut, as data and as one plain sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.cutting.allowances import usable_size
from projects.cutting.shapes import Allow, Cut, Limits, Piece
from projects.cutting.solver.problem import Problem
from projects.cutting.solver.proofs.bounds import PriceProof
from stash.lengths import CM, INCH, format_length
from stash.text import quoted


@dataclass(frozen=True, slots=True)
class Reason:
    """proof as in Evidence; numbers are what the proof compares, in length units."""

    proof: str
    sentence: str
    numbers: tuple[tuple[str, int | str], ...] = ()


@dataclass(frozen=True, slots=True)
class Reasons:
    """Finds and words the reasons for one list against one set of pieces."""

    problem: Problem
    pieces: Sequence[Piece]
    cuts: Sequence[Cut]
    allow: Allow
    limits: Limits

    def fit_or_area(self) -> Reason | None:
        """A cut that fits on no piece, or more area than there is."""
        if not self.pieces:
            return Reason("fit", "There is no piece on hand.")
        sizes = [usable_size(piece, self.allow) for piece in self.pieces]
        for cut in sorted(self.cuts, key=lambda cut: cut.name):
            sides = [(cut.width, cut.length), *([(cut.length, cut.width)] if cut.turn else [])]
            if not any(w <= width and h <= length for width, length in sizes for w, h in sides):
                near = self._nearest(cut)
                sentence = f"{quoted(cut.name)} fits on none of the pieces; the nearest is {near}."
                return Reason("fit", sentence)
        wanted = sum(cut.width * cut.length * cut.count for cut in self.cuts)
        counts = [piece.count for piece in self.pieces]
        held = sum(w * h * n for (w, h), n in zip(sizes, counts, strict=True))
        if wanted > held:
            sentence = (
                f"Even without waste the cuts need {self._area(wanted)} and the pieces have"
                f" {self._area(held)}."
            )
            return Reason("area", sentence, (("wanted", wanted), ("held", held)))
        return None

    def whole_steps(self) -> Reason | None:
        """All cuts are multiples of one step; what a piece has beyond whole steps is waste."""
        problem = self.problem
        held = sum(bin_.w * bin_.h * bin_.count for bin_ in problem.bins)
        if problem.area <= held:
            return None
        wanted = problem.area * problem.step_x * problem.step_y
        held *= problem.step_x * problem.step_y
        sentence = (
            f"Even without other waste the cuts need {self._area(wanted)}; in whole steps of the"
            f" cuts’ sizes the pieces have {self._area(held)}."
        )
        return Reason("area", sentence, (("wanted", wanted), ("held", held)))

    def one_length(self, need: int, has: int, *, by_rows: bool) -> Reason:
        """One piece: a least length of any cutting (solver steps).

        by_rows: what any line across the width can meet already proves it; otherwise prices do.
        """
        step = self.problem.step_y
        needed = self._length(need * step, up=True)
        sentence = (
            f"However they are cut, the cuts need at least {needed} of length;"
            f" {self._length(has * step)} is there."
        )
        if by_rows:
            sentence = "No line across the width can meet more than the width holds. " + sentence
        return Reason(
            "bars" if by_rows else "prices",
            sentence,
            (("needed", need * step), ("there", has * step)),
        )

    def exhausted(self, missing: Sequence[int]) -> Reason:
        """Every straight cutting was tried."""
        sentence = "Every straight cutting of the pieces was tried, and none holds the list."
        if missing and len(self.problem.lines) == 1:
            sentence = self._at_most(self.problem.lines[0].count - missing[0], 0)
        return Reason("search", sentence)

    def priced(self, proof: PriceProof) -> Reason:
        """Whole-number prices at which the pieces cannot hold the list."""
        lines = self.problem.lines
        priced = [n for n, price in enumerate(proof.prices) if price]
        numbers: list[tuple[str, int | str]] = [("wanted", proof.wanted), ("held", proof.held)]
        numbers += [(f"price of {lines[n].names[0][0]}", proof.prices[n]) for n in priced]
        if len(priced) == 1:
            sentence = self._at_most(proof.held // proof.prices[priced[0]], priced[0])
        else:
            share = 100 * proof.held / proof.wanted
            sentence = (
                f"However they are cut, the pieces hold at most {share:.1f} % of the list, each"
                " cut counted by the cloth it ties up."
            )
        return Reason("prices", sentence, tuple(numbers))

    def _at_most(self, held: int, number: int) -> str:
        line = self.problem.lines[number]
        names = ", ".join(quoted(name) for name, _ in line.names)
        return f"However they are cut, the pieces hold at most {held} of the {line.count} {names}."

    def _nearest(self, cut: Cut) -> str:
        def short_by(piece: Piece) -> tuple[int, str]:
            width, length = usable_size(piece, self.allow)
            ways = [(cut.width, cut.length), *([(cut.length, cut.width)] if cut.turn else [])]
            lack = min(max(0, w - width) + max(0, h - length) for w, h in ways)
            return lack, piece.name

        piece = min(self.pieces, key=short_by)
        return f"{quoted(piece.name)}, {self._length(piece.width)} × {self._length(piece.length)}"

    def _length(self, length: int, *, up: bool = False) -> str:
        return format_length(length, units=self.limits.units, rounding="up" if up else "down")

    def _area(self, area: int) -> str:
        if self.limits.units == "cm":
            return f"{area / CM**2:.0f} square centimetres"
        return f"{f'{area / INCH**2:.1f}'.removesuffix('.0')} square inches"
