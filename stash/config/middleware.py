"""Small middleware: one more header, and the "busy" page."""

from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

GetResponse = Callable[[HttpRequest], HttpResponse]

SECONDS_TO_WAIT = 5
# "canceling statement" is how PostgreSQL words a lock or statement timeout.
_BUSY_WORDS = ("locked", "lock timeout", "deadlock", "canceling statement", "too many clients")


def same_origin_resources(get_response: GetResponse) -> GetResponse:
    """Keep other sites from embedding anything served here, photos above all."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response

    return middleware


class BusyMiddleware:
    """Answer a database that stays locked with a page that keeps what was typed."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if not isinstance(exception, OperationalError) or not is_busy(exception):
            return None
        response = self._answer(request)
        response["Retry-After"] = str(SECONDS_TO_WAIT)
        return response

    def _answer(self, request: HttpRequest) -> HttpResponse:
        if "application/json" in request.headers.get("Accept", ""):
            return JsonResponse({"error": "Busy; please try again."}, status=503)
        fields = [
            (name, text)
            for name, texts in request.POST.lists()
            for text in texts
            if "password" not in name
        ]
        has_secret = any("password" in name for name in request.POST)
        return render(
            None,  # no context processors: they would query again
            "errors/503.html",
            {
                "path": request.get_full_path(),
                "fields": fields,
                "can_resend": request.method == "POST" and not has_secret and not request.FILES,
            },
            status=503,
        )


def is_busy(error: OperationalError) -> bool:
    """Return whether the database was merely occupied, so that trying again may help."""
    message = str(error).lower()
    return any(words in message for words in _BUSY_WORDS)
