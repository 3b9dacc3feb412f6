"""Noting how a bleed test came out."""

from __future__ import annotations

from datetime import date

from stash.acts import act_of, key_of_act
from stash.colour.spaces.staining import STAINING_GRADES
from stash.journal.changes import change
from stash.models import Fabric
from stash.models.fabric import Bleed

__all__ = ["note_bleed_test"]


@act_of("fabric.owner_id")
def note_bleed_test(*, fabric: Fabric, grade: str, span: str = "", on: date | None = None) -> None:
    """Keep the grade of staining and its day; no grade forgets the test.

    Any transfer means that the dye is not fast (a home bleed test's rule), so only grade 5 is.
    ``span`` are the grades that a photo left open, as “3 to 4”.
    """
    outcome = Bleed.UNTESTED
    if grade:
        outcome = Bleed.FAST if grade == STAINING_GRADES[0] else Bleed.BLEEDS
    change(
        fabric,
        act=key_of_act(),
        note=f"bleed test, grade {grade}" if grade else "bleed test forgotten",
        bleed=outcome,
        bleed_grade=grade,
        bleed_span=span if grade else "",
        bleed_tested_on=on if grade else None,
    )
