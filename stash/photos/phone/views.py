"""The pages of testing one's own phone."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_http_methods, require_POST

from stash.choices import choices_of
from stash.colour.phone_trial import FindingError
from stash.colour.picture.photo import PhotoError
from stash.form_keys import takes_key
from stash.models import PhoneTrial, TrialPhoto
from stash.narrowing import sentences
from stash.photos import store as photo_store
from stash.photos.outline import drawn_outline, typed_outline
from stash.photos.phone import acts
from stash.photos.phone.forms import BOUGHT, WAY_WORDS, LookForm, ShotForm
from stash.photos.phone.telling import kept_tests, running, slots, up
from stash.photos.rereading.acts import outdated
from stash.photos.uploads import UploadError, check_body, one_photo

__all__ = ["bring_back", "forget", "give_up", "keep", "leave_out", "shot", "trial"]

_MISSING = "The stored picture is missing; send the photo again."


@csrf_exempt
@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def trial(request: HttpRequest) -> HttpResponse:
    """How to test a phone, the test that runs, and the tests that count."""
    if request.method == "POST":
        try:
            check_body(request)
        except UploadError as error:
            return _page(request, why=str(error), status=error.status)
    return _trial(request)


@csrf_protect
@takes_key
def _trial(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        return _page(request)
    user: Any = request.user
    form = ShotForm(request.POST)
    if not form.is_valid():
        return _page(request, why=" ".join(sentences(form)), status=422)
    cloth, way = form.cleaned_data["shows"]
    try:
        taken = acts.take_shot(owner=user, cloth=cloth, way=way, data=one_photo(request))
    except UploadError as error:
        return _page(request, why=str(error), status=error.status)
    except (PhotoError, acts.ShotError) as error:
        return _page(request, why=str(error), status=422)
    except photo_store.StoreBusy:
        return _page(request, why=photo_store.BUSY, status=503)
    except photo_store.StoreFull:
        return _page(request, why=photo_store.FULL, status=507)
    messages.success(request, f"Taken: the {cloth} cloth, {WAY_WORDS[way]}, value {taken:.1f}.")
    return redirect("stash:phone_trial")


def _page(request: HttpRequest, *, why: str = "", status: int = 200) -> HttpResponse:
    user: Any = request.user
    now = running(user)
    ended = PhoneTrial.objects.owned_by(user).filter(ended_at__isnull=False)
    context = {
        "section": "add",
        "why": why,
        "running": now,
        "slots": slots(now),
        "kept": kept_tests(user),
        "ended": ended.order_by("-ended_at", "-pk").first(),
        "outdated": outdated(user).count(),
    }
    return render(request, "stash/phone/trial.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def shot(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Look at one photo of the test: which part was read, and what else lies in it."""
    row = _shot(request, key)
    photo = row.photo
    form = LookForm(request.POST or None, shape=(photo.width, photo.height))
    why = ""
    if request.method == "POST" and form.is_valid():
        why = _look(row, form)
        if not why:
            messages.success(request, f"Read again: the {row.cloth} cloth, {WAY_WORDS[row.way]}.")
            return redirect("stash:phone_trial")
    status = 422 if form.errors or why else 200
    return render(request, "stash/phone/shot.html", _shot_context(row, form, why), status=status)


def _look(row: TrialPhoto, form: LookForm) -> str:
    # An outline that nobody moved is found again, clear of what was pointed at.
    read = _read_outline(row)
    is_moved = any(str(form.data.get(name, "")) != text for name, text in read.items())
    try:
        return acts.look_again(
            shot=row,
            region=form.cleaned_data["region"] if is_moved else row.photo.region_by_hand,
            marks=form.cleaned_data["marks"],
            chart=form.has_chart,
        )
    except photo_store.PhotoFileMissing:
        return _MISSING
    except photo_store.StoreBusy:
        return photo_store.BUSY


def _read_outline(row: TrialPhoto) -> dict[str, str]:
    """The outline that was read, as the fields show it."""
    read = row.photo.appearance
    return {} if read is None else typed_outline(read.region)


def _shot_context(row: TrialPhoto, form: LookForm, why: str) -> dict[str, Any]:
    photo = row.photo
    appearance = photo.appearance
    typed = {**_read_outline(row), "mark": "", "points": ""}
    if form.is_bound:
        typed = {name: str(form.data.get(name, "")) for name in typed}
    return {
        "section": "add",
        "row": row,
        "way": WAY_WORDS[row.way],
        "photo": photo,
        "appearance": appearance,
        "form": form,
        "why": why,
        "typed": typed,
        "marks": choices_of(BOUGHT, typed["mark"]),
        **drawn_outline(photo),
    }


@login_required
@require_POST
def leave_out(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Take a photo out of the test that runs."""
    row = _shot(request, key)
    acts.leave_out(shot=row)
    messages.success(request, f"Left out: the {row.cloth} cloth, {WAY_WORDS[row.way]}.")
    return redirect("stash:phone_trial")


@login_required
@require_POST
def keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Let what the test found count for the phone."""
    try:
        found = acts.keep(trial=_trial_of(request, pk))
    except FindingError as error:
        messages.error(request, str(error))
    else:
        told = f"Kept: values of this phone say ± {up(found.half_width)} or more from now on."
        messages.success(request, told)
    return redirect("stash:phone_trial")


@login_required
@require_POST
def give_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw away the photos of a test that was not kept."""
    running_now = PhoneTrial.objects.owned_by(request.user).filter(kept_at=None)
    acts.give_up(trial=get_object_or_404(running_now, pk=pk))
    messages.success(request, "The photos of the test are thrown away.")
    return redirect("stash:phone_trial")


@login_required
@require_POST
def forget(request: HttpRequest, pk: int) -> HttpResponse:
    """Go back to the general interval for this phone."""
    acts.forget(trial=_trial_of(request, pk))
    messages.success(request, "The test is forgotten; it can be brought back below.")
    return redirect("stash:phone_trial")


@login_required
@require_POST
def bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a test count again that was forgotten or replaced."""
    ended = PhoneTrial.objects.owned_by(request.user).filter(kept_at__isnull=False)
    acts.bring_back(trial=get_object_or_404(ended, pk=pk))
    messages.success(request, "The test counts again.")
    return redirect("stash:phone_trial")


def _trial_of(request: HttpRequest, pk: int) -> PhoneTrial:
    found: PhoneTrial = get_object_or_404(PhoneTrial.objects.owned_by(request.user), pk=pk)
    return found


def _shot(request: HttpRequest, key: uuid.UUID) -> TrialPhoto:
    rows = TrialPhoto.objects.owned_by(request.user).select_related("photo", "trial")
    found: TrialPhoto = get_object_or_404(rows, photo__key=key)
    return found
