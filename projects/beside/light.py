"""How light the quilt will be, with the cloth that is chosen and with what is tried."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from projects.models import Part, Project, Role
from projects.picture.picture import ProjectPicture, picture_of
from projects.planning.cloth.pictures import flat_cloth_of
from projects.planning.cloth.trying import Tried
from projects.quilt.drawing import Drawn, drawn_of
from projects.quilt.picture import Dressed
from projects.quilt_design.drawing.patch import Patch
from projects.quilt_design.forecast.change import change
from projects.quilt_design.forecast.forecast import Forecast, forecast
from stash.models import Fabric

__all__ = ["Light", "OnLine", "light_of", "value_line"]

#: What is not seen from the front.
_UNSEEN = (Role.BACKING, Role.BATTING)


@dataclass(frozen=True, kw_only=True)
class Light:
    """The forecast as it would be, and in a sentence what trying changes.

    ``is_about``: by the area of the parts, because nothing is drawn.
    """

    forecast: Forecast
    change: str
    is_about: bool
    is_estimate: bool

    @property
    def has_value(self) -> bool:
        return self.forecast.value is not None


@dataclass(frozen=True, kw_only=True)
class OnLine:
    """One cloth on the line from dark to light, and the parts that it is for."""

    fabric: Fabric
    parts: tuple[str, ...]
    is_tried: bool


def light_of(project: Project, parts: Sequence[Part], tried: Tried) -> Light | None:
    """The forecast by the drawing, or about, by the area of the parts; nothing without cloth."""
    drawn = drawn_of(project, parts)
    chosen, shown = _pictured(project, parts, tried) if drawn is None else _as_drawn(drawn, tried)
    if not shown.patches:
        return None
    fabrics = {**chosen.fabrics, **shown.fabrics}
    cloths = {key: flat_cloth_of(fabric) for key, fabric in fabrics.items()}
    after = forecast(shown.patches, cloths)
    changed = ""
    if tried:
        before = forecast(chosen.patches, cloths)
        if before.value is not None and after.value is not None:
            changed = change(before, after, cloths).sentence
    used = {patch.cloth for patch in shown.patches}
    return Light(
        forecast=after,
        change=changed,
        is_about=drawn is None,
        is_estimate=any(
            fabric.is_estimate or fabric.far_lab is None
            for key, fabric in shown.fabrics.items()
            if key in used
        ),
    )


@dataclass(frozen=True, kw_only=True)
class _Seen:
    """The patches that are seen from the front, and their fabrics by key."""

    patches: tuple[Patch, ...]
    fabrics: Mapping[str, Fabric]


def _as_drawn(drawn: Drawn, tried: Tried) -> tuple[_Seen, _Seen]:
    """With what is chosen, and with what is tried."""
    chosen = _of(Dressed.of(drawn))
    own = {str(part): fabric for part, fabric in tried.fabrics.items()}
    return chosen, _of(Dressed.of(drawn, own)) if own else chosen


def _of(dressed: Dressed) -> _Seen:
    fabrics = {str(key): fabric for key, fabric in dressed.all_fabrics.items()}
    return _Seen(patches=dressed.patches, fabrics=fabrics)


def _pictured(project: Project, parts: Sequence[Part], tried: Tried) -> tuple[_Seen, _Seen]:
    """As the picture shows it where nothing is drawn, without what lies below."""
    unseen = {str(part.pk) for part in parts if part.role in _UNSEEN}

    def seen(picture: ProjectPicture) -> _Seen:
        patches = tuple(patch for patch in picture.patches if patch.part not in unseen)
        return _Seen(patches=patches, fabrics=picture.fabrics)

    chosen = seen(picture_of(project, parts))
    return chosen, seen(picture_of(project, parts, tried=tried)) if tried else chosen


def value_line(parts: Sequence[Part], tried: Tried) -> list[OnLine]:
    """The cloth that is seen, what is tried in place of what is chosen, from dark to light."""
    used: dict[int, tuple[Fabric, list[str]]] = {}
    for part in parts:
        if part.not_needed or part.role in _UNSEEN:
            continue
        own = tried.of(part.pk)
        for fabric in part.fabrics.all() if own is None else [own]:
            used.setdefault(fabric.pk, (fabric, []))[1].append(part.name)
    known = [(fabric, names) for fabric, names in used.values() if fabric.value is not None]
    known.sort(key=lambda cloth: (cloth[0].value, cloth[0].name, cloth[0].pk))
    new = {fabric.pk for fabric in tried.fabrics.values()}
    return [
        OnLine(fabric=fabric, parts=tuple(names), is_tried=fabric.pk in new)
        for fabric, names in known
    ]
