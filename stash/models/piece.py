"""One physical cut of a fabric."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from stash.fields import LengthField
from stash.models.querysets import PieceQuerySet

__all__ = ["ASSUMED", "BY_WEIGHT", "MEASURED", "PACK_FORMS", "Edge", "Form", "Piece"]


class Form(models.TextChoices):
    YARDAGE = "yardage", "yardage"
    FAT_QUARTER = "fat quarter", "fat quarter"
    FAT_EIGHTH = "fat eighth", "fat eighth"
    LONG_QUARTER = "long quarter", "long quarter"
    SQUARE = "square", "square"
    STRIP = "strip", "strip"
    PANEL = "panel", "panel"
    SCRAP = "scrap", "scrap"


#: Forms that come as packs of a counted many.
PACK_FORMS = (Form.SQUARE, Form.STRIP)


#: How a side is known; what follows is its size.
MEASURED, BY_WEIGHT, ASSUMED = "measured", "by weight, at least", "assumed"


class Edge(models.TextChoices):
    STRAIGHT = "straight", "straight"
    PINKED_POINTS = "pinked, points", "pinked, measured to the points"
    PINKED_VALLEYS = "pinked, valleys", "pinked, measured to the valleys"


class Piece(models.Model):
    """Width runs across the fabric without selvages, length along the grain.

    A pack of precuts is one piece with a count. Width, length and count always equal the sums
    of the piece's movements; only services change them, each with its ledger row.
    """

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    fabric = models.ForeignKey("stash.Fabric", on_delete=models.CASCADE, related_name="pieces")
    form = models.CharField(max_length=12, choices=Form.choices, default=Form.YARDAGE)
    width = LengthField(verbose_name="usable width")
    width_measured = models.BooleanField(default=False)
    length = LengthField()
    length_measured = models.BooleanField(default=False)
    # Of a length by weight, which is the least that it can be: how much longer it may be.
    length_spread = LengthField(default=0)
    count = models.PositiveIntegerField(default=1)
    edge = models.CharField(max_length=16, choices=Edge.choices, default=Edge.STRAIGHT)
    # Whether this piece was washed before use; nothing is as its fabric says.
    washed = models.BooleanField(null=True, blank=True, verbose_name="washed before use")
    # Where the middle of the first motif lies from the corner of width and length.
    motif_across = LengthField(null=True, blank=True)
    motif_along = LengthField(null=True, blank=True)
    place = models.ForeignKey(
        "stash.Place", on_delete=models.SET_NULL, null=True, blank=True, related_name="pieces"
    )
    keep_back = LengthField(default=0)
    favourite = models.BooleanField(default=False)
    condition = models.CharField(max_length=200, blank=True)
    lot = models.CharField(max_length=60, blank=True)
    bought_where = models.CharField(max_length=120, blank=True)
    bought_on = models.DateField(null=True, blank=True)
    price = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    cut_from = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="remnants"
    )
    # What projects have set aside; kept here so that one conditional update guards it.
    promised_length = LengthField(default=0)
    promised_count = models.PositiveIntegerField(default=0)
    # What is out of the house: it does not count as there until it comes back.
    lent_count = models.PositiveIntegerField(default=0)
    lent_to = models.CharField(max_length=120, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = PieceQuerySet.as_manager()

    class Meta:
        ordering = ["fabric", "-length", "-width", "pk"]
        indexes = [models.Index(fields=["owner", "form"], name="piece_by_form")]
        constraints = [
            models.CheckConstraint(condition=Q(width__gt=0, length__gt=0), name="piece_has_size"),
            models.CheckConstraint(condition=Q(count__gte=0), name="piece_count_not_negative"),
            models.CheckConstraint(condition=Q(form__in=Form.values), name="piece_form_known"),
            models.CheckConstraint(condition=Q(edge__in=Edge.values), name="piece_edge_known"),
            models.CheckConstraint(
                condition=Q(keep_back__gte=0, keep_back__lte=F("length")),
                name="piece_keep_back_within_length",
            ),
            models.CheckConstraint(
                condition=Q(promised_length__gte=0)
                & Q(promised_length__lte=F("length") - F("keep_back")),
                name="piece_promise_within_length",
            ),
            models.CheckConstraint(
                condition=Q(promised_count__gte=0, promised_count__lte=F("count")),
                name="piece_promise_within_count",
            ),
            models.CheckConstraint(
                condition=(Q(motif_across__isnull=True) | Q(motif_across__gte=0))
                & (Q(motif_along__isnull=True) | Q(motif_along__gte=0)),
                name="piece_motif_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(length_spread=0) | Q(length_spread__gt=0, length_measured=False),
                name="piece_length_measured_or_by_weight",
            ),
            models.CheckConstraint(
                condition=Q(price__isnull=True) | Q(price__gte=0), name="piece_price_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(lent_count=0, lent_to="") | Q(Q(lent_count__gt=0), ~Q(lent_to="")),
                name="piece_lent_to_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_form_display()} of {self.fabric}"

    @property
    def is_pack(self) -> bool:
        return self.form in PACK_FORMS

    @property
    def is_by_weight(self) -> bool:
        """Whether its length was worked out from its weight, so that the least of it counts."""
        return self.length_spread > 0

    @property
    def most_length(self) -> int:
        """What its length may be at the most, as far as anybody knows."""
        return self.length + self.length_spread

    @property
    def known_how(self) -> str:
        """How its width and its length are known, in a few words."""
        width, length = self.width_is_known, self.length_is_known
        if width == length:
            return MEASURED if width == MEASURED else f"{ASSUMED}, not measured"
        return f"width {width}, length {length}"

    @property
    def width_is_known(self) -> str:
        return MEASURED if self.width_measured else ASSUMED

    @property
    def length_is_known(self) -> str:
        if self.is_by_weight:
            return BY_WEIGHT
        return MEASURED if self.length_measured else ASSUMED

    @property
    def is_washed(self) -> bool:
        """Whether it has shrunk already: said of the piece, else of its fabric."""
        return bool(self.fabric.prewashed if self.washed is None else self.washed)

    @property
    def is_unknown_if_washed(self) -> bool:
        """Whether neither the piece nor its fabric says."""
        return self.washed is None and self.fabric.prewashed is None

    @property
    def knows_motif_across(self) -> bool:
        return self.motif_across is not None

    @property
    def knows_motif_along(self) -> bool:
        return self.motif_along is not None

    @property
    def is_several(self) -> bool:
        """Whether more than one of the same size lies together."""
        return self.count > 1

    @property
    def is_counted(self) -> bool:
        """Whether its count is worth a word: not exactly one."""
        return self.count != 1

    @property
    def is_lent(self) -> bool:
        """Whether it, or some of a pack, is out of the house."""
        return self.lent_count > 0

    @property
    def is_here(self) -> bool:
        """Whether any of it is on the shelf."""
        return self.count > 0

    @property
    def is_yardage(self) -> bool:
        return self.form == Form.YARDAGE

    @property
    def is_all_free(self) -> bool:
        """Whether nothing of its length is promised or kept back."""
        return self.available_length == self.length

    @property
    def has_straight_edges(self) -> bool:
        return self.edge == Edge.STRAIGHT

    @property
    def has_price(self) -> bool:
        return self.price is not None

    @property
    def available_length(self) -> int:
        """What is neither promised nor kept back, along the length of one."""
        return max(0, self.length - self.keep_back - self.promised_length) if self.count else 0

    @property
    def available_count(self) -> int:
        return max(0, self.count - self.promised_count)
