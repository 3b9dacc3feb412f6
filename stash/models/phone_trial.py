"""A test of a phone: while it runs its photos, afterwards what it found."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from stash.colour.phone_trial import CLOTHS, FILLING, SMALL, WAYS, Finding, Shot
from stash.models.photo import Photo
from stash.models.querysets import OwnedQuerySet

__all__ = ["PhoneTrial", "TrialPhoto"]


class PhoneTrial(models.Model):
    """Runs until it is kept; counts from then on until it ends, by hand or by a newer test."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    camera = models.CharField(
        max_length=12, help_text="one-way mark of the kind of camera, as photos carry it"
    )
    finding = models.JSONField(null=True, blank=True, help_text="what it found, in value steps")
    readings = models.JSONField(
        default=list, blank=True, help_text="cloth, way and value of each photo it was kept with"
    )
    kept_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    # When photos of this phone began to be read otherwise, last.
    changed_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kept_at__isnull=True, finding__isnull=True, ended_at__isnull=True)
                | Q(kept_at__isnull=False, finding__isnull=False),
                name="phone_trial_is_kept_with_a_finding",
            ),
            models.UniqueConstraint(
                fields=["owner"],
                condition=Q(kept_at__isnull=True),
                name="phone_trial_one_runs",
            ),
            models.UniqueConstraint(
                fields=["owner", "camera"],
                condition=Q(kept_at__isnull=False, ended_at__isnull=True),
                name="phone_trial_one_counts",
            ),
        ]

    def __str__(self) -> str:
        return f"test of a phone {self.pk}"

    @property
    def found(self) -> Finding | None:
        return Finding.from_dict(self.finding) if self.finding else None


class TrialPhoto(models.Model):
    """One photo of a test that runs; it shows no fabric of the stash."""

    owner_path = "trial__owner"

    trial = models.ForeignKey(PhoneTrial, on_delete=models.CASCADE, related_name="shots")
    photo = models.OneToOneField(Photo, on_delete=models.CASCADE, related_name="shot")
    cloth = models.CharField(max_length=6)
    way = models.CharField(max_length=7)
    truth = models.FloatField(
        null=True, blank=True, help_text="value by a bought reference in the same photo"
    )
    truth_half = models.FloatField(default=0, help_text="half its 90 % interval")
    truth_by = models.CharField(max_length=12, blank=True)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(cloth__in=CLOTHS) & Q(way__in=(*WAYS, FILLING, SMALL)),
                name="trial_photo_shows_a_cloth",
            ),
            models.UniqueConstraint(fields=["trial", "cloth", "way"], name="trial_photo_once"),
        ]

    def __str__(self) -> str:
        return f"{self.cloth} cloth, {self.way}"

    @property
    def shot(self) -> Shot | None:
        """What the test compares; None where the photo has no reading."""
        appearance = self.photo.appearance
        if appearance is None:
            return None
        return Shot(
            cloth=self.cloth,
            way=self.way,
            value=appearance.value,
            truth=self.truth,
            truth_half=self.truth_half,
        )
