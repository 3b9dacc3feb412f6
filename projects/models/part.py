"""One role in a project: what it wants and which fabrics were chosen for it."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from projects.models.querysets import PartQuerySet
from projects.models.unread_line import UnreadLine, unread_sentence
from stash.colour.spaces.cielab import Lab
from stash.trade_words import trade_lazy

__all__ = ["FINISHING", "DirectionRule", "DirectionWant", "Firmness", "Part", "Role"]


class Role(models.TextChoices):
    BACKGROUND = "background", "background"
    FEATURE = "feature", "feature"
    ACCENT = "accent", "accent"
    SASHING = "sashing", "sashing"
    BORDER = "border", "border"
    BINDING = "binding", "binding"
    BACKING = "backing", "backing"
    BATTING = "batting", trade_lazy("batting")
    OTHER = "other", "other"


#: What is cut for the finished top, and is not pieced into it.
FINISHING = (Role.BINDING, Role.BACKING, Role.BATTING)


class DirectionRule(models.TextChoices):
    FOLLOW_FABRIC = "follow", "turn cuts unless the fabric has a direction"
    NEVER_TURN = "never", "never turn a cut"
    MAY_TURN = "may", "cuts may be turned, even in a directional fabric"


class Firmness(models.TextChoices):
    """Whether a want is a preference or a limit."""

    RATHER = "rather", "if it can be"
    MUST = "must", "in any case"


class DirectionWant(models.TextChoices):
    """Whether fabrics with a direction may serve."""

    WELCOME = "welcome", "as well as others"
    RATHER_NOT = "rather not", "rather not"
    NEVER = "never", "not at all"


class Part(models.Model):
    project = models.ForeignKey("projects.Project", on_delete=models.CASCADE, related_name="parts")
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.OTHER)
    # Borders are counted from the inside; other roles leave it at nothing.
    number = models.PositiveSmallIntegerField(null=True, blank=True)
    title = models.CharField(max_length=80, blank=True)
    position = models.PositiveIntegerField(default=0)
    want_words = models.CharField(max_length=80, blank=True, verbose_name="colour wanted")
    want_l = models.FloatField(null=True, blank=True)
    want_a = models.FloatField(null=True, blank=True)
    want_b = models.FloatField(null=True, blank=True)
    value_low = models.FloatField(null=True, blank=True, verbose_name="value from")
    value_high = models.FloatField(null=True, blank=True, verbose_name="value to")
    # How firmly the wants hold where fabrics are looked for; a hand may always choose otherwise.
    colour_firmness = models.CharField(
        max_length=6, choices=Firmness.choices, default=Firmness.RATHER
    )
    value_firmness = models.CharField(
        max_length=6, choices=Firmness.choices, default=Firmness.RATHER
    )
    direction_want = models.CharField(
        max_length=10, choices=DirectionWant.choices, default=DirectionWant.WELCOME
    )
    # How many fabrics may be mixed where they are looked for; nothing means any number.
    most_fabrics = models.PositiveSmallIntegerField(null=True, blank=True)
    direction_rule = models.CharField(
        max_length=8, choices=DirectionRule.choices, default=DirectionRule.FOLLOW_FABRIC
    )
    joins_allowed = models.BooleanField(default=True)
    # Each piece cut from it shows the print alike: one repeat of the print for every cut.
    # Of every cut; a single line of the list may want it for itself.
    centre_motif = models.BooleanField(default=False)
    # Cloth of different lots may differ in colour; then each fabric comes from one of them.
    one_lot = models.BooleanField(default=False)
    fabrics = models.ManyToManyField("stash.Fabric", blank=True, related_name="parts")
    # How many of its cuts come from each fabric, by its number; nothing lets the cloth decide.
    split = models.JSONField(default=dict, blank=True)
    not_needed = models.BooleanField(default=False)
    # How the cut list was worked out, as sentences for the page.
    worked_out = models.JSONField(default=list, blank=True)
    # The sizes that it was worked out from, by the names of the filling service.
    filled_with = models.JSONField(default=dict, blank=True)
    note = models.TextField(blank=True, max_length=2000)

    objects = PartQuerySet.as_manager()
    owner_path = "project__owner"

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=Role.values), name="part_role_known"),
            models.CheckConstraint(
                condition=Q(direction_rule__in=DirectionRule.values), name="part_direction_known"
            ),
            models.CheckConstraint(
                condition=Q(
                    colour_firmness__in=Firmness.values,
                    value_firmness__in=Firmness.values,
                    direction_want__in=DirectionWant.values,
                ),
                name="part_firmness_known",
            ),
            models.CheckConstraint(
                condition=Q(most_fabrics__isnull=True) | Q(most_fabrics__gte=1),
                name="part_mixes_one_or_more",
            ),
            models.CheckConstraint(
                condition=Q(number__isnull=True) | Q(number__gte=1), name="part_number_from_one"
            ),
            models.CheckConstraint(
                condition=(Q(value_low__isnull=True) | Q(value_low__gte=0, value_low__lte=10))
                & (Q(value_high__isnull=True) | Q(value_high__gte=0, value_high__lte=10))
                & (
                    Q(value_low__isnull=True)
                    | Q(value_high__isnull=True)
                    | Q(value_low__lte=F("value_high"))
                ),
                name="part_value_in_scale",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("projects:part", args=[self.project_id, self.pk])

    @property
    def name(self) -> str:
        if self.title:
            return self.title
        role = self.get_role_display().capitalize()
        return f"{role} {self.number}" if self.number else role

    @property
    def centres_motifs(self) -> bool:
        """Whether a motif is to lie in the middle of any of its cuts."""
        return self.centre_motif or any(cut.centre_motif for cut in self.cuts.all())

    @property
    def unread(self) -> list[UnreadLine]:
        """The pasted lines that nobody could read, as long as they stand."""
        return [line for line in self.unread_lines.all() if line.struck_at is None]

    @property
    def unread_sentence(self) -> str:
        """Why it is undecided although its list was answered; nothing where all is read."""
        return unread_sentence(len(self.unread))

    @property
    def has_want(self) -> bool:
        """Whether it says what its cloth should look like."""
        return bool(self.want_words) or self.wants_value

    @property
    def shows_want(self) -> bool:
        """Whether there is a want to show, if only a colour picked from a cloth."""
        return self.has_want or self.want_lab is not None

    @property
    def wants_value(self) -> bool:
        return self.value_low is not None or self.value_high is not None

    @property
    def has_lowest_value(self) -> bool:
        return self.value_low is not None

    @property
    def has_both_values(self) -> bool:
        return self.value_low is not None and self.value_high is not None

    @property
    def guides_search(self) -> bool:
        """Whether anything was said of the fabrics that are looked for."""
        is_open = self.direction_want == DirectionWant.WELCOME and not self.one_lot
        return self.has_want or not is_open or bool(self.most_fabrics)

    @property
    def insists_on_colour(self) -> bool:
        return bool(self.want_words) and self.colour_firmness == Firmness.MUST

    @property
    def insists_on_value(self) -> bool:
        return self.wants_value and self.value_firmness == Firmness.MUST

    @property
    def refuses_direction(self) -> bool:
        return self.direction_want == DirectionWant.NEVER

    @property
    def avoids_direction(self) -> bool:
        return self.direction_want == DirectionWant.RATHER_NOT

    @property
    def takes_one_fabric(self) -> bool:
        return self.most_fabrics == 1

    @property
    def want_lab(self) -> Lab | None:
        if self.want_l is None or self.want_a is None or self.want_b is None:
            return None
        return (self.want_l, self.want_a, self.want_b)
