"""What an answer rests on, in words: the same on pages, on the command line and in documents."""

from __future__ import annotations

from collections.abc import Sequence

from projects.coverage.answers.saved_answer import Hanging, Side
from projects.coverage.intentions import Intention
from projects.coverage.status import PartStanding
from projects.models import Verdict
from stash.lengths import Unit, format_length
from stash.models.piece import ASSUMED, BY_WEIGHT, MEASURED

__all__ = ["assumed", "condition", "decided_by", "to_measure", "wants"]


#: What would decide an answer, by what its evidence says in place of a proof.
_DECIDED_BY = {
    "phase": "Measuring where the print lies would decide it.",
    "repeat": "Measuring the repeat would decide it.",
    "others": "The order of your projects would decide it, or letting the plans compete.",
    "direction": "Letting its cuts turn would decide it, or cloth without a direction.",
}


def assumed(row: PartStanding, units: Unit) -> list[str]:
    """What an answer took for granted of its cloth: measured or assumed, washed or not."""
    project, taken = row.part.project, row.assumptions
    sentences = [
        *_known("usable width", taken.widths, units),
        *_known("length", tuple(side for side in taken.lengths if not side.measured), units),
    ]
    if row.answer.buy or not taken.widths:
        bought = format_length(project.assumed_width, units=units)
        sentences.append(f"usable width of bought cloth assumed {bought}")
    squaring = format_length(project.squaring_up, units=units, rounding="up")
    but = " but precuts" if taken.precut else ""
    sentences.append(f"squaring-up {squaring} each piece{but}")
    sentences += _washing(row)
    sentences.append(f"reserve {project.reserve.normalize():f} %")
    if taken.pinked:
        sentences.append("pinked edges at the size as measured")
    return sentences


def _known(what: str, sides: Sequence[Side], units: Unit) -> list[str]:
    """Sizes as they lie on the shelf: measured, by weight or assumed, each apart."""
    clauses = []
    for word in (MEASURED, BY_WEIGHT, ASSUMED):
        sizes = sorted({side.shelf for side in sides if _known_how(side) == word})
        if sizes:
            low, high = (format_length(size, units=units) for size in (sizes[0], sizes[-1]))
            clauses.append(f"{what} {word} {low}" + (f" to {high}" if high != low else ""))
    return clauses


def _known_how(side: Side) -> str:
    if side.by_weight:
        return BY_WEIGHT
    return MEASURED if side.measured else ASSUMED


def _washing(row: PartStanding) -> list[str]:
    """Which shrinkage was counted for which cloth."""
    project, taken = row.part.project, row.assumptions
    if not project.shrink:
        return ["cut unwashed: nothing off for shrinkage"]
    if not taken.widths or row.answer.buy:
        clauses = [f"shrinkage {project.shrink.normalize():f} % of bought cloth"]
    else:
        clauses = []
    clauses += [
        f"shrinkage of unwashed cloth {across} % across and {along} % along"
        for across, along in taken.shrinkage
    ]
    if taken.washed:
        clauses.append("nothing off cloth that was washed")
    if taken.precut:
        clauses.append("precuts are not washed: nothing off them")
    return clauses


def condition(row: PartStanding, units: Unit) -> str:
    """What a verdict hangs on that nobody measured: “if the width is 42 in”; or nothing."""
    return " and ".join(_if(hanging, units) for hanging in row.hangs)


def _if(hanging: Hanging, units: Unit) -> str:
    sizes = [format_length(size, units=units) for size in hanging.sizes]
    if len(sizes) == 1:
        return f"if the {hanging.side} is {sizes[0]}"
    return f"if the {hanging.side}s are {' and '.join(sizes)}"


def decided_by(row: PartStanding) -> str:
    """What would decide an undecided part, in one sentence."""
    if row.unread:
        return "To decide it, put the line right or strike it out."
    if row.is_looking:
        return "The search that is going on may decide it."
    return _DECIDED_BY.get(row.evidence.proof, "Looking longer may decide it, or other cloth.")


def wants(intention: Intention, units: Unit) -> str:
    """What a project wants of a piece, as other projects are told."""
    piece = intention.piece
    if intention.count:
        amount = f"{intention.count} of {piece.count}"
    else:
        amount = format_length(intention.length, units=units, rounding="up")
    width = format_length(piece.width, units=units, with_unit=False)
    size = f"{width} × {format_length(piece.length, units=units)}"
    return f"{intention.project.name} wants {amount} of {piece.fabric.name}, {size}"


def to_measure(row: PartStanding, units: Unit) -> list[str]:
    """Which measurement would settle a verdict, a sentence a side."""
    found = "a plan was found" if row.state == Verdict.SHORT else "no plan was found"
    return [
        f"Nobody measured the {hanging.side} of {'; '.join(name for name, _ in hanging.pieces)}."
        f" Measure it: with {format_length(hanging.tried, units=units)} {found}."
        for hanging in row.hangs
    ]
