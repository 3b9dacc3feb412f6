"""What needs washing, and a fabric's bleed test."""

from __future__ import annotations

from math import hypot
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from stash.acts import key_of_act
from stash.colour.picture.photo import PhotoError
from stash.colour.spaces.staining import Staining, graded
from stash.colour.taking import Taken
from stash.context import default_unit
from stash.fields import with_choices
from stash.form_keys import changes_nothing
from stash.models import Fabric
from stash.photos.acts import read_sent
from stash.photos.store import StoreBusy
from stash.photos.uploads import UploadError, check_body, one_photo
from stash.washing.acts import note_bleed_test
from stash.washing.forms import BleedForm
from stash.washing.groups import groups_of, to_wash

__all__ = ["bleed_photos", "bleed_test", "wash"]


@login_required
@require_safe
def wash(request: HttpRequest) -> HttpResponse:
    """What is not washed yet, in groups that may go together."""
    user: Any = request.user
    cloths = to_wash(user, default_unit(user))
    context = {"section": "stash", "groups": groups_of(cloths), "count": len(cloths)}
    return render(request, "stash/washing/wash.html", context)


def _shown_fabric(request: HttpRequest, pk: int) -> Fabric:
    return get_object_or_404(
        Fabric.objects.owned_by(request.user).select_related("main_photo"), pk=pk
    )


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def bleed_test(request: HttpRequest, pk: int) -> HttpResponse:
    """How to test, and what came of it."""
    found = _shown_fabric(request, pk)
    form = BleedForm(request.POST or None, initial=_as_noted(found))
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        note_bleed_test(
            fabric=found, grade=facts["grade"], span=facts["span"], on=facts["tested_on"]
        )
        messages.success(
            request,
            f"{found.name}: bleed test {found.bleed_words}.",
            extra_tags=f"undo:{key_of_act()}",
        )
        return redirect(found)
    return _page(request, found, form, status=422 if form.errors else 200)


def _as_noted(fabric: Fabric) -> dict[str, Any]:
    return {
        "grade": fabric.bleed_grade,
        "span": fabric.bleed_span,
        "tested_on": fabric.bleed_tested_on or timezone.localdate(),
    }


@changes_nothing("the photos are looked at and forgotten")
@csrf_exempt
@login_required
@require_POST
def bleed_photos(request: HttpRequest, pk: int) -> HttpResponse:
    """Grade a test cloth by two photos of it with a card; the photos are forgotten at once."""
    found = _shown_fabric(request, pk)
    try:
        check_body(request)
    except UploadError as error:
        return _refused(request, found, str(error), error.status)
    return _bleed_photos(request, found)


@csrf_protect
def _bleed_photos(request: HttpRequest, found: Fabric) -> HttpResponse:
    try:
        read = {name: _read(request, name) for name in ("stained", "unstained")}
    except StoreBusy:
        why = "Other photos are being read just now; try again soon."
        return _refused(request, found, why, 503)
    except UploadError as error:
        return _refused(request, found, str(error), error.status)
    except PhotoError as error:
        return _refused(request, found, str(error), 422)
    bare = [name for name, taken in read.items() if taken.appearance.is_estimate]
    if bare:
        names = " and ".join(f"the {name} cloth" for name in bare)
        why = (
            f"No card was found in the photo of {names}, so nothing can be graded; lay the photo"
            " card or white paper beside the cloth, in even light."
        )
        return _refused(request, found, why, 422)
    stained, unstained = read["stained"].appearance, read["unstained"].appearance
    grading = graded(
        unstained.far,
        stained.far,
        uncertainty=hypot(unstained.uncertainty, stained.uncertainty),
    )
    form = BleedForm(
        initial={
            "grade": grading.grade,
            "span": grading.span,
            "tested_on": timezone.localdate(),
        }
    )
    return _page(request, found, form, grading=grading)


def _read(request: HttpRequest, name: str) -> Taken:
    user: Any = request.user
    return read_sent(owner=user, data=one_photo(request, name), views={})


def _refused(request: HttpRequest, found: Fabric, why: str, status: int) -> HttpResponse:
    form = BleedForm(initial=_as_noted(found))
    return _page(request, found, form, why=why, status=status)


def _page(
    request: HttpRequest,
    found: Fabric,
    form: BleedForm,
    *,
    grading: Staining | None = None,
    why: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "section": "stash",
        "fabric": found,
        "form": with_choices(form),
        "grading": grading,
        "why": why,
    }
    return render(request, "stash/washing/bleed_test.html", context, status=status)
