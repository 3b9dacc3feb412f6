"""Every page wants a signed-in person unless its view says otherwise."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails


class SignInRequiredMiddleware(LoginRequiredMiddleware):
    """Send people to the sign-in page; tell scripts in their own language."""

    def process_view(
        self, request: HttpRequest, view_func: Callable[..., Any], view_args: Any, view_kwargs: Any
    ) -> HttpResponseBase | None:
        if not getattr(view_func, "login_required", True):
            return None  # before anybody asks the database who this is
        return super().process_view(request, view_func, view_args, view_kwargs)

    def handle_no_permission(  # type: ignore[override]  # the stubs know redirects only
        self, request: HttpRequest, view_func: Callable[..., Any]
    ) -> HttpResponseBase:
        if "application/json" in request.headers.get("Accept", ""):
            return JsonResponse({"error": "Please sign in first."}, status=401)
        htmx: HtmxDetails = request.htmx  # type: ignore[attr-defined]  # set by HtmxMiddleware
        if htmx:
            page = htmx.current_url_abs_path or "/"
            sign_in: HttpResponse = redirect_to_login(page, self.get_login_url(view_func))
            return HttpResponseClientRedirect(sign_in["Location"])
        return super().handle_no_permission(request, view_func)
