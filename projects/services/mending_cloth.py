"""Cloth that may mend a part: kept back, promised elsewhere, or another that looks alike."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Prefetch

from projects.models import Part, Promise
from projects.services.mending_try import Alike, Try
from projects.services.trial import Trial
from stash.colour.cielab import Lab
from stash.finding.store import columns_of
from stash.lengths import format_length
from stash.models import Fabric, Piece

__all__ = ["alike_tries", "cloth_tries"]

_MOST_PROMISES = 3
_MOST_ALIKE = 5
# How many of the nearest colours are looked at before the other conditions decide.
_NEAREST = 200


def cloth_tries(trial: Trial) -> Iterator[Try]:
    """Cloth of the chosen fabrics that is there, but not free."""
    chosen = {fabric.pk for fabric in trial.part.fabrics.all()}
    own = [piece for piece in trial.pieces if piece.fabric_id in chosen]
    for piece in own:
        if piece.keep_back:
            kept = format_length(piece.keep_back, units=trial.units)
            yield Try(
                kind="keep-back",
                sentence=f"Use the {kept} of {piece.fabric.name} that you keep back.",
                cost="Nothing is then kept of that piece.",
                trial=trial.with_piece(piece.pk, keep_back=0),
            )
    yield from _promised(trial, own)


def _promised(trial: Trial, own: list[Piece]) -> Iterator[Try]:
    """Promises to parts that are not asked together with this one, most cloth first."""
    together = [question.part.pk for question in trial.questions()]
    promises = (
        Promise.objects.filter(piece__in=own)
        .exclude(part__in=together)
        .select_related("part__project", "piece__fabric")
        .order_by("-length", "-count", "pk")[:_MOST_PROMISES]
    )
    pieces = {piece.pk: piece for piece in own}
    for promise in promises:
        piece = pieces[promise.piece_id]
        amount = (
            f"{promise.count} of"
            if promise.count
            else f"{format_length(promise.length, units=trial.units)} of"
        )
        where = f"{promise.part.name}, {promise.part.project.name}"
        yield Try(
            kind="promise",
            sentence=f"Use the {amount} {piece.fabric.name} promised to {where}.",
            cost=f"{where} then needs other cloth.",
            trial=trial.with_piece(
                piece.pk,
                promised_length=piece.promised_length - promise.length,
                promised_count=piece.promised_count - promise.count,
            ),
        )


def alike_tries(trial: Trial, alike: Alike) -> Iterator[Try]:
    """Fabrics of the stash within the stated distances, nearest first: alone, then as well."""
    part = trial.part
    chosen = sorted(part.fabrics.all(), key=lambda fabric: fabric.pk)
    target = next((one.far_lab for one in chosen if one.far_lab), None) or part.want_lab
    if target is None:
        return
    found = _alike(part, target, alike)
    pieces = Piece.objects.available().select_related("fabric").order_by("pk")
    fabrics = (
        Fabric.objects.owned_by(part.project.owner)
        .in_stash()
        .prefetch_related(Prefetch("pieces", pieces, to_attr="free_pieces"))
        .in_bulk([key for key, _ in found])
    )
    shown = [(fabrics[key], difference) for key, difference in found if key in fabrics]
    for fabric, difference in [one for one in shown if one[0].free_pieces][:_MOST_ALIKE]:
        said = f"Its colour differs by {difference:.1f} (CIEDE2000)"
        if fabric.value is not None:
            said += f", its value by {abs(fabric.value - target[0] / 10):.1f}"
        cost = f"{said}: lay both side by side first."
        yield Try(
            kind="alike",
            sentence=f"Cut it from {fabric.name} alone.",
            cost=cost,
            trial=trial.with_fabrics([fabric.pk], fabric.free_pieces),
            fabric=fabric,
            whole=True,
        )
        if chosen:
            yield Try(
                kind="alike",
                sentence=f"Cut from {fabric.name} as well.",
                cost=f"{cost} Two fabrics are mixed in this part.",
                trial=trial.with_fabrics(
                    [*(one.pk for one in chosen), fabric.pk], fabric.free_pieces
                ),
                fabric=fabric,
            )


def _alike(part: Part, target: Lab, alike: Alike) -> list[tuple[int, float]]:
    """Keys of fabrics not chosen yet, with their difference in far colour, nearest first."""
    columns = columns_of(part.project.owner)
    chosen = {fabric.pk for fabric in part.fabrics.all()}
    rows, differences = columns.far_index.nearest(target, _NEAREST)
    low = 0.0 if part.value_low is None else part.value_low
    high = 10.0 if part.value_high is None else part.value_high
    found = []
    for row, difference in zip(rows.tolist(), differences.tolist(), strict=True):
        key, lightness = int(columns.fabrics.key[row]), float(columns.fabrics.value[row])
        if key in chosen or difference > alike.difference:
            continue
        if low <= lightness <= high and abs(lightness - target[0] / 10) <= alike.value_step:
            found.append((key, difference))
    return found
