"""Cloth that may mend a part: kept back, promised elsewhere, or another that looks alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Prefetch

from projects.coverage.intentions import left_to
from projects.coverage.wording import wants
from projects.mending.changes import Alike, Attempt, FieldChange
from projects.mending.scenario import Scenario
from projects.models import Part, Promise
from stash.colour.spaces.cielab import Lab
from stash.finding.columns.store import columns_of
from stash.lengths import format_length
from stash.models import Fabric, Piece

__all__ = ["alike_attempts", "cloth_attempts"]

_MOST_PROMISES = 3
_MOST_ALIKE = 5
_MOST_TARGETS = 4
# How many of the nearest colours are looked at before the other conditions decide.
_NEAREST = 200


def cloth_attempts(scenario: Scenario) -> Iterator[Attempt]:
    """Cloth of the chosen fabrics that is there, but not free."""
    chosen = {fabric.pk for fabric in scenario.part.fabrics.all()}
    own = [piece for piece in scenario.pieces if piece.fabric_id in chosen]
    for piece in own:
        if piece.keep_back:
            kept = format_length(piece.keep_back, units=scenario.units)
            yield Attempt(
                kind="keep-back",
                sentence=f"Use the {kept} of {piece.fabric.name} that you keep back.",
                cost="Nothing is then kept of that piece.",
                scenario=scenario.with_piece(piece.pk, keep_back=0),
                settings=(FieldChange.of(piece, "keep_back", 0),),
            )
    yield from _promised(scenario, own)
    yield from _competing(scenario, own)


def _competing(scenario: Scenario, own: list[Piece]) -> Iterator[Attempt]:
    """The same as if no earlier plan wanted these pieces; which of the plans holds is open then."""
    project, pieces = scenario.project, {piece.pk for piece in own}
    wanted = [
        intention
        for intention in left_to(project, scenario.intentions)
        if intention.piece.pk in pieces
    ]
    if wanted and not project.competes:
        names = " or ".join(dict.fromkeys(intention.project.name for intention in wanted))
        told = "; ".join(wants(intention, scenario.units) for intention in wanted)
        yield Attempt(
            kind="compete",
            sentence=f"Let the plans compete: {told}.",
            cost=f"Then neither is sure: whichever is cut first has the cloth, {project.name} or"
            f" {names}. All of {project.name} is planned so.",
            scenario=scenario.supposing(competes=True),
            unless=names,
            settings=(FieldChange.of(project, "competes", True),),
        )


def _promised(scenario: Scenario, own: list[Piece]) -> Iterator[Attempt]:
    """Promises to parts that are not asked together with this one, most cloth first."""
    together = [question.part.pk for question in scenario.questions()]
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
            else f"{format_length(promise.length, units=scenario.units)} of"
        )
        where = f"{promise.part.name}, {promise.part.project.name}"
        yield Attempt(
            kind="promise",
            sentence=f"Use the {amount} {piece.fabric.name} promised to {where}.",
            cost=f"{where} then needs other cloth.",
            scenario=scenario.with_piece(
                piece.pk,
                promised_length=piece.promised_length - promise.length,
                promised_count=piece.promised_count - promise.count,
            ),
        )


def alike_attempts(scenario: Scenario, alike: Alike) -> Iterator[Attempt]:
    """Fabrics of the stash within the stated distances, nearest first: alone, then as well."""
    part = scenario.part
    chosen = sorted(part.fabrics.all(), key=lambda fabric: fabric.pk)
    found = _alike(part, chosen, alike)
    pieces = Piece.objects.available().select_related("fabric__main_photo").order_by("pk")
    fabrics = (
        Fabric.objects.owned_by(part.project.owner)
        .in_stash()
        .prefetch_related(Prefetch("pieces", pieces, to_attr="free_pieces"))
        .in_bulk([match.key for match in found])
    )
    shown = [(fabrics[match.key], match) for match in found if match.key in fabrics]
    for fabric, likeness in [match for match in shown if match[0].free_pieces][:_MOST_ALIKE]:
        cost = _cost(fabric, likeness)
        yield Attempt(
            kind="alone",
            sentence=f"Cut it from {fabric.name} alone.",
            cost=cost,
            scenario=scenario.with_fabrics([fabric.pk], fabric.free_pieces),
            fabric=fabric,
            whole=True,
        )
        if chosen:
            yield Attempt(
                kind="alike",
                sentence=f"Cut from {fabric.name} as well.",
                cost=f"{cost} This part then mixes fabrics.",
                scenario=scenario.with_fabrics(
                    [*(fabric.pk for fabric in chosen), fabric.pk], fabric.free_pieces
                ),
                fabric=fabric,
            )


@dataclass(frozen=True, kw_only=True)
class _Likeness:
    """How far a fabric is from what it is like: a chosen fabric, or the part's want."""

    key: int
    difference: float
    value_step: float
    like: Fabric | None


def _cost(fabric: Fabric, likeness: _Likeness) -> str:
    like = likeness.like.name if likeness.like else "the colour wanted"
    sentence = (
        f"Differs from {like} by {likeness.difference:.1f} (CIEDE2000)"
        f" and {likeness.value_step:.1f} in value"
    )
    if fabric.is_estimate or (likeness.like is not None and likeness.like.is_estimate):
        sentence += ", an estimate from a photo without a reference"
    return f"{sentence}: lay the cloth side by side first."


def _targets(part: Part, chosen: list[Fabric]) -> list[tuple[Lab, float, Fabric | None]]:
    """The colours and values to come near: those of the chosen fabrics, else the want."""
    found: list[tuple[Lab, float, Fabric | None]] = [
        (lab, lab[0] / 10 if fabric.value is None else fabric.value, fabric)
        for fabric in chosen
        if (lab := fabric.far_lab) is not None
    ]
    if not found and part.want_lab is not None:
        found.append((part.want_lab, part.want_lab[0] / 10, None))
    return found[:_MOST_TARGETS]


def _alike(part: Part, chosen: list[Fabric], alike: Alike) -> list[_Likeness]:
    """Fabrics not chosen yet, each beside the target that it is nearest to, nearest first."""
    columns = columns_of(part.project.owner)
    taken = {fabric.pk for fabric in chosen}
    low = 0.0 if part.value_low is None else part.value_low
    high = 10.0 if part.value_high is None else part.value_high
    nearest: dict[int, _Likeness] = {}
    for lab, lightness, like in _targets(part, chosen):
        rows, differences = columns.far_index.nearest(lab, _NEAREST)
        for row, difference in zip(rows.tolist(), differences.tolist(), strict=True):
            key, own = int(columns.fabrics.key[row]), float(columns.fabrics.value[row])
            if key in taken or difference > alike.difference or not low <= own <= high:
                continue
            step = abs(own - lightness)
            if step <= alike.value_step and (
                key not in nearest or difference < nearest[key].difference
            ):
                nearest[key] = _Likeness(key=key, difference=difference, value_step=step, like=like)
    return sorted(nearest.values(), key=lambda match: (match.difference, match.key))
