"""Every form that changes something carries a key, and acts once.

A form without a key is refused with what was typed; the key of a form that was acted on before
is answered with where that led. Views that change nothing say so with `changes_nothing`.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import time
import unicodedata
import uuid
from collections.abc import Callable
from typing import Any, TypeVar

from django.contrib import messages
from django.contrib.auth.models import User
from django.db import DatabaseError, OperationalError
from django.http import HttpRequest, HttpResponseBase, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django_htmx.http import HttpResponseClientRedirect

from stash import acts
from stash.models import SpentKey

__all__ = [
    "FormKeyMiddleware",
    "answers_repeats",
    "changes_nothing",
    "own_path",
    "takes_key",
]

FIELD = "act"
HEADER = "X-Act"

# The first of two equal forms may have acted, and not have answered yet.
_LOOKS, _PAUSE = 10, 0.05

_IN_PLACE_OF_THE_PAGE = {"HX-Retarget": "main", "HX-Reselect": "main", "HX-Reswap": "outerHTML"}

V = TypeVar("V", bound=Callable[..., Any])
GetResponse = Callable[[HttpRequest], HttpResponseBase]


def changes_nothing(reason: str) -> Callable[[V], V]:
    """Mark a view whose forms need no key, and say why."""

    def mark(view: V) -> V:
        view.changes_nothing = reason  # type: ignore[attr-defined]
        return view

    return mark


def answers_repeats(view: V) -> V:
    """Mark a view that has a better answer to a key spent before than to lead on."""
    view.answers_repeats = True  # type: ignore[attr-defined]
    return view


def takes_key(view: V) -> V:
    """For the inner view of one that looks at the body itself before it is parsed."""

    @functools.wraps(view)
    def keyed(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if request.method == "POST":
            refused = _take_key(request, answers_repeats=hasattr(view, "answers_repeats"))
            if refused is not None:
                return refused
        answer: HttpResponseBase = view(request, *args, **kwargs)
        return answer

    return keyed  # type: ignore[return-value]


def own_path(text: str) -> str:
    """Return the text if it is a path of this site that can be gone to, else nothing."""
    is_clean = not any(unicodedata.category(letter)[0] == "C" for letter in text)
    is_path = text.startswith("/") and len(text) <= 2000
    return text if is_path and is_clean and url_has_allowed_host_and_scheme(text, None) else ""


class FormKeyMiddleware:
    """Take the key of each form before its view, and tell where it led after it."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.method != "POST":
            return self.get_response(request)
        with acts.answering(None):
            response = self.get_response(request)
            form = _form_of(request)
            if form is None:
                return response
            return _after(request, form, response)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        if request.method != "POST" or not request.user.is_authenticated:
            return None
        if hasattr(view, "changes_nothing") or getattr(view, "csrf_exempt", False):
            return None
        return _take_key(request, answers_repeats=hasattr(view, "answers_repeats"))

    def process_exception(
        self, request: HttpRequest, exception: Exception
    ) -> HttpResponseBase | None:
        form = _form_of(request)
        if form is None or isinstance(exception, OperationalError):
            return None
        if isinstance(exception, acts.AlreadyDoneError):
            return _already_done(request, form, exception.before)
        before = None if form.spent else _spent(request, form)
        return _already_done(request, form, before) if before else None


def _form_of(request: HttpRequest) -> acts.Form | None:
    return getattr(request, "form_key", None)


def _person(request: HttpRequest) -> User:
    assert isinstance(request.user, User)
    return request.user


def _spent(request: HttpRequest, form: acts.Form) -> SpentKey | None:
    return acts.spent(_person(request), form.key)


def _take_key(request: HttpRequest, *, answers_repeats: bool) -> HttpResponseBase | None:
    """Keep the key for the acts of this request; answer a form that has none, or a spent one."""
    try:
        key = uuid.UUID(request.POST.get(FIELD) or request.headers.get(HEADER) or "")
    except ValueError:
        return _ask_again(request, "errors/no_key.html", "This form came without its key.", 400)
    form = acts.Form(key=key, digest=_digest(request), page=_page_of(request))
    request.form_key = form  # type: ignore[attr-defined]
    acts.set_form(form)
    if answers_repeats:
        return None
    before = _spent(request, form)
    return _already_done(request, form, before) if before else None


def _digest(request: HttpRequest) -> str:
    """Return a digest of what the form says and where it goes."""
    passed_over = {FIELD, "csrfmiddlewaretoken"}
    told: list[Any] = [request.get_full_path()]
    told += sorted((name, texts) for name, texts in request.POST.lists() if name not in passed_over)
    told += sorted(
        (name, getattr(file, "name", ""), getattr(file, "size", 0))
        for name, files in request.FILES.lists()
        for file in files
    )
    return hashlib.sha256(repr(told).encode("utf-8", "surrogatepass")).hexdigest()


def _page_of(request: HttpRequest) -> str:
    """Return the page that the form stood on, as far as the browser tells."""
    if getattr(request, "htmx", False):
        return own_path(request.htmx.current_url_abs_path or "")  # type: ignore[attr-defined]
    site = f"{request.scheme}://{request.get_host()}"
    page = request.headers.get("Referer", "")
    return own_path(page.removeprefix(site)) if page.startswith(f"{site}/") else ""


def _after(request: HttpRequest, form: acts.Form, response: HttpResponseBase) -> HttpResponseBase:
    if hasattr(response, "is_already_done"):
        return response
    if form.spent:
        _keep_where(request, form, response)
        return response
    if response.status_code >= 500:
        return response
    # Its twin may have acted while this one waited for what is no longer there.
    before = _spent(request, form)
    return _already_done(request, form, before) if before else response


def _keep_where(request: HttpRequest, form: acts.Form, response: HttpResponseBase) -> None:
    """Keep where the act led. It is done already, so nothing may fail here."""
    led = own_path(response.headers.get("Location", "")) or form.page or "/"
    with contextlib.suppress(DatabaseError):
        SpentKey.objects.owned_by(_person(request)).filter(key__in=form.spent).update(went_to=led)


def _already_done(request: HttpRequest, form: acts.Form, before: SpentKey) -> HttpResponseBase:
    sentence = str(acts.AlreadyDoneError(before))
    if before.said and before.said != form.digest:
        return _marked(_ask_again(request, "errors/spent_key.html", sentence, 409))
    if _wants_json(request):
        return _marked(JsonResponse({"error": sentence}, status=409))
    list(messages.get_messages(request))  # what the second one found wrong is not so
    messages.info(request, sentence)
    led = _where(before) or form.page or "/"
    if getattr(request, "htmx", False):
        return _marked(HttpResponseClientRedirect(led))
    return _marked(redirect(led))


def _marked(response: HttpResponseBase) -> HttpResponseBase:
    response.is_already_done = True  # type: ignore[attr-defined]
    return response


def _where(before: SpentKey) -> str:
    for _ in range(_LOOKS):
        if before.went_to:
            break
        time.sleep(_PAUSE)
        before.refresh_from_db(fields=["went_to"])
    return before.went_to


def _wants_json(request: HttpRequest) -> bool:
    return "application/json" in request.headers.get("Accept", "")


def _ask_again(request: HttpRequest, template: str, sentence: str, status: int) -> HttpResponseBase:
    """A page that keeps what was typed and sends it again with a fresh key, if asked."""
    if _wants_json(request):
        return JsonResponse({"error": sentence}, status=status)
    passed_over = {FIELD, "csrfmiddlewaretoken"}
    fields = [
        (name, text)
        for name, texts in request.POST.lists()
        for text in texts
        if "password" not in name and name not in passed_over
    ]
    has_secret = any("password" in name for name in request.POST)
    context = {
        "said": sentence,
        "path": request.get_full_path(),
        "fields": [("csrfmiddlewaretoken", get_token(request)), (FIELD, uuid.uuid4()), *fields],
        "can_resend": not has_secret and not request.FILES,
    }
    if getattr(request, "htmx", False):
        # htmx puts nothing else than this status into the page.
        answer = render(None, template, context, status=422)
        for name, text in _IN_PLACE_OF_THE_PAGE.items():
            answer.headers[name] = text
        return answer
    return render(None, template, context, status=status)
