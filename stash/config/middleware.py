"""Small middleware: one more header, and pages for trouble that is nobody's fault."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.request import UnreadablePostError
from django.shortcuts import render

from stash.system.trouble import has_no_room, is_away, is_busy

GetResponse = Callable[[HttpRequest], HttpResponse]

SECONDS_TO_WAIT = 5


@dataclass(frozen=True, slots=True)
class Trouble:
    """How one kind of trouble is answered; `sentence` is for scripts."""

    status: int
    template: str
    sentence: str
    seconds_to_wait: int | None = None


BUSY = Trouble(503, "errors/503.html", "Busy; please try again.", SECONDS_TO_WAIT)
AWAY = Trouble(
    503,
    "errors/503_away.html",
    "The database cannot be reached just now; please try again.",
    SECONDS_TO_WAIT,
)
NO_ROOM = Trouble(
    507,
    "errors/507.html",
    "The disk of the computer that runs this site is full or cannot be written to; nothing was "
    "saved. Make room on it and send this again.",
)


def trouble_of(error: BaseException) -> Trouble | None:
    """Return what the exception tells of, or None where it is a fault of the program."""
    if is_busy(error):
        return BUSY
    if has_no_room(error):
        return NO_ROOM
    return AWAY if is_away(error) else None


def trouble_page(request: HttpRequest, trouble: Trouble) -> HttpResponse:
    """Return the page, with what was typed in a form that sends it again.

    It needs neither database nor session. Where a password or a file was sent the page holds no
    form: neither is ever repeated.
    """
    response = _answer(request, trouble)
    if trouble.seconds_to_wait is not None:
        response["Retry-After"] = str(trouble.seconds_to_wait)
    return response


def _answer(request: HttpRequest, trouble: Trouble) -> HttpResponse:
    if "application/json" in request.headers.get("Accept", ""):
        return JsonResponse({"error": trouble.sentence}, status=trouble.status)
    sent = _sent(request)
    return render(
        None,  # no context processors: they would query again
        trouble.template,
        {
            "path": request.get_full_path(),
            "fields": sent or [],
            "can_resend": sent is not None,
            "is_form": request.method == "POST",
        },
        status=trouble.status,
    )


def _sent(request: HttpRequest) -> list[tuple[str, str]] | None:
    """Return the fields of a form that can be sent again, or None."""
    if request.method != "POST":
        return None
    try:
        posted, files = request.POST, request.FILES
    except (UnreadablePostError, ValueError):
        return None
    if files or any("password" in name for name in posted):
        return None
    return [(name, text) for name, texts in posted.lists() for text in texts]


def same_origin_resources(get_response: GetResponse) -> GetResponse:
    """Keep other sites from embedding anything served here, photos above all."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response

    return middleware


class BusyMiddleware:
    """Answer a database that is locked, away or full with a page that keeps what was typed."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        trouble = trouble_of(exception)
        return None if trouble is None else trouble_page(request, trouble)
