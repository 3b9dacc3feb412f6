"""Finding by eye: what is like the cloth in a photo, and what goes with chosen cloth."""

from __future__ import annotations

import base64
from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST, require_safe

from stash.choices import choices_of
from stash.colour.appearance import Appearance
from stash.colour.picture.photo import PhotoError
from stash.colour.spaces.relations import RELATIONS
from stash.colour.words import stated
from stash.fields import OneOfField
from stash.finding.by_eye.harmony import (
    CONTRASTS,
    MOST_CHOSEN,
    SIDES,
    Contrast,
    HueRelation,
    beside,
)
from stash.finding.by_eye.shop import do_i_own
from stash.finding.cards import cards_of
from stash.finding.filters import LIKENESS_BY
from stash.finding.results import run
from stash.finding.search import Search, read_search
from stash.finding.shelf import Shelf
from stash.form_keys import changes_nothing
from stash.models import Fabric
from stash.narrowing import page_of, sentences
from stash.photos.acts import read_sent
from stash.photos.store import VIEW_KINDS, StoreBusy
from stash.photos.uploads import UploadError, check_body, one_photo
from stash.text import row_number

__all__ = ["goes_with", "like_photo"]

_FIRST_LAID = 8
#: Each card says how it stands beside the chosen ones, and is longer for it.
_PAGE_SIZE = 12


class GoesWithForm(forms.Form):
    """How far from each chosen fabric the others may be."""

    contrast = OneOfField(
        required=False,
        label="Contrast in value",
        choices=[(key, label) for key, (label, _, _) in CONTRASTS.items()],
    )
    side = OneOfField(required=False, label="Which way", choices=SIDES.items())
    relation = OneOfField(
        required=False,
        label="Hue",
        choices=[(key, label) for key, (label, _, _) in RELATIONS.items()],
    )


@changes_nothing("the photo is looked at and forgotten")
@csrf_exempt
@login_required
@require_POST
def like_photo(request: HttpRequest) -> HttpResponse:
    """Lay a photo beside what of the stash is most like it; the photo is forgotten at once."""
    try:
        check_body(request)
    except UploadError as error:
        return _refused(request, str(error), error.status)
    return _like_photo(request)


@csrf_protect
def _like_photo(request: HttpRequest) -> HttpResponse:
    user: Any = request.user
    try:
        views = {"shown": VIEW_KINDS["small"]}
        taken = read_sent(owner=user, data=one_photo(request), views=views)
        answer = do_i_own(user, taken)
    except StoreBusy:
        return _refused(request, "Other photos are being read just now; try again soon.", 503)
    except UploadError as error:
        return _refused(request, str(error), error.status)
    except PhotoError as error:
        return _refused(request, str(error), 422)
    read = taken.appearance
    context = {
        "section": "together",
        "read": read,
        # The photo is not kept, so the page itself carries it.
        "picture": base64.b64encode(taken.views["shown"]).decode("ascii"),
        "answer": answer,
        "ways": [(label, _alone(read, by)) for by, label in LIKENESS_BY.items()],
    }
    return render(request, "stash/do_i_own.html", context)


def _alone(read: Appearance, by: str) -> str:
    """The address that searches for the photo's colour alone."""
    lab = read.near if by == "near" else read.far
    colour = stated(",".join(f"{part:.1f}" for part in lab), is_estimate=read.is_estimate)
    return f"{reverse('stash:shelf')}?{urlencode({'like': colour, 'by': by})}"


def _refused(request: HttpRequest, why: str, status: int) -> HttpResponse:
    return render(
        request, "stash/photo_refused.html", {"section": "together", "why": why}, status=status
    )


@login_required
@require_safe
def goes_with(request: HttpRequest) -> HttpResponse:
    """Fabrics within the wanted contrast and hue relation of one to five chosen ones."""
    stash = Shelf(request.user)
    keys = _chosen(request, stash)
    form = GoesWithForm(request.GET)
    form.is_valid()
    asked = {name: form.cleaned_data.get(name, "") for name in form.fields}
    search = _search(request, stash, keys, asked)
    found = run(search, stash.columns, stash.places)
    page, wrong_page = page_of(range(len(found.rows)), request.GET.get("page"), _PAGE_SIZE)
    fabrics = cards_of(stash, found, list(page.object_list)) if keys else []
    rows = {int(stash.columns.fabrics.key[row]): int(row) for row in found.rows[page_rows(page)]}
    fabrics = [
        replace(
            fabric,
            why="; ".join(beside(stash.columns, keys, rows[fabric.pk])),
            joined_by=_joined_by(request, fabric.pk) if len(keys) < MOST_CHOSEN else "",
        )
        for fabric in fabrics
    ]
    context = {
        "section": "together",
        "several_chosen": len(keys) > 1,
        "chosen": _in_order(
            Fabric.objects.owned_by(request.user).select_related("main_photo").in_bulk(keys), keys
        ),
        "keys": keys,
        "fabrics": fabrics,
        "first_fabrics": fabrics[:_FIRST_LAID],
        "page": page,
        "words": search.words,
        "misses": found.misses,
        "wrong": [*sentences(form), *search.wrong, *filter(None, [wrong_page])],
        "contrasts": choices_of(
            [(key, label) for key, (label, _, _) in CONTRASTS.items()], asked["contrast"]
        ),
        "relations": choices_of(
            [(key, label) for key, (label, _, _) in RELATIONS.items()], asked["relation"]
        ),
        "sides": choices_of(SIDES.items(), asked["side"]),
        "most": MOST_CHOSEN,
    }
    return render(request, "stash/goes_with.html", context)


def _joined_by(request: HttpRequest, key: int) -> str:
    """The address of this page with one more fabric chosen."""
    query = request.GET.copy()
    query.pop("page", None)
    query.appendlist("with", str(key))
    return f"?{query.urlencode()}"


def page_rows(page: Any) -> slice:
    """The places of the results that a page shows."""
    return slice(page.start_index() - 1, page.end_index()) if len(page) else slice(0, 0)


def _search(
    request: HttpRequest, stash: Shelf, keys: tuple[int, ...], asked: dict[str, str]
) -> Search:
    search = read_search(request.GET, stash.columns, stash.known(), stash.places)
    wanted: list[Any] = []
    if asked["contrast"]:
        label = " ".join(filter(None, [CONTRASTS[asked["contrast"]][0], asked["side"]]))
        wanted.append(
            Contrast(
                source="", label=label, keys=keys, contrast=asked["contrast"], side=asked["side"]
            )
        )
    if asked["relation"]:
        label = RELATIONS[asked["relation"]][0]
        wanted.append(HueRelation(source="", label=label, keys=keys, relation=asked["relation"]))
    return replace(
        search,
        conditions=(*search.conditions, *wanted),
        ticked={},
        likeness=None,
        left_out=frozenset(keys),
        sort="dark",
    )


def _chosen(request: HttpRequest, stash: Shelf) -> tuple[int, ...]:
    """The chosen fabrics of the address, each once; what is not in the stash is passed over."""
    keys = dict.fromkeys(row_number(text) for text in request.GET.getlist("with"))
    there = [key for key in keys if key is not None and stash.columns.row_of(key) is not None]
    return tuple(there[:MOST_CHOSEN])


def _in_order(found: dict[int, Fabric], keys: tuple[int, ...]) -> list[Fabric]:
    return [found[key] for key in keys if key in found]
