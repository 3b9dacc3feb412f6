"""Forms of signing in and setting up."""

from datetime import timedelta
from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm, BaseUserCreationForm
from django.contrib.auth.hashers import check_password
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import DatabaseError

from stash.accounts import throttle
from stash.models import Preferences
from stash.system.trouble import has_no_room


class SignInForm(AuthenticationForm):
    """Name and password; the throttle speaks before the password is looked at."""

    error_messages = {
        "invalid_login": "That name and password do not go together. Both are exact about "
        "capitals.",
        "inactive": "That name and password do not go together. Both are exact about capitals.",
    }

    def clean(self) -> dict[str, Any]:
        name = self.cleaned_data.get("username")
        if name is None or "password" not in self.cleaned_data:
            return self.cleaned_data
        address = self.request.META.get("REMOTE_ADDR", "") if self.request else ""
        wait = throttle.begin_attempt(name=name, address=address)
        if wait > timedelta(0):
            raise ValidationError(
                f"Too many tries. Please wait {in_words(wait)} and try again.", code="wait"
            )
        cleaned = self._checked()
        throttle.attempt_succeeded(name=name, address=address)
        return cleaned

    def _checked(self) -> dict[str, Any]:
        """Return what was typed, if it is right.

        Django renews an old digest of a right password. Without room for that it stays old.
        """
        try:
            return super().clean()
        except DatabaseError as error:
            if not has_no_room(error):
                raise
        name, password = self.cleaned_data["username"], self.cleaned_data["password"]
        user = User.objects.filter(username=name).first()
        if user is None or not check_password(password, user.password):
            raise self.get_invalid_login_error()
        self.confirm_login_allowed(user)
        user.backend = settings.AUTHENTICATION_BACKENDS[0]  # type: ignore[attr-defined]
        self.user_cache = user
        return self.cleaned_data


class SetUpForm(BaseUserCreationForm):
    """The first account: a name and a password typed twice."""

    class Meta:
        model = User
        fields = ("username",)


class PreferencesForm(forms.ModelForm):
    class Meta:
        model = Preferences
        fields = ("units", "words")


def in_words(wait: timedelta) -> str:
    """Return a wait as people say it, rounded up."""
    seconds = -(-wait // timedelta(seconds=1))
    if seconds < 90:
        return "1 second" if seconds == 1 else f"{seconds} seconds"
    return f"{-(-seconds // 60)} minutes"
