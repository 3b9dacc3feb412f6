"""What signing in needs to remember between requests."""

from django.db import models


class SignInFailure(models.Model):
    """Recent sign-in attempts that have not succeeded, counted under one key.

    The key is a digest (of an address, or of an account name together with an address), so that
    neither over-long names nor what people mistype into the name field is stored.
    """

    key = models.CharField(max_length=64, unique=True)
    failures = models.PositiveIntegerField(default=0)
    first_at = models.DateTimeField()
    last_at = models.DateTimeField(db_index=True)

    class Meta:
        app_label = "stash"

    def __str__(self) -> str:
        return f"{self.failures} failures until {self.last_at:%Y-%m-%d %H:%M}"


class SetUpLink(models.Model):
    """The one-time link that creates the first account; there is at most one row.

    Only a nonce lies here: the link's token is derived from it with the secret key, so that a
    copy of the database alone does not open the stash.
    """

    nonce = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True)

    class Meta:
        app_label = "stash"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="stash_set_up_link_is_single"),
        ]

    def __str__(self) -> str:
        return "used" if self.used_at else "open"
