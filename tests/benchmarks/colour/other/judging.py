"""What is made of readings whose truth is known: counts and errors, no drawing."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

# Notes that only tell how a value came about. Every other note warns; a warning of anything keeps
# a wrong value from being silent, because the person has been told not to rely on the photo.
INFORMATIVE = (
    "How the card was printed was estimated from this photo.",
    "The bright sheet in the picture was taken as white paper; tap another place if not.",
)

SILENT = 1.5  # half widths beyond which a value without a warning is called silent


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """A reading beside its truth: L* of both, half width in L*, and what else was in the answer.

    clean: share of the region read, without the sheet, that is cloth. colour_error: CIEDE2000.
    """

    condition: str
    found: bool
    reference: str
    true_l: float
    read_l: float
    half_width: float
    notes: tuple[str, ...]
    clean: float
    colour_error: float
    kind: str = ""
    index: int = 0

    @property
    def error(self) -> float:
        """Read minus true, L*."""
        return self.read_l - self.true_l

    @property
    def is_inside(self) -> bool:
        """Whether the stated 90 % interval holds the truth."""
        return abs(self.error) <= self.half_width

    @property
    def warns(self) -> bool:
        """Whether a note warns."""
        return any(note not in INFORMATIVE for note in self.notes)

    @property
    def is_silent(self) -> bool:
        """Whether the value is clearly wrong and nobody was told."""
        return abs(self.error) > SILENT * self.half_width and not self.warns


@dataclass(frozen=True, kw_only=True)
class Row:
    """A line of the table. Errors and `inside` are of readings by `by` (or all), shares 0 to 1."""

    name: str
    scenes: int
    found: float
    used: float
    mean: float
    p95: float
    bias: float
    half_width: float
    inside: float
    silent: float
    colour_error: float
    clean: float

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types."""
        return {
            name: None if isinstance(held, float) and np.isnan(held) else held
            for name, held in asdict(self).items()
        }


def row_of(name: str, outcomes: Sequence[Outcome], by: str = "photo card") -> Row:
    """Return the line of these outcomes; `by` "" judges readings by any reference, and by none.

    `silent` is always of all outcomes.
    """
    judged = [outcome for outcome in outcomes if by in ("", outcome.reference)]
    errors = np.array([outcome.error for outcome in judged])
    nothing = float("nan")
    many = len(outcomes)
    return Row(
        name=name,
        scenes=many,
        found=sum(outcome.found for outcome in outcomes) / many,
        used=len(judged) / many,
        mean=float(np.abs(errors).mean()) if len(errors) else nothing,
        p95=float(np.percentile(np.abs(errors), 95)) if len(errors) else nothing,
        bias=float(errors.mean()) if len(errors) else nothing,
        half_width=float(np.mean([o.half_width for o in judged])) if judged else nothing,
        inside=sum(o.is_inside for o in judged) / len(judged) if judged else nothing,
        silent=sum(outcome.is_silent for outcome in outcomes) / many,
        colour_error=float(np.mean([o.colour_error for o in judged])) if judged else nothing,
        clean=sum(outcome.clean > 0.97 for outcome in outcomes) / many,
    )


_HEAD = (
    f"{'condition':26s} {'n':>5s} {'found':>6s} {'used':>6s} {'|dL*|':>6s} {'p95':>6s} {'bias':>6s}"
    f" {'half':>5s} {'inside':>7s} {'silent':>7s} {'dE00':>5s} {'clean':>6s}"
)


def table(rows: Sequence[Row]) -> str:
    """Return the rows as text; errors and half widths in L*."""
    lines = [_HEAD]
    for row in rows:
        lines.append(
            f"{row.name:26s} {row.scenes:5d} {row.found:6.0%} {row.used:6.0%} {row.mean:6.2f}"
            f" {row.p95:6.2f} {row.bias:+6.2f} {row.half_width:5.2f} {row.inside:7.1%}"
            f" {row.silent:7.1%} {row.colour_error:5.2f} {row.clean:6.0%}"
        )
    return "\n".join(lines)


def rows_of(outcomes: Sequence[Outcome], aside: Sequence[str] = ()) -> list[Row]:
    """Return a row for each condition, then overall rows without the conditions in `aside`."""
    names = list(dict.fromkeys(outcome.condition for outcome in outcomes))
    rows = [row_of(n, [o for o in outcomes if o.condition == n]) for n in names]
    usual = [outcome for outcome in outcomes if outcome.condition not in aside]
    if usual:
        rows.append(row_of("all by the card", usual))
        rows.append(row_of("all by paper", usual, "paper"))
        rows.append(row_of("all by nothing", usual, "none"))
        rows.append(row_of("all readings", usual, ""))
        for low, high in ((0, 30), (30, 60), (60, 85), (85, 101)):
            band = [outcome for outcome in usual if low <= outcome.true_l < high]
            if band:
                rows.append(row_of(f"true L* {low} to {high}", band))
    return rows
