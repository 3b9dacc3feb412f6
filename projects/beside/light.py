"""How light the quilt will be, with the cloth that is chosen and with what is tried."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from projects.models import Part, Project, Role
from projects.planning.cloth.pictures import flat_cloth_of
from projects.planning.cloth.trying import Tried
from projects.quilt.drawing import drawn_of
from projects.quilt.picture import Dressed
from projects.quilt_design.forecast.change import change
from projects.quilt_design.forecast.forecast import Forecast, forecast
from stash.models import Fabric

__all__ = ["Light", "OnLine", "light_of", "value_line"]

#: What is not seen from the front.
_UNSEEN = (Role.BACKING, Role.BATTING)


@dataclass(frozen=True, kw_only=True)
class Light:
    """The forecast as it would be, and in a sentence what trying changes."""

    forecast: Forecast
    change: str
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
    """The forecast by the drawing; nothing where there is none yet."""
    drawn = drawn_of(project, parts)
    if drawn is None:
        return None
    chosen = Dressed.of(drawn)
    shown = Dressed.of(drawn, {str(part): fabric for part, fabric in tried.fabrics.items()})
    fabrics = {**chosen.all_fabrics, **shown.all_fabrics}
    cloths = {str(key): flat_cloth_of(fabric) for key, fabric in fabrics.items()}
    after = forecast(shown.patches, cloths)
    changed = ""
    if tried:
        before = forecast(chosen.patches, cloths)
        if before.value is not None and after.value is not None:
            changed = change(before, after, cloths).sentence
    return Light(
        forecast=after,
        change=changed,
        is_estimate=any(
            fabric.is_estimate or fabric.far_lab is None for fabric in shown.all_fabrics.values()
        ),
    )


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
