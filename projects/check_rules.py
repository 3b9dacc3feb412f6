"""What must be true of promises, cuttings, purchases and saved plans, for `check_stash`."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from django.db.models import Count, Exists, F, OuterRef, Q, Sum
from django.db.models.functions import Coalesce

from projects.coverage.answers.documents import plans_in
from projects.coverage.answers.saved_answer import SavedAnswer
from projects.models import ActKind, Coverage, CuttingDone, Purchase, QuiltDrawing
from projects.quilt_design.layouts.layout import Layout
from stash.keeping.checks.rows import cannot_be_read
from stash.keeping.checks.rules import Breach, register
from stash.lengths import format_length
from stash.models import Movement, Piece
from stash.models.movement import Kind

__all__: list[str] = []

PROMISES, FREE, CUTTINGS, PURCHASES, PLANS = (
    "a piece carries the sum of its promises",
    "no more is promised than is free",
    "cuttings and movements agree",
    "a purchase is shelved once",
    "saved plans and drawings can be read",
)


@register(PROMISES)
def piece_carries_its_promises() -> Iterator[Breach]:
    wrong = Piece.objects.annotate(
        length_told=Coalesce(Sum("promises__length"), 0),
        count_told=Coalesce(Sum("promises__count"), 0),
    ).exclude(promised_length=F("length_told"), promised_count=F("count_told"))
    for piece in wrong.select_related("fabric").order_by("pk").iterator():
        yield Breach(
            rule=PROMISES,
            piece=piece.pk,
            sentence=(
                f"{piece} says that {format_length(piece.promised_length)} and "
                f"{piece.promised_count} whole ones are promised, but its promises add up to "
                f"{format_length(piece.length_told)} and {piece.count_told}."
            ),
        )


@register(FREE)
def no_more_is_promised_than_is_free() -> Iterator[Breach]:
    """A length is promised of one piece only, and a count or a length but never both."""
    wrong = Piece.objects.filter(
        Q(promised_length__lt=0)
        | Q(promised_length__gt=F("length") - F("keep_back"))
        | Q(promised_length__gt=0, count__lt=1)
        | Q(promised_length__gt=0, promised_count__gt=0)
        | Q(promised_count__gt=F("count"))
    )
    for piece in wrong.select_related("fabric").order_by("pk").iterator():
        yield Breach(
            rule=FREE, piece=piece.pk, sentence=f"More of {piece} is promised than is free."
        )


@register(CUTTINGS)
def cuttings_and_movements_agree() -> Iterator[Breach]:
    """What a project says was cut stands in the ledger, and is undone there and here alike."""
    rows = Movement.objects.filter(act=OuterRef("act"))
    undone = Exists(rows.filter(undone_by__isnull=False))
    cuttings = CuttingDone.objects.exclude(kind=ActKind.CHANGED).order_by("pk")
    for done in cuttings.filter(~Exists(rows)).iterator():
        yield Breach(
            rule=CUTTINGS,
            act=done.act,
            sentence=f"{done} was booked for a project, but the ledger has no such act.",
        )
    differing = cuttings.filter(
        Q(undone, undone_at=None) | Q(Exists(rows), ~undone, undone_at__isnull=False)
    )
    for done in differing.iterator():
        yield Breach(
            rule=CUTTINGS,
            act=done.act,
            sentence=f"{done} is undone on one side only, ledger or project.",
        )
    others = (
        CuttingDone.objects.annotate(person=F("project__owner"))
        .filter(Exists(rows.exclude(owner=OuterRef("project__owner"))))
        .order_by("pk")
    )
    for done in others.iterator():
        yield Breach(rule=CUTTINGS, act=done.act, sentence=f"{done} moved another person's cloth.")


@register(PURCHASES)
def purchase_is_shelved_once() -> Iterator[Breach]:
    twice = (
        Purchase.objects.exclude(piece=None)
        .order_by()
        .values("piece")
        .annotate(times=Count("pk"))
        .filter(times__gt=1)
    )
    for row in twice:
        yield Breach(
            rule=PURCHASES,
            piece=row["piece"],
            sentence=f"{row['times']} purchases say that they became one piece.",
        )
    acquired = Movement.objects.filter(piece=OuterRef("piece"), kind=Kind.ACQUIRED)
    for purchase in Purchase.objects.exclude(piece=None).filter(~Exists(acquired)).order_by("pk"):
        yield Breach(
            rule=PURCHASES,
            piece=purchase.piece_id,
            sentence=f"What was {purchase} became a piece that was not acquired.",
        )


@register(PLANS)
def plans_and_drawings_can_be_read() -> Iterator[Breach]:
    for answer in Coverage.objects.select_related("part").order_by("pk").iterator(chunk_size=100):
        yield from cannot_be_read(
            partial(_read, answer.answer),
            f"The answer for {answer.part} ({answer.part_id})",
            PLANS,
        )
    for drawing in QuiltDrawing.objects.order_by("pk").iterator(chunk_size=100):
        yield from cannot_be_read(
            partial(Layout.from_dict, drawing.layout),
            f"The drawing of project {drawing.project_id}",
            PLANS,
        )


def _read(answer: dict[str, Any]) -> object:
    return SavedAnswer.from_document(answer), plans_in(answer)
