"""The picture of a project: every patch with its part and its cloth, and what is only tried."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from projects.models import Part, Project, Role
from projects.picture.sources import Top, drawn_top, squares_top, top_by_area
from projects.planning.cloth.greys import wanted_grey
from projects.planning.cloth.kept import keep_picture, kept_picture
from projects.planning.cloth.pictures import cloths_of, far_of
from projects.planning.cloth.trying import Tried
from projects.quilt.dealing import deal_fabrics
from projects.quilt.drawing import drawn_of
from projects.quilt_design.drawing.patch import Patch
from projects.quilt_design.drawing.render import render
from projects.quilt_design.drawing.svg_picture import letters_for
from projects.quilt_design.layers import bound, laid_open
from stash.lengths import INCH
from stash.models import Fabric

__all__ = ["SIDES", "ProjectPicture", "jpeg_of", "mark_of", "picture_of"]

#: Pixels of the longer side, by what a page asks for.
SIDES: dict[str, int] = {"card": 520, "page": 1000}
_METHOD = 1  # counts up when kept pictures would come out differently
# Of double-fold binding about 3/8 in is seen (common practice, no source); of a large quilt more
# is drawn, so that it can be made out.
_BINDING = 3 * INCH // 8
_LEAST_BINDING = 1 / 90  # of the longer side
_CORNER = 0.17  # of the shorter side


@dataclass(frozen=True, kw_only=True)
class ProjectPicture:
    """The patches of a quilt in its cloth, in length units from the top left of its binding.

    ``part`` of a patch is the number of its part as text, or something else where it has none.
    What is ``tried`` is drawn in place of the fabrics of its part.
    """

    project: Project
    parts: tuple[Part, ...]
    patches: tuple[Patch, ...]
    width: float
    height: float
    caption: str
    is_drawn: bool
    fabrics: Mapping[str, Fabric]
    tried: Tried = field(default_factory=Tried)

    @cached_property
    def letters(self) -> dict[str, str]:
        """A letter for each part that is needed, in their order."""
        return letters_for(str(part.pk) for part in self.parts)

    @cached_property
    def shown(self) -> frozenset[str]:
        """The parts that have a patch."""
        return frozenset(patch.part for patch in self.patches)

    @property
    def query(self) -> str:
        """What an address says further of the fabrics that are tried."""
        return f"&{self.tried.query}" if self.tried else ""

    def size(self, asked: str) -> tuple[int, int]:
        """Width and height in pixels of a picture of this kind."""
        longer = max(self.width, self.height)
        pixels = SIDES[asked] / longer
        return max(1, round(self.width * pixels)), max(1, round(self.height * pixels))


def picture_of(
    project: Project, parts: Sequence[Part], *, tried: Tried | None = None
) -> ProjectPicture:
    """Return the picture of the parts that are needed; they come from ``whole()``.

    Drawn as it was drawn, else as its squares lie, else by area; binding round it, and a corner
    laid open on what lies below.
    """
    needed = [part for part in parts if not part.not_needed]
    for part in needed:
        part.project = project
    top = _top(project, parts, needed)
    on_top = {patch.part for patch in top.patches}
    patches, width, height = top.patches, top.width, top.height
    by_role = {part.role: part for part in reversed(needed)}
    binding = by_role.get(Role.BINDING)
    if binding is not None and str(binding.pk) not in on_top:
        thickness = max(_BINDING, _LEAST_BINDING * max(width, height))
        patches = bound(patches, width, height, part=str(binding.pk), thickness=thickness)
        width, height = width + 2 * thickness, height + 2 * thickness
    below = [by_role[role] for role in (Role.BATTING, Role.BACKING) if role in by_role]
    patches = laid_open(
        patches,
        width,
        height,
        corner=_CORNER * min(width, height),
        layers=[str(part.pk) for part in below if str(part.pk) not in on_top],
    )
    chosen = tried or Tried()
    clothed, fabrics = _in_cloth(project, needed, patches, top, chosen)
    return ProjectPicture(
        project=project,
        parts=tuple(needed),
        patches=clothed,
        width=width,
        height=height,
        caption=top.caption,
        is_drawn=top.is_drawn,
        fabrics=fabrics,
        tried=chosen,
    )


def _top(project: Project, parts: Sequence[Part], needed: Sequence[Part]) -> Top:
    drawn = drawn_of(project, parts)
    if drawn is not None:
        return drawn_top(drawn)
    squares = project.square_sets.kept().first()  # type: ignore[attr-defined]
    if squares is not None:
        return squares_top(squares, needed)
    return top_by_area(project, needed)


def _in_cloth(
    project: Project,
    parts: Sequence[Part],
    patches: Sequence[Patch],
    top: Top,
    tried: Tried,
) -> tuple[tuple[Patch, ...], dict[str, Fabric]]:
    """Give the patches of each part its fabrics in turn, what is tried, or the grey it wants."""
    dealt = {number: found.fabrics for number, found in deal_fabrics(project, parts).items()}
    dealt |= {number: (fabric,) for number, fabric in tried.fabrics.items() if number in dealt}
    greys = {str(part.pk): wanted_grey(part) for part in parts}
    turns = {str(number): fabrics for number, fabrics in dealt.items()}
    taken: dict[str, int] = {}
    found = []
    for patch in patches:
        fabrics = turns.get(patch.part, ())
        if fabrics and patch.cloth is None:
            turn = taken.get(patch.part, 0)
            taken[patch.part] = turn + 1
            patch = replace(patch, cloth=str(fabrics[turn % len(fabrics)].pk))
        elif patch.cloth is None:
            patch = replace(patch, lightness=greys.get(patch.part))
        found.append(patch)
    used = {patch.cloth for patch in found}
    known = [*top.fabrics, *(fabric for many in dealt.values() for fabric in many)]
    return tuple(found), {str(fabric.pk): fabric for fabric in known if str(fabric.pk) in used}


def mark_of(picture: ProjectPicture, asked: str) -> str:
    """The same for the same picture, and only for it."""
    facts = [
        _METHOD,
        asked,
        [picture.width, picture.height],
        [
            [patch.outline, patch.cloth, patch.lightness, patch.part, patch.turn]
            for patch in picture.patches
        ],
        [
            [
                key,
                far_of(fabric),
                fabric.main_photo and [fabric.main_photo.sha256, fabric.main_photo.reading],
                fabric.main_photo and [fabric.main_photo.marks, fabric.main_photo.shows_across],
            ]
            for key, fabric in sorted(picture.fabrics.items())
        ],
    ]
    return hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()[:32]


def jpeg_of(picture: ProjectPicture, asked: str) -> bytes:
    """The picture, from the data folder where it was drawn before."""
    name = f"{mark_of(picture, asked)}.jpg"
    kept = kept_picture(name)
    if kept:
        return kept
    made = render(
        picture.patches,
        cloths_of(picture.fabrics.values()),
        width=picture.width,
        height=picture.height,
        long_side=SIDES[asked],
    ).jpeg()
    keep_picture(name, made)
    return made
