"""Strips that are sewn into sets and cut apart again, as lines of the parts they are cut for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from projects.models import Part
from projects.needs.ruler import check_setting, on_ruler
from projects.needs.units.strip_sets import StripSet, strip_set
from projects.planning.cut_lists.filling import usable_width
from projects.planning.cut_lists.lines import add_needed, sewing_of
from stash.acts import act_of
from stash.lengths import Unit

__all__ = ["add_strip_set"]


@act_of("part.project.owner_id")
def add_strip_set(
    *, part: Part, strips: Sequence[tuple[int, Part]], segment: int, count: int, units: Unit
) -> StripSet:
    """Add the strips of sets to the parts that they are cut for.

    ``strips`` are finished heights from top to bottom, each with its part, ``segment`` is the
    finished width of what the sets are cut into. The narrowest cloth of all decides how many
    segments a set gives, and no strip may be cut from narrower.

    Raises
    ------
    NeedsError
        The set cannot be sewn so, or a cut lies between the marks of the ruler; the message says
        what would be accepted.
    """
    sewing = sewing_of(part.project, units)
    found = strip_set(
        [height for height, _ in strips],
        segment,
        count,
        usable_width=min(usable_width(to) for to in {to for _, to in strips}),
        sewing=sewing,
    )
    check_setting(found.segment, sewing)
    on_ruler(found.need.cuts, sewing)
    alike: dict[tuple[Part, int], list[int]] = {}
    for place, (height, to) in enumerate(strips):
        alike.setdefault((to, height), []).append(place)
    for (to, _), places in alike.items():
        cut = found.need.cuts[places[0]]
        which = " and ".join(f"{place + 1}" for place in places)
        cut = replace(
            cut, count=cut.count * len(places), role=f"strip{'s' * (len(places) > 1)} {which}"
        )
        for made in add_needed(part=to, cuts=[cut], need=found.need):
            made.width = cut.width
            made.save(update_fields=["width"])
    return found
