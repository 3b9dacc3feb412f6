"""Auditions: the list, one table as it lies, and its pictures."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_not_required, login_required
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from projects.audition.finding import to_lay
from projects.audition.forms import TableForm
from projects.audition.pairs import pairs_of
from projects.audition.tables import ShownTable, blocks_for, tables_of
from projects.models import Audition, LaidFabric
from projects.models.audition import MOST_LAID
from projects.planning.cloth.pictures import ASSUMED_ACROSS, scale_of
from projects.quilt_design.side_by_side.harmony import HARMONY_SOURCE
from projects.quilt_design.side_by_side.separation import CLEARLY, DISTANCES, JUST_SEEN
from stash.choices import choices_of
from stash.context import default_unit
from stash.fields import with_choices
from stash.models import Fabric
from stash.photos.views import no_picture
from stash.text import row_number

__all__ = [
    "audition",
    "audition_list",
    "audition_of",
    "audition_page",
    "look_of",
    "off_key",
    "picture",
    "screen",
    "taken_off",
]

_FROM = {f"{metres:g}": metres for metres, _ in DISTANCES}
_FIRST_PAIRS = 8
_FOR_EVER = "private, max-age=31536000, immutable"


def audition_of(request: HttpRequest, pk: int) -> Audition:
    return get_object_or_404(
        Audition.objects.owned_by(request.user).select_related("project", "owner"), pk=pk
    )


@login_required
@require_safe
def audition_list(request: HttpRequest) -> HttpResponse:
    owned = Audition.objects.owned_by(request.user).select_related("project")
    rows = [
        {"audition": audition, "table": next(iter(tables_of(audition, arrangement=1)), None)}
        for audition in owned.kept()
    ]
    away = list(owned.exclude(removed_at=None))
    context = {"section": "together", "rows": rows, "away": away, "most": MOST_LAID}
    return render(request, "projects/audition/list.html", context)


@login_required
@require_safe
def screen(request: HttpRequest) -> HttpResponse:
    """Measuring the screen, so that what is shown at true size has it."""
    return render(request, "projects/audition/screen.html", {"section": "together"})


@login_required
@require_safe
def audition(request: HttpRequest, pk: int) -> HttpResponse:
    return audition_page(request, audition_of(request, pk))


def audition_page(request: HttpRequest, found: Audition, **replaced: BaseForm) -> HttpResponse:
    """The whole page; a form that was refused comes back in its place."""
    asked = look_of(request.GET)
    tables = tables_of(found)
    blocks = blocks_for(found)
    pairs = pairs_of(tables)
    picked = _picked(tables, request.GET.get("at", ""))
    for table in tables:
        table.picked = picked
    metres = asked.get("from", "")
    is_grey = asked.get("view") == "grey"
    words = request.GET.get("words", "")
    context = {
        "section": "together",
        "audition": found,
        "tables": tables,
        "asked": asked,
        "look": asked.urlencode(),
        "is_grey": is_grey,
        "marks_estimates": is_grey and any(table.has_estimates for table in tables),
        "distances": choices_of([(f"{away:g}", place) for away, place in DISTANCES], metres),
        "from": metres,
        "is_near": not metres,
        "several_tables": len(tables) > 1,
        "picked": picked,
        "ways": [("left", "←"), ("up", "↑"), ("down", "↓"), ("right", "→")],
        "assumed_across": ASSUMED_ACROSS,
        "unread": (50.0, 0.0, 0.0),
        "picked_scale": scale_of(picked.fabric) if picked else None,
        "others": _others(tables, picked),
        "parts": list(found.project.parts.all()) if found.project else [],
        "picked_parts": _parts_of(found, picked),
        "pairs": pairs[:_FIRST_PAIRS],
        "more_pairs": pairs[_FIRST_PAIRS:],
        "limits": {"seen": JUST_SEEN, "clearly": CLEARLY, "harmony": HARMONY_SOURCE},
        "most": MOST_LAID,
        "taken_off": taken_off(found, request.session.get(off_key(found))),
        "words": words,
        "offered": to_lay(found, words) if words else [],
        "form": with_choices(
            replaced.get("form")
            or TableForm(
                instance=found,
                units=default_unit(request.user),
                blocks=list(blocks),
                auto_id="table_%s",
            )
        ),
    }
    return render(
        request, "projects/audition/audition.html", context, status=422 if replaced else 200
    )


def look_of(query: QueryDict) -> QueryDict:
    """What is kept of an address: the view, the distance, numbers, and the picked fabric."""
    kept = QueryDict(mutable=True)
    if query.get("view") == "grey":
        kept["view"] = "grey"
    if query.get("from") in _FROM:
        kept["from"] = str(query["from"])
    if query.get("numbers") == "on":
        kept["numbers"] = "on"
    at = row_number(query.get("at", ""))
    if at is not None:
        kept["at"] = str(at)
    return kept


def off_key(found: Audition) -> str:
    """Under which the session knows what was taken off this table last."""
    return f"audition-{found.pk}-off"


def taken_off(found: Audition, taken: dict[str, Any] | None) -> Fabric | None:
    """The fabric that was taken off last, if it is still in the stash."""
    owned = Fabric.objects.owned_by(found.owner).in_stash()
    return owned.filter(pk=taken["fabric"]).first() if taken else None


def _picked(tables: list[ShownTable], at: str) -> LaidFabric | None:
    return next((cloth for table in tables for cloth in table.laid if str(cloth.pk) == at), None)


def _others(tables: list[ShownTable], picked: LaidFabric | None) -> list[LaidFabric]:
    if picked is None:
        return []
    return [
        cloth
        for table in tables
        for cloth in table.laid
        if cloth.arrangement == picked.arrangement and cloth.pk != picked.pk
    ]


def _parts_of(found: Audition, picked: LaidFabric | None) -> list[Any]:
    """The parts of the project that the picked fabric is chosen for already."""
    if found.project is None or picked is None:
        return []
    return list(found.project.parts.filter(fabrics=picked.fabric))


@login_not_required
@require_safe
def picture(request: HttpRequest, pk: int, arrangement: int) -> HttpResponse:
    """An arrangement drawn as a whole, in colour or true lightness, near or from far away."""
    if not request.user.is_authenticated:
        return no_picture(401)
    found = audition_of(request, pk)
    tables = tables_of(found, arrangement=arrangement) if arrangement in (1, 2) else []
    if not tables:
        raise Http404
    asked = look_of(request.GET)
    data = tables[0].picture(_FROM.get(asked.get("from", "")), grey=asked.get("view") == "grey")
    response = HttpResponse(data, content_type="image/png")
    is_current = request.GET.get("of") == tables[0].mark
    response["Cache-Control"] = _FOR_EVER if is_current else "private, no-cache"
    return response
