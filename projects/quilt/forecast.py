"""How light a drawn quilt will be: by part, by band, and against the drawing that is saved."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from projects.models import Part, Project
from projects.planning.cloth.choosing import candidates
from projects.planning.cloth.pictures import flat_cloth_of, scale_of
from projects.quilt.picture import Dressed
from projects.quilt_design.forecast.change import change
from projects.quilt_design.forecast.forecast import Forecast, forecast
from stash.models import Fabric

__all__ = ["DrawnPart", "Outlook", "fabrics_to_try", "outlook_of"]


@dataclass(frozen=True, kw_only=True)
class DrawnPart:
    """One part of the drawing: its letter, what it covers, and the fabrics it is drawn in.

    ``reason`` tells why several fabrics are drawn as they are. ``share`` is of the whole surface;
    ``part`` is None where it has still to be made.
    """

    key: str
    letter: str
    name: str
    part: Part | None
    roles: tuple[str, ...]
    share: float
    fabrics: tuple[Fabric, ...]
    is_tried: bool
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """The forecast, its parts in the order of their letters, and what it rests on."""

    forecast: Forecast
    parts: tuple[DrawnPart, ...]
    change: str
    estimates: tuple[Fabric, ...]
    unread: tuple[Fabric, ...]  # drawn mid grey as a stand-in, from 0 to 10 in the forecast
    guessed_scales: tuple[Fabric, ...]

    @property
    def is_sure(self) -> bool:
        """Whether everything that it rests on was read beside a reference."""
        return not self.estimates and not self.unread

    @property
    def is_estimate(self) -> bool:
        return not self.is_sure

    @property
    def has_value(self) -> bool:
        return self.forecast.value is not None

    @property
    def gap(self) -> float | None:
        if self.forecast.value is None or self.forecast.naive is None:
            return None
        return self.forecast.value - self.forecast.naive


def outlook_of(dressed: Dressed, *, before: Dressed | None = None) -> Outlook:
    """The forecast of a drawing; with ``before``, what changes against that one."""
    used = dict(dressed.all_fabrics)
    if before is not None:
        used = {**before.all_fabrics, **used}
    cloths = {str(pk): flat_cloth_of(fabric) for pk, fabric in used.items()}
    found = forecast(dressed.patches, cloths)
    changed = ""
    if before is not None:
        changed = change(forecast(before.patches, cloths), found, cloths).sentence
    drawn_with = sorted(dressed.all_fabrics.values(), key=lambda fabric: (fabric.name, fabric.pk))
    return Outlook(
        forecast=found,
        parts=_parts(dressed, found),
        change=changed,
        estimates=tuple(fabric for fabric in drawn_with if fabric.is_estimate),
        unread=tuple(fabric for fabric in drawn_with if fabric.far_lab is None),
        guessed_scales=tuple(fabric for fabric in drawn_with if _is_guessed(fabric)),
    )


def _is_guessed(fabric: Fabric) -> bool:
    scale = scale_of(fabric)
    return scale is not None and scale.is_guess


def _parts(dressed: Dressed, found: Forecast) -> tuple[DrawnPart, ...]:
    drawn = dressed.drawn
    shares = {part.key: part.share for part in found.parts}
    parts = {str(part.pk): part for part in drawn.tied_parts}
    used = dressed.all_fabrics
    return tuple(
        DrawnPart(
            key=key,
            letter=letter,
            name=drawn.names[key],
            part=parts.get(key),
            roles=drawn.roles_of(key),
            share=shares.get(key, 0.0),
            fabrics=tuple(
                fabric
                for fabric in dict.fromkeys(dressed.fabrics.get(key, ()))
                if fabric.pk in used
            ),
            is_tried=key in dressed.tried,
            reason=dressed.reasons.get(key, ""),
        )
        for key, letter in drawn.letters.items()
    )


def fabrics_to_try(
    project: Project, parts: Sequence[Part], *, words: str, tried: Iterable[int]
) -> list[Fabric]:
    """The project's fabrics, those tried already, and what the words or the parts' wants find."""
    found = {fabric.pk: fabric for part in parts for fabric in part.fabrics.all()}
    stash = Fabric.objects.owned_by(project.owner).in_stash().select_related("main_photo")
    found |= stash.in_bulk(list(tried))
    asked = parts[:1] if words else [part for part in parts if part.want_words]
    for part in asked:
        shown, _ = candidates(part, words=words or None)
        for drawn_part in shown:
            found.setdefault(drawn_part.fabric.pk, drawn_part.fabric)
    return sorted(found.values(), key=lambda fabric: (fabric.name, fabric.pk))
