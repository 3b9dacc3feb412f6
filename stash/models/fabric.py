"""One design in one colourway: what it looks like and what it is made of."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from stash.addresses import address_of
from stash.colour.spaces.staining import STAINING_GRADES
from stash.colour.words import stated
from stash.fields import LengthField
from stash.models.querysets import FabricQuerySet, OwnedQuerySet
from stash.text import fold

__all__ = [
    "Bleed",
    "Direction",
    "Fabric",
    "PrintScale",
    "Reference",
    "Tag",
    "Weave",
    "colour_told",
]


class Weave(models.TextChoices):
    UNKNOWN = "", "not known"
    PLAIN = "plain", "plain weave"
    LAWN = "lawn", "lawn"
    BATIK = "batik", "batik"
    TWILL = "twill", "twill"
    SATEEN = "sateen", "sateen"
    FLANNEL = "flannel", "flannel"
    CANVAS = "canvas", "canvas"
    OTHER = "other", "other"


class Direction(models.TextChoices):
    NONE = "none", "no direction"
    ONE_WAY = "one-way", "one-way"
    TWO_WAY = "two-way", "two-way"
    STRIPE = "stripe", "stripe"


class PrintScale(models.TextChoices):
    UNKNOWN = "", "not known"
    SOLID = "solid", "solid"
    SMALL = "small", "small print"
    MEDIUM = "medium", "medium print"
    LARGE = "large", "large print"


class Bleed(models.TextChoices):
    UNTESTED = "", "not tested"
    FAST = "fast", "fast: no transfer"
    BLEEDS = "bleeds", "bleeds"


class Reference(models.TextChoices):
    """What made the colour trustworthy; *by hand* is a value that the person placed."""

    NONE = "none", "none: an estimate"
    PAPER = "paper", "white paper"
    GREY_CARD = "grey card", "grey card"
    COLOUR_CHART = "colour chart", "colour chart"
    PHOTO_CARD = "photo card", "photo card"


class Tag(models.Model):
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=40)

    objects = OwnedQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["owner", "name"], name="tag_name_once"),
            models.CheckConstraint(condition=~Q(name=""), name="tag_has_name"),
        ]

    def __str__(self) -> str:
        return self.name


def colour_told(read: str, called: str) -> str:
    """The colour in words: what was read, or else the person's own word as no more than that."""
    return read or (f"you called it {called}" if called else "colour not read")


def _percent(label: str) -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(
        max_digits=4, decimal_places=1, null=True, blank=True, verbose_name=label
    )


class Fabric(models.Model):
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=120, blank=True)
    colourway = models.CharField(max_length=80, blank=True)
    fibre = models.CharField(max_length=120, blank=True)
    weave = models.CharField(max_length=10, choices=Weave.choices, blank=True)
    weight = models.PositiveSmallIntegerField(null=True, blank=True, verbose_name="weight (g/m²)")
    direction = models.CharField(max_length=10, choices=Direction.choices, default=Direction.NONE)
    print_scale = models.CharField(max_length=10, choices=PrintScale.choices, blank=True)
    print_words = models.CharField(max_length=80, blank=True, verbose_name="print")
    repeat_across = LengthField(null=True, blank=True)
    repeat_along = LengthField(null=True, blank=True)
    nominal_width = LengthField(null=True, blank=True)
    prewashed = models.BooleanField(null=True, blank=True)
    prewashed_on = models.DateField(null=True, blank=True)
    shrink_length = _percent("shrinkage along the length (%)")
    shrink_width = _percent("shrinkage across the width (%)")
    care = models.CharField(max_length=200, blank=True)
    bleed = models.CharField(max_length=10, choices=Bleed.choices, blank=True)
    # Of the stain on white cloth (ISO 105-A03), the grades that a photo left open, and the day.
    bleed_grade = models.CharField(max_length=3, blank=True, verbose_name="grade of staining")
    bleed_span = models.CharField(max_length=12, blank=True, verbose_name="grades left open")
    bleed_tested_on = models.DateField(null=True, blank=True, verbose_name="bleed tested on")
    notes = models.TextField(blank=True, max_length=4000)
    # What the person calls its colour: a claim, which counts until a photo was read.
    called = models.CharField(max_length=60, blank=True, verbose_name="colour, as you call it")
    # The list that it was written down in, if it came without a photo.
    listing = models.ForeignKey(
        "stash.Listing", on_delete=models.SET_NULL, null=True, blank=True, related_name="fabrics"
    )
    tags = models.ManyToManyField(Tag, blank=True, related_name="fabrics")

    # Appearance, copied from the main photo's reading so that finding needs no join.
    main_photo = models.ForeignKey(
        "stash.Photo", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    far_l = models.FloatField(null=True, blank=True)
    far_a = models.FloatField(null=True, blank=True)
    far_b = models.FloatField(null=True, blank=True)
    near_l = models.FloatField(null=True, blank=True)
    near_a = models.FloatField(null=True, blank=True)
    near_b = models.FloatField(null=True, blank=True)
    value = models.FloatField(null=True, blank=True)
    value_uncertainty = models.FloatField(null=True, blank=True)
    value_by_hand = models.BooleanField(default=False)
    reference = models.CharField(max_length=12, choices=Reference.choices, default=Reference.NONE)
    contrast = models.FloatField(null=True, blank=True)
    palette = models.JSONField(default=list, blank=True)
    colour_name = models.CharField(max_length=60, blank=True)

    # Folded, unaccented words of every text above: the databases fold accents differently.
    search_text = models.TextField(blank=True, editable=False)
    # The tick of the shelf's clock at the last change of the fabric or of its pieces.
    revision = models.BigIntegerField(default=0, editable=False)
    removed_at = models.DateTimeField(null=True, blank=True)
    # The fabric that it turned out to be; its pieces and photos are there.
    merged_into = models.ForeignKey(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="merged"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = FabricQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]  # as it came, whatever the clock said
        indexes = [
            models.Index(fields=["owner", "removed_at", "-created_at"], name="fabric_newest"),
            models.Index(fields=["owner", "revision"], name="fabric_by_revision"),
        ]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="fabric_has_name"),
            models.CheckConstraint(
                condition=Q(bleed_grade="")
                | (Q(bleed_grade__in=STAINING_GRADES) & ~Q(bleed=Bleed.UNTESTED)),
                name="fabric_bleed_grade_known",
            ),
            models.CheckConstraint(
                condition=Q(direction__in=Direction.values), name="fabric_direction_known"
            ),
            models.CheckConstraint(
                condition=Q(reference__in=Reference.values), name="fabric_reference_known"
            ),
            models.CheckConstraint(
                condition=Q(value__isnull=True) | Q(value__gte=0, value__lte=10),
                name="fabric_value_in_scale",
            ),
            models.CheckConstraint(
                condition=(
                    Q(shrink_length__isnull=True) | Q(shrink_length__gte=0, shrink_length__lt=50)
                )
                & (Q(shrink_width__isnull=True) | Q(shrink_width__gte=0, shrink_width__lt=50)),
                name="fabric_shrinkage_plausible",
            ),
            models.CheckConstraint(
                condition=(Q(nominal_width__isnull=True) | Q(nominal_width__gt=0))
                & (Q(repeat_across__isnull=True) | Q(repeat_across__gt=0))
                & (Q(repeat_along__isnull=True) | Q(repeat_along__gt=0)),
                name="fabric_lengths_positive",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keep the folded words in step; they are derived from this row and its tags."""
        self.search_text = self.folded_words()
        fields = kwargs.get("update_fields")
        if fields is not None:
            kwargs["update_fields"] = {*fields, "search_text"}
        super().save(*args, **kwargs)

    def get_absolute_url(self) -> str:
        return address_of("stash:fabric", self.pk)

    def folded_words(self, tags: Iterable[str] | None = None) -> str:
        """The words to find it by; ``tags`` names those of a fabric that is not saved yet."""
        if tags is None:
            tags = self.tags.values_list("name", flat=True) if self.pk else ()
        texts = [
            self.name,
            self.maker,
            self.colourway,
            self.fibre,
            self.weave,
            self.print_words,
            self.colour_name,
            self.called,
            self.care,
            self.notes,
            *tags,
        ]
        return fold(" ".join(text for text in texts if text))

    @property
    def far_lab(self) -> tuple[float, float, float] | None:
        if self.far_l is None or self.far_a is None or self.far_b is None:
            return None
        return (self.far_l, self.far_a, self.far_b)

    @property
    def colour_told(self) -> str:
        return colour_told(self.colour_words, self.called)

    @property
    def is_claim(self) -> bool:
        """Whether its colour is known by the person's word alone."""
        return bool(self.called) and self.far_l is None

    @property
    def has_value(self) -> bool:
        return self.value is not None

    @property
    def has_sure_value(self) -> bool:
        """Whether its value was measured beside a reference or placed by hand."""
        return self.has_value and not self.is_estimate

    @property
    def takes_value_by_hand(self) -> bool:
        """Whether a value by eye helps: there is none, a guess, or one placed before."""
        return self.is_estimate or not self.has_value or self.value_by_hand

    @property
    def has_contrast(self) -> bool:
        return self.contrast is not None

    @property
    def has_several_colours(self) -> bool:
        return len(self.palette) > 1

    @property
    def has_direction(self) -> bool:
        return self.direction != Direction.NONE

    @property
    def is_unknown_if_washed(self) -> bool:
        return self.prewashed is None

    @property
    def has_shrinkage(self) -> bool:
        return self.shrink_length is not None or self.shrink_width is not None

    @property
    def bleeds(self) -> bool:
        return self.bleed == Bleed.BLEEDS

    @property
    def bleed_words(self) -> str:
        """What came of its bleed test, with the grade and how sure that is."""
        if not self.bleed_grade:
            return self.get_bleed_display() or "not tested"
        left_open = f" ({self.bleed_span} by photo)" if self.bleed_span else ""
        return f"{self.get_bleed_display()}, grade {self.bleed_grade}{left_open}"

    @property
    def has_bleed_day(self) -> bool:
        return self.bleed_tested_on is not None

    @property
    def has_estimated_colour(self) -> bool:
        """Whether its colours come from a bare photo; a value placed by eye leaves them so."""
        return self.far_l is not None and self.reference == Reference.NONE

    @property
    def colour_words(self) -> str:
        """What its far colour is called, with *about* where that is an estimate."""
        return stated(self.colour_name, is_estimate=self.has_estimated_colour)

    @property
    def is_estimate(self) -> bool:
        """Whether the value comes from a bare photo and nothing made it trustworthy."""
        return self.value is not None and self.reference == "none" and not self.value_by_hand
