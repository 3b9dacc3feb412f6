"""The borders of a quilt from the inside out: how wide each is, and how its list is worked out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from projects.models import Cut, CutKind, Part, Role
from projects.quilt.drawing import Drawn

__all__ = ["Round", "rounds_of"]

#: What a part keeps of how its strips are joined.
_JOINING = ("join", "least", "from_corner")


@dataclass(frozen=True, kw_only=True)
class Round:
    """One border. ``width`` is finished, None where nothing tells it.

    ``needs`` is what its list is worked out with. ``is_alone``: its part is cut for this border
    and nothing else. ``is_assumed``: width and way were read off a list that somebody wrote.
    """

    number: int
    name: str
    part: Part | None
    width: int | None
    needs: Mapping[str, Any] = field(default_factory=dict)
    is_alone: bool = True
    is_assumed: bool = False


def rounds_of(parts: Sequence[Part], drawn: Drawn | None) -> tuple[Round, ...]:
    """The borders as drawn, else by the parts that are borders."""
    if drawn is not None:
        return _drawn_rounds(drawn)
    borders = [part for part in parts if part.role == Role.BORDER and not part.not_needed]
    borders.sort(key=lambda part: (part.number or 0, part.position, part.pk))
    return tuple(
        _round_of(part, number, len(borders)) for number, part in enumerate(borders, start=1)
    )


def _drawn_rounds(drawn: Drawn) -> tuple[Round, ...]:
    found = []
    borders = drawn.layout.borders
    for number, border in enumerate(borders, start=1):
        part = drawn.parts.get(border.part)
        corner_parts = {drawn.parts[role].pk for role in border.corners if role in drawn.parts}
        roles = set() if part is None else set(drawn.roles_of(str(part.pk)))
        has_corners = part is not None and corner_parts == {part.pk}
        own = {border.part, *(border.corners if has_corners else ())}
        needs: dict[str, Any] = {
            "border": border.width,
            "style": border.style,
            "grain": drawn.methods.border_grain,
            "corners": has_corners,
        }
        if part is not None:
            kept = part.filled_with
            needs |= {name: kept[name] for name in _JOINING if kept.get(name) is not None}
        found.append(
            Round(
                number=number,
                name=_name(number, len(borders)),
                part=part,
                width=border.width,
                needs=needs,
                is_alone=part is not None and part.role == Role.BORDER and roles == own,
            )
        )
    return tuple(found)


def _name(number: int, count: int) -> str:
    return "Border" if count == 1 else f"Border {number}"


def _round_of(part: Part, number: int, count: int) -> Round:
    name = _name(number, count) if not part.title else part.name
    given = part.filled_with
    if given.get("border"):
        needs = {key: value for key, value in given.items() if key != "top"}
        return Round(number=number, name=name, part=part, width=given["border"], needs=needs)
    strips = {_strip_of(cut) for cut in part.cuts.all()}
    height = strips.pop() if len(strips) == 1 else None
    seams = 2 * part.project.seam
    if height is None or height <= seams:
        return Round(number=number, name=name, part=part, width=None)
    is_across = any(cut.kind == CutKind.STRIP_ACROSS for cut in part.cuts.all())
    needs = {
        "border": height - seams,
        "style": "butted",
        "grain": "crosswise" if is_across else "lengthwise",
    }
    return Round(
        number=number,
        name=name,
        part=part,
        width=height - seams,
        needs=needs,
        is_assumed=True,
    )


def _strip_of(cut: Cut) -> int:
    """How wide the strip of a border is: its shorter side."""
    if cut.kind == CutKind.STRIP_ACROSS or cut.width is None:
        return cut.length
    return min(cut.width, cut.length)
