"""Seeing many fabrics at once: the stash map and the value line of a search's results."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from stash.colour.words import stated_value
from stash.finding.answers import search_address
from stash.finding.overview import map as stash_maps
from stash.finding.overview.value_line import BINS, Pile, ValueLine, lay_out, read_limits
from stash.finding.results import Found
from stash.finding.search import Search
from stash.finding.shelf import Shelf
from stash.models import Fabric

__all__ = ["map_picture", "stash_map", "value_line"]

_MOST_DRAWN = 1_500
_SHOWN_IN_PILE = 12
_LINE_WIDTH, _LINE_HEIGHT = 1000, 160
_HEIGHT_OF_ONE = 24
_MOST_IN_COLOUR = 400


def _find(request: HttpRequest) -> tuple[Shelf, Search, Found]:
    answer = search_address(request.user, request.GET)
    return answer.shelf, answer.search, answer.found


@login_required
@require_safe
def stash_map(request: HttpRequest) -> HttpResponse:
    """Every found fabric at its hue and value; a picture of the server's where they are many."""
    stash, search, found = _find(request)
    rows, _, _ = stash_maps.place(stash.columns, found.rows)
    counts = stash_maps.table(stash.columns, found.rows)
    spots = stash_maps.spots(stash.columns, rows) if len(rows) <= _MOST_DRAWN else []
    fabrics = stash.columns.fabrics
    context: dict[str, Any] = {
        "section": "together",
        "words": search.words,
        "wrong": search.wrong,
        "spots": [
            {
                "spot": spot,
                "key": int(fabrics.key[spot.row]),
                "name": fabrics.name[spot.row],
                "value": _value_words(stash, spot.row),
                "is_estimate": not fabrics.is_measured[spot.row],
            }
            for spot in spots
        ],
        "estimates": _estimates(stash, rows),
        "is_picture": len(rows) > _MOST_DRAWN,
        "count": len(rows),
        "without": len(found.rows) - len(rows),
        "table": [
            (hue, [(band, bands[band]) for band in bands], sum(bands.values()))
            for hue, bands in counts.items()
        ],
        "bands": stash_maps.BANDS,
        # What a search leaves out is no gap of the stash.
        "gaps": stash_maps.find_gaps(counts)[:5] if len(found.rows) == len(stash.columns) else [],
        "hue_marks": [(word, _hue_x(angle)) for word, angle in _HUE_MARKS],
    }
    return render(request, "stash/map.html", context)


# CIELAB hue angles of the fullest sRGB colours and what they are called (IEC 61966-2-1).
_HUE_MARKS = (
    ("red", 40),
    ("yellow", 103),
    ("green", 136),
    ("teal", 196),
    ("blue", 280),
    ("purple", 312),
    ("pink", 350),
)


def _hue_x(angle: float) -> float:
    start = stash_maps.HUES_FROM + 10
    return round(start + angle / 360 * (stash_maps.WIDTH - start - 10), 1)


@login_required
@require_safe
def map_picture(request: HttpRequest) -> HttpResponse:
    """The swatches of the map as one picture."""
    stash, _, found = _find(request)
    picture = stash_maps.paint(stash.columns, found.rows[::-1])
    return HttpResponse(
        picture, content_type="image/png", headers={"Cache-Control": "private, no-cache"}
    )


@login_required
@require_safe
def value_line(request: HttpRequest) -> HttpResponse:
    """The results from dark to light, in three piles: equal, or at limits of the person's."""
    stash, search, found = _find(request)
    asked = request.GET.get("limits", "")[:40]
    limits = read_limits(asked)
    line = lay_out(stash.columns, found.rows, limits)
    most = max(1, int(line.counts.max()))
    step = min(_HEIGHT_OF_ONE, (_LINE_HEIGHT - 10) / most)
    context = {
        "section": "together",
        "words": search.words,
        "wrong": search.wrong,
        "count": len(line.rows),
        "without": line.without,
        "estimates": _estimates(stash, line.rows),
        "bars": [
            (
                round(at * _LINE_WIDTH / BINS + 1, 1),
                round(_LINE_HEIGHT - count * step, 1),
                round(count * step, 1),
                at * 10 / BINS,
                (at + 1) * 10 / BINS,
                int(count),
            )
            for at, count in enumerate(line.counts)
            if count
        ],
        "marks": _marks(stash, line, step) if len(line.rows) <= _MOST_IN_COLOUR else [],
        "bar_width": _LINE_WIDTH / BINS - 2,
        "cuts": [round(100 * pile.high, 1) for pile in line.piles[:2] if pile.high is not None],
        "piles": _piles(stash, line, search),
        "asked": asked,
        "is_refused": bool(asked.strip()) and limits is None,
        "limits": limits,
    }
    return render(request, "stash/value_line.html", context)


def _marks(stash: Shelf, line: ValueLine, step: float) -> list[dict[str, Any]]:
    """Each fabric as a swatch on the pile of its column, in the order of value."""
    heights = [0] * BINS
    fabrics = stash.columns.fabrics
    codes = stash_maps.hex_codes(stash.columns, line.rows)
    marks = []
    for row, fill in zip(line.rows, codes, strict=True):
        at = min(int(fabrics.value[row] * BINS / 10), BINS - 1)
        heights[at] += 1
        marks.append(
            {
                "name": fabrics.name[row],
                "value": _value_words(stash, row),
                "is_estimate": not fabrics.is_measured[row],
                "fill": fill,
                "x": round(at * _LINE_WIDTH / BINS + 1, 1),
                "y": round(_LINE_HEIGHT - heights[at] * step, 1),
                "height": round(max(step - 1, 1), 1),
            }
        )
    return marks


def _value_words(stash: Shelf, row: int) -> str:
    fabrics = stash.columns.fabrics
    return stated_value(float(fabrics.value[row]), is_estimate=not fabrics.is_measured[row])


def _estimates(stash: Shelf, rows: Any) -> int:
    """How many of these have a value from a bare photo."""
    return int((~stash.columns.fabrics.is_measured[rows]).sum())


def _piles(stash: Shelf, line: ValueLine, search: Search) -> list[dict[str, Any]]:
    """Each pile with its limits, the search that finds it again, and its first fabrics."""
    key = stash.columns.fabrics.key
    heads = [[int(key[row]) for row in pile.rows[:_SHOWN_IN_PILE]] for pile in line.piles]
    fabrics = Fabric.objects.owned_by(stash.owner).select_related("main_photo")
    shown = fabrics.in_bulk([key for head in heads for key in head])
    return [
        {
            "name": pile.name,
            "count": len(pile.rows),
            "low": pile.low,
            "high": pile.high,
            "words": _words_of(pile, search),
            "fabrics": [shown[key] for key in head if key in shown],
            "more": len(pile.rows) - len(head),
        }
        for pile, head in zip(line.piles, heads, strict=True)
    ]


def _words_of(pile: Pile, search: Search) -> str:
    if pile.low is None or pile.high is None:
        return ""
    # Outwards by less than readings differ, so that the whole pile is found again.
    low, high = max(0.0, pile.low - 0.005), min(10.0, pile.high + 0.005)
    return f"{search.words} value {low:.2f} to {high:.2f}".strip()
