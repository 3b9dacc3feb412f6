"""What the panel beside the picture shows of one part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest
from django.urls import reverse

from projects.beside.enough import Asked, look_for_enough
from projects.beside.forms import BriefWantForm
from projects.beside.light import light_of, value_line
from projects.beside.tiles import FIRST, Offer, offer_for
from projects.coverage.background import open_questions
from projects.coverage.status import PartStanding, standings
from projects.models import Part, Project, Role
from projects.planning.cloth.trying import Tried, tried_for
from projects.planning.part_forms import SplitForm
from stash.context import default_unit
from stash.fields import with_choices
from stash.lengths import Unit

__all__ = ["address_of", "panel_of", "waits_of"]


def address_of(project: Project, part: int, tried: Tried) -> str:
    """The project's page with this part beside its picture, and what is tried."""
    asked = [("part", str(part)), *(("try", text) for text in tried.texts)]
    return f"{project.get_absolute_url()}?{urlencode(asked, safe=':')}"


def panel_of(request: HttpRequest, project: Project, part: int) -> dict[str, Any] | None:
    """The panel's facts; nothing where the project has no such part."""
    units = default_unit(request.user)
    parts = list(project.parts.whole())
    found = next((each for each in parts if each.pk == part), None)
    if found is None:
        return None
    found.project = project
    tried = tried_for(project, request.GET.getlist("try"))
    row = _row(project, parts, part, units)
    takes_cloth = not found.not_needed and found.role != Role.BATTING
    offer = None
    asked = Asked(answers={}, asks_for_nothing=True)
    if takes_cloth:
        offer = offer_for(
            found,
            words=request.GET.get("words"),
            tried=tried.of(part),
            number=_number(request.GET.get("show"), FIRST),
            units=units,
        )
        asked = look_for_enough(part=found, fabrics=offer.fabrics, tried=tried, units=units)
    chosen = list(found.fabrics.all())
    own = tried.of(part)
    return {
        "project": project,
        "part": found,
        "row": row,
        "units": units,
        "offer": offer,
        "tiles": _with_answers(offer, asked),
        "asks_for_nothing": asked.asks_for_nothing,
        "tried": tried,
        "own": own,
        "own_answer": asked.of(own.pk) if own is not None and not asked.asks_for_nothing else None,
        "other_tries": tried.without(part),
        "is_whole_change": len(tried) > 1,
        "can_be_mixed": own is not None and bool(chosen) and own not in chosen,
        "chosen": chosen,
        "split_form": with_choices(SplitForm(part=found)) if len(chosen) > 1 else None,
        "want_form": with_choices(BriefWantForm(instance=found, units=units)),
        "light": light_of(project, parts, tried),
        "line": value_line(parts, tried),
        "next": _next(parts, part, tried),
        "waits": asked.is_open or row.is_provisional,
        "address": address_of(project, part, tried),
        "without": address_of(project, part, tried.without(part)),
        "without_all": address_of(project, part, Tried()),
        "beside_address": reverse("projects:beside", args=[project.pk, part]),
    }


def waits_of(request: HttpRequest, project: Project, part: Part) -> dict[str, Any]:
    """What is known by now of the cloth that a panel shows."""
    units = default_unit(request.user)
    parts = list(project.parts.whole())
    tried = tried_for(project, request.GET.getlist("try"))
    own = tried.of(part.pk)
    fabrics = [_number(text, 0) for text in request.GET.getlist("of")][:100]
    asked = look_for_enough(part=part, fabrics=fabrics, tried=tried, units=units)
    row = _row(project, parts, part.pk, units)
    return {
        "project": project,
        "part": row.part,
        "row": row,
        "units": units,
        "answers": [asked.of(fabric) for fabric in fabrics],
        "own": own,
        "own_answer": asked.of(own.pk) if own is not None and not asked.asks_for_nothing else None,
        "waits": asked.is_open or row.is_provisional,
        "again": request.get_full_path(),
    }


def _row(project: Project, parts: Sequence[Part], part: int, units: Unit) -> PartStanding:
    looking = open_questions.open_questions(project)
    rows, _ = standings(project, parts, units=units, looking=looking)
    return next(row for row in rows if row.part.pk == part)


def _with_answers(offer: Offer | None, asked: Asked) -> list[dict[str, Any]]:
    tiles = () if offer is None else offer.tiles
    return [{"tile": tile, "answer": asked.of(tile.fabric.pk)} for tile in tiles]


def _next(parts: Sequence[Part], part: int, tried: Tried) -> Part | None:
    """The next part, round about, for which no cloth is chosen or tried."""
    place = next(place for place, each in enumerate(parts) if each.pk == part)
    for each in (*parts[place + 1 :], *parts[:place]):
        is_open = not each.not_needed and each.role != Role.BATTING
        if is_open and not each.fabrics.all() and tried.of(each.pk) is None:
            return each
    return None


def _number(text: str | None, otherwise: int) -> int:
    is_number = text is not None and text.isascii() and text.isdecimal() and len(text) < 18
    return int(text) if text is not None and is_number else otherwise
