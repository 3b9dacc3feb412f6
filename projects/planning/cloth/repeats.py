"""How the print's repeat enters the need of a part that centres its motifs, in sentences."""

from __future__ import annotations

from projects.cutting.prints.repeats import whole_repeats
from projects.models import Cut, Part
from projects.planning.allowances import planning_width
from projects.planning.cuts import cut_label
from stash.lengths import MM, Unit, format_length
from stash.models import Fabric
from stash.models.fabric import PrintScale

__all__ = ["repeat_sentences"]


def repeat_sentences(part: Part, units: Unit) -> list[str]:
    """The arithmetic for each chosen fabric; nothing where motifs are not centred."""
    if not part.centres_motifs:
        return []
    sentences: list[str] = []
    for fabric in part.fabrics.all():
        if fabric.print_scale == PrintScale.SOLID:
            continue
        if not fabric.repeat_across or not fabric.repeat_along:
            sentences.append(
                f"{fabric.name}: its repeat is not known{_seen(fabric, units)}; measure it and"
                " enter it on the fabric’s page."
            )
            continue
        sentences += [
            _of(fabric, cut, units)
            for cut in part.cuts.all()
            if cut.left and (part.centre_motif or cut.centre_motif)
        ]
    return sentences


def _seen(fabric: Fabric, units: Unit) -> str:
    """What its photo shows: a hint, because a photo may lie turned and show half a repeat."""
    photo = fabric.main_photo
    appearance = photo.appearance if photo is not None else None
    seen = appearance.print_seen if appearance is not None else None
    if seen is None or seen.repeat_across is None or seen.repeat_along is None:
        return ""
    across = format_length(round(seen.repeat_across * MM), units=units, with_unit=False)
    along = format_length(round(seen.repeat_along * MM), units=units)
    return f" (its photo shows about {across} × {along} along its sides)"


def _of(fabric: Fabric, cut: Cut, units: Unit) -> str:
    sides = []
    for side, repeat in (
        (cut.width or planning_width(cut.part.project), fabric.repeat_across or 0),
        (cut.length, fabric.repeat_along or 0),
    ):
        taken = whole_repeats(side, repeat)
        sides.append(
            f"{taken // repeat} × {format_length(repeat, units=units)} = "
            f"{format_length(taken, units=units, rounding='up')}"
        )
    return (
        f"{fabric.name}, {cut_label(cut, units)}: each {sides[0]} from the next across,"
        f" {sides[1]} along."
    )
