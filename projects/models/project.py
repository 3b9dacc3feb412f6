"""A quilt being planned or made, with the allowances behind each of its answers."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from projects.models.querysets import ProjectQuerySet
from stash.fields import LengthField
from stash.lengths import EIGHTH_YARD, INCH, MM, TEN_CM, Unit

__all__ = ["Aim", "Increment", "Project", "Ruler", "Status"]


class Status(models.TextChoices):
    PLANNED = "planned", "planned"
    CUTTING = "cutting", "cutting"
    DONE = "done", "done"
    SET_ASIDE = "set aside", "set aside"


class Increment(models.TextChoices):
    """In which steps the shop cuts from the bolt."""

    EIGHTH_YARD = "1/8 yd", "1/8 yd"
    QUARTER_YARD = "1/4 yd", "1/4 yd"
    TEN_CM = "10 cm", "10 cm"
    TWENTY_FIVE_CM = "25 cm", "25 cm"


class Ruler(models.TextChoices):
    """The finest mark that cuts are set to."""

    EIGHTH = "1/8 in", "eighths of an inch"
    SIXTEENTH = "1/16 in", "sixteenths of an inch"
    HALF_CM = "0.5 cm", "half centimetres"
    MILLIMETRE = "0.1 cm", "millimetres"


class Aim(models.TextChoices):
    """What is looked to first among plans that all cover; the others follow in this order."""

    LEAST_CLOTH = "least cloth", "use the least cloth"
    SCRAPS = "scraps", "use up scraps and small pieces"
    FEW_PIECES = "few pieces", "open the fewest pieces"
    FAVOURITES = "favourites", "spare favourites"
    LARGE_REST = "large rest", "leave the largest piece in one"
    FEW_SETTINGS = "few settings", "set the ruler least often"
    FEW_CUTS = "few cuts", "make the fewest cuts"


_STEPS: dict[str, int] = {
    Increment.EIGHTH_YARD: EIGHTH_YARD,
    Increment.QUARTER_YARD: 2 * EIGHTH_YARD,
    Increment.TEN_CM: TEN_CM,
    Increment.TWENTY_FIVE_CM: 5 * TEN_CM // 2,
}


_MARKS: dict[str, int] = {
    Ruler.EIGHTH: INCH // 8,
    Ruler.SIXTEENTH: INCH // 16,
    Ruler.HALF_CM: 5 * MM,
    Ruler.MILLIMETRE: MM,
}


def _percent(label: str, default: str, most: int) -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(
        max_digits=4,
        decimal_places=1,
        default=Decimal(default),
        verbose_name=label,
        validators=[MinValueValidator(0), MaxValueValidator(most)],
    )


class Project(models.Model):
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=120)
    note = models.TextField(blank=True, max_length=4000)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.PLANNED)
    finished_width = LengthField(null=True, blank=True)
    finished_length = LengthField(null=True, blank=True)
    # One inch a cut end and 42 in of 44 are common practice; 3 % is about one inch in a yard.
    squaring_up = LengthField(default=INCH, verbose_name="squaring-up, each piece")
    shrink = _percent("shrinkage of unwashed cloth (%)", "3.0", 30)
    reserve = _percent("reserve (%)", "0.0", 100)
    assumed_width = LengthField(default=42 * INCH, verbose_name="usable width to buy")
    increment = models.CharField(
        max_length=10,
        choices=Increment.choices,
        default=Increment.EIGHTH_YARD,
        verbose_name="shops cut in steps of",
    )
    seam = LengthField(default=INCH // 4, verbose_name="seam allowance")
    # To the nearest 1/16 in: common practice, no source.
    ruler = models.CharField(
        max_length=8,
        choices=Ruler.choices,
        default=Ruler.SIXTEENTH,
        verbose_name="the ruler is set to",
    )
    first_aim = models.CharField(
        max_length=12,
        choices=Aim.choices,
        default=Aim.LEAST_CLOTH,
        verbose_name="of several ways to cut, first",
    )
    # Whose plans come first where two want the same cloth; the others plan around them.
    rank = models.PositiveSmallIntegerField(
        null=True, blank=True, verbose_name="place in the order of your projects"
    )
    wanted_by = models.DateField(null=True, blank=True, verbose_name="wanted by")
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)
    competes = models.BooleanField(
        default=False, verbose_name="plan with cloth that other projects want too"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = ProjectQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["owner", "status"], name="project_by_status")]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="project_has_name"),
            models.CheckConstraint(
                condition=Q(rank__isnull=True) | Q(rank__gte=1), name="project_rank_from_one"
            ),
            models.CheckConstraint(
                condition=Q(status__in=Status.values), name="project_status_known"
            ),
            models.CheckConstraint(
                condition=Q(increment__in=Increment.values), name="project_increment_known"
            ),
            models.CheckConstraint(condition=Q(ruler__in=Ruler.values), name="project_ruler_known"),
            models.CheckConstraint(
                condition=Q(first_aim__in=Aim.values), name="project_first_aim_known"
            ),
            models.CheckConstraint(
                condition=Q(finished_width__isnull=True, finished_length__isnull=True)
                | Q(finished_width__gt=0, finished_length__gt=0),
                name="project_finished_both_or_none",
            ),
            models.CheckConstraint(
                condition=Q(squaring_up__gte=0, assumed_width__gt=F("squaring_up"), seam__gt=0),
                name="project_allowances_possible",
            ),
            models.CheckConstraint(
                condition=Q(shrink__gte=0, shrink__lte=30, reserve__gte=0, reserve__lte=100),
                name="project_percentages_possible",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("projects:project", args=[self.pk])

    @property
    def buy_step(self) -> int:
        """The shop's increment as a length."""
        return _STEPS[self.increment]

    @property
    def marks(self) -> int:
        """The finest mark of the ruler as a length."""
        return _MARKS[self.ruler]

    @property
    def ruler_units(self) -> Unit:
        """What the ruler is marked in: settings are printed in these."""
        return "in" if self.ruler in (Ruler.EIGHTH, Ruler.SIXTEENTH) else "cm"

    @property
    def shop_unit(self) -> Unit:
        """The unit that the shop's increment is said in."""
        is_yards = self.increment in (Increment.EIGHTH_YARD, Increment.QUARTER_YARD)
        return "yd" if is_yards else "m"

    @property
    def is_open(self) -> bool:
        """Whether its plans want cloth: it is planned or being cut, and not deleted."""
        return self.removed_at is None and self.status in (Status.PLANNED, Status.CUTTING)

    @property
    def shrink_share(self) -> Fraction:
        return Fraction(self.shrink) / 100

    @property
    def reserve_share(self) -> Fraction:
        return Fraction(self.reserve) / 100
