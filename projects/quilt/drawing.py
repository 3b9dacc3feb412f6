"""The drawing of a quilt: its layout, tied to the parts of its project, kept in one act."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from typing import Any

from django.db.models import Prefetch

from projects.models import DrawnRole, Part, Project, QuiltDrawing, Role
from projects.needs.quilt import QuiltSize
from projects.needs.sewing_rules import NeededCut
from projects.planning.allowances import planning_width
from projects.planning.cloth.greys import usual_grey, wanted_grey
from projects.planning.cut_lists.filling import usable_width
from projects.planning.cut_lists.lines import sewing_of
from projects.planning.parts import add_part
from projects.quilt.lying import role_without_block
from projects.quilt_design.drawing.svg_picture import letters_for
from projects.quilt_design.layouts.layout import (
    Layout,
    LayoutError,
    Methods,
    cut_list,
    finished_size,
)
from stash.acts import act_of
from stash.lengths import Unit
from stash.models import Fabric

__all__ = [
    "DrawingError",
    "Drawn",
    "drawable_parts",
    "drawn_of",
    "grey_of",
    "remove_drawing",
    "save_drawing",
    "suggested_part",
    "usual_role",
]

logger = logging.getLogger(__name__)


class DrawingError(ValueError):
    """What cannot be done with a drawing now; the message says what would be accepted."""


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A layout and the parts its roles are cut from; saved or only thought of.

    ``layout`` names its roles in words; a role without a part is not among ``parts``.
    """

    project: Project
    layout: Layout
    methods: Methods
    parts: Mapping[str, Part]
    drawing: QuiltDrawing | None = None

    @property
    def roles(self) -> tuple[str, ...]:
        return self.layout.parts

    @cached_property
    def tied_parts(self) -> tuple[Part, ...]:
        """The parts in the order of the layout, each once."""
        found = (self.parts[role] for role in self.roles if role in self.parts)
        return tuple({part.pk: part for part in found}.values())

    @cached_property
    def tied(self) -> Layout:
        """The layout with the keys of the parts in place of the roles."""
        return _with_keys(self.layout, {role: str(part.pk) for role, part in self.parts.items()})

    @cached_property
    def letters(self) -> dict[str, str]:
        """A letter for each key of the tied layout."""
        return letters_for(self.tied.parts)

    @cached_property
    def size(self) -> QuiltSize:
        return finished_size(self.layout)

    @cached_property
    def names(self) -> dict[str, str]:
        """What each key of the tied layout is called: its part, or the role without one."""
        named = {str(part.pk): part.name for part in self.tied_parts}
        return {key: named.get(key, key.capitalize()) for key in self.tied.parts}

    @property
    def picture_size(self) -> tuple[int, int]:
        """Width and height of a picture, for its place on a page."""
        longer = max(self.size.width, self.size.length)
        return round(1000 * self.size.width / longer), round(1000 * self.size.length / longer)

    def roles_of(self, key: str) -> tuple[str, ...]:
        """The roles that one key of the tied layout stands for."""
        return tuple(
            role
            for role in self.roles
            if (str(self.parts[role].pk) if role in self.parts else role) == key
        )

    def cuts(self, units: Unit) -> Mapping[str, tuple[NeededCut, ...]]:
        """The cut list by key; border strips are counted on the narrowest cloth chosen.

        Raises
        ------
        NeedsError
            A size cannot be cut, such as a border wider than the cloth.
        """
        widths = [planning_width(self.project)]
        if self.methods.border_grain == "crosswise":
            widths += [usable_width(part) for part in self._border_parts]
        return cut_list(
            self.tied,
            sewing=sewing_of(self.project, units),
            usable_width=min(widths),
            methods=self.methods,
        )

    @property
    def _border_parts(self) -> list[Part]:
        borders = (self.parts.get(border.part) for border in self.layout.borders)
        return list({part.pk: part for part in borders if part is not None}.values())

    def stored(self) -> dict[str, Any]:
        return {**self.layout.to_dict(), "methods": asdict(self.methods)}


def _with_keys(layout: Layout, keys: Mapping[str, str]) -> Layout:
    def key(role: str) -> str:
        return keys.get(role, role)

    sash = layout.sashing
    if sash is not None:
        stones = None if sash.cornerstone is None else key(sash.cornerstone)
        sash = replace(sash, part=key(sash.part), cornerstone=stones)
    return replace(
        layout,
        blocks=tuple(block.tied(keys) for block in layout.blocks),
        side_part=key(layout.side_part),
        corner_part=key(layout.corner_part),
        sashing=sash,
        borders=tuple(
            replace(border, part=key(border.part), corners=tuple(map(key, border.corners)))
            for border in layout.borders
        ),
    )


def drawable_parts(project: Project) -> list[Part]:
    """The project's parts with what drawing and comparing them needs, in few queries."""
    fabrics = Fabric.objects.in_stash().select_related("main_photo").order_by("name", "pk")
    # Asked anew: the project may come with parts that were read for something else.
    parts = Part.objects.filter(project=project)
    parts = parts.prefetch_related("cuts", Prefetch("fabrics", fabrics))
    found = list(parts)
    for part in found:
        part.project = project
    return found


def drawn_of(project: Project, parts: Sequence[Part] | None = None) -> Drawn | None:
    """The saved drawing, or None; one that cannot be read counts as none, and is left as it is."""
    drawing = QuiltDrawing.objects.filter(project=project).prefetch_related("roles").first()
    if drawing is None:
        return None
    known = {part.pk: part for part in (drawable_parts(project) if parts is None else parts)}
    ties = {tie.role: known[tie.part_id] for tie in drawing.roles.all() if tie.part_id in known}
    try:
        layout = Layout.from_dict(drawing.layout)
        methods = Methods(**drawing.layout["methods"])
    except (LayoutError, KeyError, TypeError) as error:
        logger.warning("The drawing of project %s is passed over: %s", project.pk, error)
        return None
    return Drawn(
        project=project,
        drawing=drawing,
        layout=layout,
        methods=methods,
        parts={role: ties[role] for role in layout.parts if role in ties},
    )


# --- which part a role is cut from, unless somebody says otherwise ---

_ROLES: dict[str, Role] = {
    **dict.fromkeys(("background", "sky", "second", "light", "corners"), Role.BACKGROUND),
    **dict.fromkeys(("side triangles", "corner triangles"), Role.BACKGROUND),
    **dict.fromkeys(("squares", "first", "pattern", "points", "goose"), Role.FEATURE),
    **dict.fromkeys(("middle", "dark"), Role.FEATURE),
    **dict.fromkeys(("third", "centre", "cornerstones"), Role.ACCENT),
    "sashing": Role.SASHING,
}
_NAMED = (Role.ACCENT, Role.OTHER)


def _usual(role: str) -> tuple[Role, int | None]:
    """The role in the project, and the number of a border."""
    if role.startswith("corner square"):
        return Role.ACCENT, None
    if role.startswith("border"):
        return Role.BORDER, int(role.removeprefix("border"))
    own = role_without_block(role)
    if own == "squares" and own != role:
        return Role.BACKGROUND, None  # plain squares between other blocks
    return _ROLES.get(own, Role.OTHER), None


def usual_role(role: str) -> Role:
    """What a role of a drawing usually is in a project."""
    return _usual(role)[0]


def grey_of(role: str, part: Part | None) -> float:
    """L* of what stands for the cloth of a role: as its part wants it, or as is usual."""
    return usual_grey(usual_role(role)) if part is None else wanted_grey(part)


def suggested_part(role: str, parts: Sequence[Part]) -> Part | None:
    """The first part of the project that plays such a role, or None: it has to be made."""
    wanted, number = _usual(role)
    for part in parts:
        if part.role != wanted or (number is not None and part.number != number):
            continue
        # An accent that is called something else is another accent.
        if wanted not in _NAMED or part.title.lower() in ("", role):
            return part
    return None


def _add_part_for(project: Project, role: str) -> Part:
    wanted, number = _usual(role)
    part = add_part(project=project, role=wanted)
    if number is not None:
        part.number = number
        part.save(update_fields=["number"])
    elif wanted in _NAMED or project.parts.filter(role=wanted).count() > 1:
        part.title = role.capitalize()
        part.save(update_fields=["title"])
    return part


@act_of("drawn.project.owner_id")
def save_drawing(*, drawn: Drawn) -> Drawn:
    """Keep the drawing, make the parts it lacks, and give the project its finished size.

    Cut lists stay as they are.
    """
    project = Project.objects.select_for_update().get(pk=drawn.project.pk)
    drawing, _ = QuiltDrawing.objects.update_or_create(
        project=project, defaults={"layout": drawn.stored()}
    )
    ties, made = dict(drawn.parts), list[Part]()
    for role in drawn.roles:
        if role not in ties:
            # Roles that are usually the same part, such as the triangles at the rim, share it.
            ties[role] = suggested_part(role, made) or _add_part_for(project, role)
            made.append(ties[role])
    drawing.roles.all().delete()
    DrawnRole.objects.bulk_create(
        DrawnRole(drawing=drawing, role=role, part=part) for role, part in ties.items()
    )
    project.finished_width, project.finished_length = drawn.size.width, drawn.size.length
    project.save(update_fields=["finished_width", "finished_length", "updated_at"])
    return replace(drawn, project=project, drawing=drawing, parts=ties)


@act_of("drawing.project.owner_id")
def remove_drawing(*, drawing: QuiltDrawing) -> None:
    """Take the drawing away; parts, cut lists and the finished size stay."""
    drawing.delete()
