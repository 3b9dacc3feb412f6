"""Sign in and out, change the password, set up the first account."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView, LogoutView, PasswordChangeView
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse_lazy
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from stash.accounts import set_up
from stash.accounts.backups import may_take_all
from stash.accounts.demo import DEMO_NAME
from stash.accounts.forms import PreferencesForm, SetUpForm, SignInForm
from stash.acts import one_act
from stash.form_keys import changes_nothing
from stash.keeping.backups.daily import standing
from stash.models import Preferences
from stash.system.version import release

_FORM_METHODS = require_http_methods(["GET", "HEAD", "POST"])
_BACKEND = "django.contrib.auth.backends.ModelBackend"


@method_decorator(changes_nothing("signing in twice is being signed in"), name="dispatch")
@method_decorator(_FORM_METHODS, name="dispatch")
class SignIn(LoginView):
    form_class = SignInForm
    template_name = "accounts/sign_in.html"
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        has_accounts = User.objects.exists()
        return super().get_context_data(**kwargs, has_accounts=has_accounts)


@method_decorator(changes_nothing("signing out twice is being signed out"), name="dispatch")
class SignOut(LogoutView):
    """The browser is told to forget what it kept of this site: the stash in the pocket, too."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = super().post(request, *args, **kwargs)
        response["Clear-Site-Data"] = '"cache", "storage"'
        return response


@_FORM_METHODS
def account(request: HttpRequest) -> HttpResponse:
    """Show the account and save how this person likes the pages."""
    row = Preferences.objects.filter(owner=request.user).first() or Preferences(owner=request.user)
    form = PreferencesForm(request.POST or None, instance=row)
    if form.is_valid():
        with one_act(row.owner):
            form.save()
        messages.success(request, "Saved.")
        return redirect("accounts:account")
    context = {
        "form": form,
        "section": "account",
        "backups": standing(),
        "may_back_up": may_take_all(),
        "release": release(),
    }
    return render(request, "accounts/account.html", context)


@method_decorator(_FORM_METHODS, name="dispatch")
class ChangePassword(PasswordChangeView):
    """Change the password; every other browser is signed out by it."""

    template_name = "accounts/change_password.html"
    success_url = reverse_lazy("accounts:account")

    def form_valid(self, form):  # type: ignore[no-untyped-def]
        with one_act(form.user):
            answer = super().form_valid(form)
        messages.success(
            self.request, "Your password is changed. Other browsers have been signed out."
        )
        return answer


@changes_nothing("the link itself works only once")
@login_not_required
@never_cache
@sensitive_post_parameters("password1", "password2")
@_FORM_METHODS
def set_up_first_account(request: HttpRequest, token: str) -> HttpResponse:
    """Create the first account through the link that the console printed."""
    if not set_up.is_open(token):
        raise Http404
    form = SetUpForm(request.POST or None)
    if form.is_valid():
        try:
            user = set_up.create_first_account(token=token, user=form.save(commit=False))
        except set_up.LinkShutError as error:
            raise Http404 from error
        login(request, user, backend=_BACKEND)
        return redirect(settings.LOGIN_REDIRECT_URL)
    return render(request, "accounts/set_up.html", {"form": form, "token": token})


@changes_nothing("it signs in, and nothing more")
@login_not_required
@require_POST
def look_around(request: HttpRequest) -> HttpResponse:
    """Sign in as the demo quilter; there is no such thing outside the demo."""
    if not settings.DEMO:
        raise Http404
    login(request, get_object_or_404(User, username=DEMO_NAME), backend=_BACKEND)
    return redirect(settings.LOGIN_REDIRECT_URL)
