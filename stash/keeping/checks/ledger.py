"""The ledger and the shelf say the same, in exact lengths."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import BigIntegerField, Exists, F, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce

from stash.keeping.checks.rules import Breach, register
from stash.lengths import format_length
from stash.models import Movement, Piece
from stash.models.movement import Kind

__all__: list[str] = []

SUMS, AREA, UNDOING, BEGINNING, LENT = (
    "the ledger's sums are the shelf",
    "no more comes back than was cut",
    "an undoing takes back one whole act",
    "every piece came from somewhere",
    "what is lent is in the ledger",
)


@register(SUMS)
def sums_are_the_shelf() -> Iterator[Breach]:
    wrong = Piece.objects.annotate(
        width_told=Coalesce(Sum("movements__width_delta"), 0),
        length_told=Coalesce(Sum("movements__length_delta"), 0),
        count_told=Coalesce(Sum("movements__count_delta"), 0),
    ).exclude(width=F("width_told"), length=F("length_told"), count=F("count_told"))
    for piece in wrong.select_related("fabric").order_by("pk").iterator():
        yield Breach(
            rule=SUMS,
            piece=piece.pk,
            sentence=(
                f"{piece} is {_size(piece.width, piece.length, piece.count)}, but its movements "
                f"add up to {_size(piece.width_told, piece.length_told, piece.count_told)}."
            ),
        )


@register(BEGINNING)
def every_piece_came_from_somewhere() -> Iterator[Breach]:
    """One movement brought it, and that is its first."""
    brought = Movement.objects.filter(piece=OuterRef("pk"), kind__in=(Kind.ACQUIRED, Kind.RETURNED))
    first = Movement.objects.filter(piece=OuterRef("pk")).order_by("pk").values("kind")[:1]
    wrong = Piece.objects.annotate(first=Subquery(first)).filter(
        ~Exists(brought) | ~Q(first__in=(Kind.ACQUIRED, Kind.RETURNED))
    )
    for piece in wrong.select_related("fabric").order_by("pk").iterator():
        yield Breach(
            rule=BEGINNING, piece=piece.pk, sentence=f"No movement tells how {piece} came here."
        )
    again = (
        Movement.objects.filter(kind__in=(Kind.ACQUIRED, Kind.RETURNED))
        .filter(
            Exists(
                Movement.objects.filter(
                    piece=OuterRef("piece"),
                    kind__in=(Kind.ACQUIRED, Kind.RETURNED),
                    pk__lt=OuterRef("pk"),
                )
            )
        )
        .select_related("piece__fabric")
        .order_by("pk")
    )
    for row in again.iterator():
        yield Breach(
            rule=BEGINNING,
            piece=row.piece_id,
            act=row.act,
            sentence=f"{row.piece} came here twice.",
        )


@register(AREA)
def no_more_comes_back_than_was_cut() -> Iterator[Breach]:
    """Per act and cut piece: the area of the remnants is at most the area that was cut off."""
    area = BigIntegerField()
    earlier = Movement.objects.filter(piece=OuterRef("piece"), pk__lt=OuterRef("pk"))
    returned = (
        Movement.objects.filter(
            act=OuterRef("act"), kind=Kind.RETURNED, piece__cut_from=OuterRef("piece")
        )
        .order_by()
        .values("act")
        .annotate(area=Sum(F("width_delta") * F("length_delta") * F("count_delta")))
        .values("area")
    )
    cuts = (
        Movement.objects.filter(kind=Kind.CUT)
        .annotate(
            width=_so_far(earlier, "width_delta"),
            length=_so_far(earlier, "length_delta"),
            returned=Coalesce(Subquery(returned, output_field=area), 0),
        )
        .annotate(cut=F("width") * F("length") * -F("count_delta") - F("width") * F("length_delta"))
        .filter(returned__gt=F("cut"))
        .select_related("piece__fabric")
        .order_by("pk")
    )
    for row in cuts.iterator():
        yield Breach(
            rule=AREA,
            piece=row.piece_id,
            act=row.act,
            sentence=f"More cloth came back of {row.piece} than was cut off it.",
        )
    orphans = (
        Movement.objects.filter(kind=Kind.RETURNED, piece__cut_from__isnull=False)
        .filter(
            ~Exists(
                Movement.objects.filter(
                    act=OuterRef("act"), kind=Kind.CUT, piece=OuterRef("piece__cut_from")
                )
            )
        )
        .select_related("piece__fabric")
        .order_by("pk")
    )
    for row in orphans.iterator():
        yield Breach(
            rule=AREA,
            piece=row.piece_id,
            act=row.act,
            sentence=f"{row.piece} came back from a piece that was not cut in that act.",
        )


@register(UNDOING)
def undoing_takes_back_one_whole_act() -> Iterator[Breach]:
    """Each undoing row is the opposite of its row, and leaves none of that act standing."""
    rows = Movement.objects.filter(kind=Kind.UNDONE).select_related("undoes", "piece__fabric")
    brought = Q(undoes__kind__in=(Kind.ACQUIRED, Kind.RETURNED))
    opposite = Q(count_delta=-F("undoes__count_delta"), piece=F("undoes__piece")) & (
        Q(brought, width_delta=0, length_delta=0)
        | Q(
            ~brought,
            width_delta=-F("undoes__width_delta"),
            length_delta=-F("undoes__length_delta"),
        )
    )
    for row in rows.exclude(opposite).order_by("pk").iterator():
        yield Breach(
            rule=UNDOING,
            piece=row.piece_id,
            act=row.act,
            sentence=f"What was undone of {row.piece} is not what was done.",
        )
    standing = (
        Movement.objects.filter(undone_by=None)
        .filter(Exists(Movement.objects.filter(act=OuterRef("act"), undone_by__isnull=False)))
        .select_related("piece__fabric")
        .order_by("pk")
    )
    for row in standing.iterator():
        yield Breach(
            rule=UNDOING,
            piece=row.piece_id,
            act=row.act,
            sentence=f"An act was undone, but not what it did to {row.piece}.",
        )
    of_two = (
        rows.filter(
            Exists(
                Movement.objects.filter(act=OuterRef("act"), undoes__isnull=False).exclude(
                    undoes__act=OuterRef("undoes__act")
                )
            )
        )
        .order_by("pk")
        .iterator()
    )
    for row in of_two:
        yield Breach(
            rule=UNDOING,
            piece=row.piece_id,
            act=row.act,
            sentence=f"One undoing took back {row.piece} and what another act did.",
        )


@register(LENT)
def what_is_lent_is_in_the_ledger() -> Iterator[Breach]:
    """So many of each piece are out of the house as were lent and did not come back."""
    lending = (Kind.LENT, Kind.CAME_BACK)
    rows = Movement.objects.filter(
        Q(kind__in=lending) | Q(undoes__kind__in=lending), piece=OuterRef("pk")
    )
    gone = rows.order_by().values("piece").annotate(sum=Sum("count_delta")).values("sum")
    wrong = Piece.objects.annotate(
        gone=Coalesce(Subquery(gone, output_field=BigIntegerField()), 0)
    ).exclude(lent_count=-F("gone"))
    for piece in wrong.select_related("fabric").order_by("pk").iterator():
        yield Breach(
            rule=LENT,
            piece=piece.pk,
            sentence=f"{piece.lent_count} of {piece} count as lent, but its movements tell of "
            f"{-piece.gone}.",
        )


def _so_far(earlier: object, name: str) -> Coalesce:
    sums = earlier.order_by().values("piece").annotate(sum=Sum(name)).values("sum")  # type: ignore[attr-defined]
    return Coalesce(Subquery(sums, output_field=BigIntegerField()), 0)


def _size(width: int, length: int, count: int) -> str:
    return f"{count} of {format_length(width)} x {format_length(length)} ({width} x {length} units)"
