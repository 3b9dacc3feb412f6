"""How one person likes the pages."""

from __future__ import annotations

from django.conf import settings
from django.db import models

__all__ = ["Preferences", "TradeWords", "UnitSystem"]


class UnitSystem(models.TextChoices):
    INCHES = "in", "inches and yards"
    METRIC = "cm", "centimetres and metres"


class TradeWords(models.TextChoices):
    AMERICAN = "us", "American: selvage, batting"
    BRITISH = "uk", "British: selvedge, wadding"


class Preferences(models.Model):
    """One row per person; absent means the defaults."""

    owner = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        primary_key=True,
        related_name="preferences",
    )
    units = models.CharField(
        max_length=2,
        choices=UnitSystem.choices,
        default=UnitSystem.INCHES,
        verbose_name="measure in",
    )
    words = models.CharField(
        max_length=2,
        choices=TradeWords.choices,
        default=TradeWords.AMERICAN,
        verbose_name="trade words",
    )
    # How this person's photo card was printed, as a calibration found out; and since when.
    card_print = models.JSONField(null=True, blank=True, editable=False)
    card_print_changed_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        verbose_name_plural = "preferences"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(units__in=UnitSystem.values), name="preferences_units_known"
            ),
            models.CheckConstraint(
                condition=models.Q(words__in=TradeWords.values), name="preferences_words_known"
            ),
        ]

    def __str__(self) -> str:
        return f"preferences of {self.owner}"
