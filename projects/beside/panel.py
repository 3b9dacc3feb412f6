"""What the panel beside the picture shows of one part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse

from projects.beside.enough import Asked, look_for_enough
from projects.beside.forms import BriefWantForm
from projects.beside.light import light_of, value_line
from projects.beside.tiles import FIRST, Offer, offer_for
from projects.coverage.background import open_questions
from projects.coverage.groups import has_cuts_left
from projects.coverage.status import PartStanding, standings
from projects.models import Part, Project, Role
from projects.planning.cloth.trying import Tried, tried_for
from projects.planning.part_forms import SplitForm
from stash.context import default_unit
from stash.fields import with_choices
from stash.text import row_number

__all__ = ["address_of", "drawn_panel", "panel_of", "waits_of"]


def address_of(project: Project, part: int, tried: Tried) -> str:
    """The project's page with this part beside its picture, and what is tried."""
    asked = [("part", str(part)), *(("try", text) for text in tried.texts)]
    return f"{project.get_absolute_url()}?{urlencode(asked, safe=':')}"


def drawn_panel(
    request: HttpRequest, project: Project, rows: Sequence[PartStanding], part: int
) -> str:
    """The panel for a page that opens with it."""
    facts = panel_of(request, project, rows, part)
    return render_to_string("projects/beside/panel.html", facts, request)


def panel_of(
    request: HttpRequest,
    project: Project,
    rows: Sequence[PartStanding],
    part: int,
) -> dict[str, Any]:
    """The panel's facts for one of these parts."""
    units = default_unit(request.user)
    parts = [row.part for row in rows]
    row = next(row for row in rows if row.part.pk == part)
    found = row.part
    found.project = project
    tried = tried_for(project, request.GET.getlist("try"))
    takes_cloth = not found.not_needed and found.role != Role.BATTING
    offer = None
    asked = Asked(answers={}, asks_for_nothing=True)
    if takes_cloth:
        order = [row_number(key) or 0 for key in request.GET.get("order", "").split(".")]
        offer = offer_for(
            found,
            words=request.GET.get("words"),
            tried=tried.of(part),
            number=row_number(request.GET.get("show", "")) or FIRST,
            order=order,
            units=units,
        )
        asked = look_for_enough(part=found, fabrics=offer.fabrics, tried=tried, units=units)
    tiles = _with_answers(offer, asked)
    chosen = list(found.fabrics.all())
    own = tried.of(part)
    return {
        "project": project,
        "part": found,
        "row": row,
        "units": units,
        "offer": offer,
        "tiles": tiles,
        "order": ".".join(str(shown["tile"].fabric.pk) for shown in tiles),
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
    fabrics = [row_number(text) or 0 for text in request.GET.getlist("of")][:100]
    asked = look_for_enough(part=part, fabrics=fabrics, tried=tried, units=units, waits=False)
    looking = open_questions.open_questions(project)
    rows, _ = standings(project, parts, units=units, looking=looking)
    row = next(row for row in rows if row.part.pk == part.pk)
    return {
        "project": project,
        "part": row.part,
        "row": row,
        "units": units,
        "asks_for_nothing": asked.asks_for_nothing,
        "answers": [asked.of(fabric) for fabric in fabrics],
        "own": own,
        "own_answer": asked.of(own.pk) if own is not None and not asked.asks_for_nothing else None,
        "waits": asked.is_open or row.is_provisional,
        "again": request.get_full_path(),
    }


def _with_answers(offer: Offer | None, asked: Asked) -> list[dict[str, Any]]:
    """The tiles, enough first; those that stand on the page already stay where they are."""
    if offer is None:
        return []
    answered = [(tile, asked.of(tile.fabric.pk)) for tile in offer.tiles]
    answered.sort(key=lambda pair: offer.place_of(pair[0], pair[1].rank))
    return [{"tile": tile, "answer": answer} for tile, answer in answered]


def _next(parts: Sequence[Part], part: int, tried: Tried) -> Part | None:
    """The next part, round about, with something to cut and no cloth chosen or tried."""
    place = next(place for place, each in enumerate(parts) if each.pk == part)
    for each in (*parts[place + 1 :], *parts[:place]):
        is_open = not each.not_needed and each.role != Role.BATTING and has_cuts_left(each)
        if is_open and not each.fabrics.all() and tried.of(each.pk) is None:
            return each
    return None
