"""Pictures of a drawn quilt: drawn from its fabrics once, then kept in the data folder."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from projects.planning.cloth.kept import keep_picture, kept_picture
from projects.planning.cloth.pictures import cloths_of, flat_cloth_of
from projects.quilt.dealing import deal_fabrics
from projects.quilt.drawing import Drawn, grey_of
from projects.quilt_design.drawing.patch import Patch, area
from projects.quilt_design.drawing.render import Cloth, Rendering, render
from projects.quilt_design.drawing.svg_picture import svg
from projects.quilt_design.layouts.layout import exact_size, patches
from stash.colour.cloth.viewing import ROOM, TABLE
from stash.colour.words import MARK
from stash.lengths import MM
from stash.models import Fabric

__all__ = ["EXPORT_SIDE", "LOOKS", "PAGE_SIDE", "Dressed", "digest_of", "png_of", "svg_of"]

#: What a page can ask for: whether in true lightness, and from how far away in metres.
LOOKS: dict[str, tuple[bool, float | None]] = {
    "colour": (False, None),
    "grey": (True, None),
    "1 m": (False, TABLE),
    "3 m": (False, ROOM),
}
PAGE_SIDE, EXPORT_SIDE = 1000, 2400  # pixels
_METHOD = 4  # counts up when kept pictures would come out differently
_INK, _LIGHT_INK = 0.02, 0.9  # linear light of letters, on light greys and on dark ones
_LIGHT_ABOVE = 55.0  # L* of a grey from which dark letters are easier to read
_OUTLINE = 120  # of 255: how strong the outlines of patches without cloth are
_LARGEST_LETTER, _SMALLEST_LETTER = 40, 6  # pixels
_LARGEST_MARK, _SMALLEST_MARK = 14, 4  # pixels of radius
_CAPITAL = 22  # pixels of a capital of that face at scale 1


@dataclass(frozen=True, kw_only=True)
class Dressed:
    """A drawing with the fabrics that its patches are cut from, by key of the tied layout."""

    drawn: Drawn
    fabrics: Mapping[str, Sequence[Fabric]]
    tried: frozenset[str] = frozenset()
    # Of a key with several fabrics, why its patches show them as they do.
    reasons: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, drawn: Drawn, tried: Mapping[str, Fabric] | None = None) -> Dressed:
        """With the fabrics of the parts, or with one that is only tried in their place."""
        dealt = deal_fabrics(drawn.project, drawn.tied_parts)
        fabrics: dict[str, Sequence[Fabric]] = {
            str(number): found.fabrics for number, found in dealt.items()
        }
        for key, fabric in (tried or {}).items():
            fabrics[key] = [fabric]
        reasons = {
            str(number): found.why
            for number, found in dealt.items()
            if found.why and str(number) not in (tried or {})
        }
        return cls(drawn=drawn, fabrics=fabrics, tried=frozenset(tried or ()), reasons=reasons)

    @cached_property
    def patches(self) -> tuple[Patch, ...]:
        """Several fabrics of a part are given to its patches in turn; bare ones have their grey."""
        chosen = {key: [str(fabric.pk) for fabric in many] for key, many in self.fabrics.items()}
        return tuple(
            patch if patch.cloth else replace(patch, lightness=self.greys[patch.part])
            for patch in patches(self.drawn.tied, chosen)
        )

    @cached_property
    def greys(self) -> dict[str, float]:
        """L* of what stands for the cloth of each key that has none: as wanted, or as is usual."""
        parts = {str(part.pk): part for part in self.drawn.tied_parts}
        return {key: grey_of(key, parts.get(key)) for key in self.drawn.tied.parts}

    @cached_property
    def all_fabrics(self) -> dict[int, Fabric]:
        used = {patch.cloth for patch in self.patches}
        return {
            fabric.pk: fabric
            for many in self.fabrics.values()
            for fabric in many
            if str(fabric.pk) in used
        }

    @cached_property
    def cloths(self) -> dict[str, Cloth]:
        return cloths_of(self.all_fabrics.values())

    @cached_property
    def estimated(self) -> frozenset[str]:
        """Keys of the cloths whose lightness is an estimate."""
        return frozenset(str(pk) for pk, fabric in self.all_fabrics.items() if fabric.is_estimate)

    @property
    def size(self) -> tuple[float, float]:
        return exact_size(self.drawn.layout)


def digest_of(dressed: Dressed, look: str, long_side: int) -> str:
    """The same for the same picture, and only for it."""
    fabrics = [
        [
            fabric.pk,
            fabric.far_lab,
            fabric.value if fabric.value_by_hand else None,
            fabric.is_estimate,
            fabric.main_photo and [fabric.main_photo.sha256, fabric.main_photo.reading],
            fabric.main_photo and [fabric.main_photo.marks, fabric.main_photo.shows_across],
        ]
        for _, fabric in sorted(dressed.all_fabrics.items())
    ]
    facts = [
        _METHOD,
        look,
        long_side,
        dressed.drawn.tied.to_dict(),
        {key: [fabric.pk for fabric in many] for key, many in dressed.fabrics.items()},
        fabrics,
        dressed.drawn.letters,
        dressed.greys,
    ]
    return hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()


def png_of(dressed: Dressed, look: str, long_side: int = PAGE_SIDE) -> bytes:
    """The picture, from the data folder where it was drawn before."""
    name = f"{digest_of(dressed, look, long_side)}.png"
    kept = kept_picture(name)
    if kept:
        return kept
    grey, metres = LOOKS[look]
    made = _drawn(dressed, long_side)
    if grey:
        _mark_estimates(made, dressed)
    data = (made if metres is None else made.from_distance(metres)).png(grey=grey)
    keep_picture(name, data)
    return data


def _drawn(dressed: Dressed, long_side: int) -> Rendering:
    width, height = dressed.size
    made = render(dressed.patches, dressed.cloths, width=width, height=height, long_side=long_side)
    _write_letters(made, dressed)
    return made


def _write_letters(made: Rendering, dressed: Dressed) -> None:
    """Put an outline and the part's letter on each patch that has no cloth yet."""
    bare = [patch for patch in dressed.patches if patch.cloth is None]
    light = [patch for patch in bare if (patch.lightness or 0.0) >= _LIGHT_ABOVE]
    dark = [patch for patch in bare if (patch.lightness or 0.0) < _LIGHT_ABOVE]
    for patches_there, ink in ((light, _INK), (dark, _LIGHT_INK)):
        written = _written(made, dressed, patches_there)
        if written.any():
            share = (written / np.float32(255))[..., None]
            made.linear[:] = made.linear * (1 - share) + ink * share


def _written(made: Rendering, dressed: Dressed, bare: Sequence[Patch]) -> NDArray[np.uint8]:
    """How much ink lies on each pixel, of 255."""
    pixels = 1 / (made.mm_per_pixel * MM)
    written = np.zeros(made.linear.shape[:2], np.uint8)
    outlines = [np.rint(np.array(patch.outline) * pixels).astype(np.int32) for patch in bare]
    cv2.polylines(written, outlines, True, _OUTLINE, 1, cv2.LINE_AA)
    for patch in bare:
        side = float(np.sqrt(area(patch.outline))) * pixels
        size = min(0.4 * side, _LARGEST_LETTER)
        if size < _SMALLEST_LETTER:
            continue
        letter = dressed.drawn.letters[patch.part]
        scale, pen = size / _CAPITAL, max(1, round(size / 11))
        (wide, high), _ = cv2.getTextSize(letter, cv2.FONT_HERSHEY_SIMPLEX, scale, pen)
        middle = np.mean(patch.outline, axis=0) * pixels
        start = round(float(middle[0]) - wide / 2), round(float(middle[1]) + high / 2)
        cv2.putText(written, letter, start, cv2.FONT_HERSHEY_SIMPLEX, scale, 255, pen, cv2.LINE_AA)
    return written


def _mark_estimates(made: Rendering, dressed: Dressed) -> None:
    """Put ≈ on each patch whose lightness is an estimate; the page says what it means."""
    pixels = 1 / (made.mm_per_pixel * MM)
    for patch in dressed.patches:
        side = float(np.sqrt(area(patch.outline))) * pixels
        radius = min(0.2 * side, _LARGEST_MARK)
        if patch.cloth not in dressed.estimated or radius < _SMALLEST_MARK:
            continue
        middle = np.mean(patch.outline, axis=0) * pixels
        centre = round(float(middle[0])), round(float(middle[1]))
        paper, ink = (1.0,) * 3, (_INK,) * 3
        cv2.circle(made.linear, centre, round(radius), paper, -1, cv2.LINE_AA)
        across = np.linspace(-0.6, 0.6, 13) * radius
        for down in (-0.25, 0.25):
            wave = (down - 0.16 * np.sin(across / radius * np.pi / 0.6)) * radius
            line = np.rint((middle + np.stack([across, wave], 1)) * 8).astype(np.int32)
            pen = max(1, round(radius / 8))
            cv2.polylines(made.linear, [line], False, ink, pen, cv2.LINE_AA, 3)


def svg_of(dressed: Dressed, *, grey: bool, title: str) -> str:
    """The shapes in far colours with the letters of their parts, to scale."""
    width, height = dressed.size
    return svg(
        dressed.patches,
        {str(pk): flat_cloth_of(fabric) for pk, fabric in dressed.all_fabrics.items()},
        width=width,
        height=height,
        grey=grey,
        letters=_marked_letters(dressed) if grey else dressed.drawn.letters,
        title=title,
    )


def _marked_letters(dressed: Dressed) -> dict[str, str]:
    """The letters of the parts, with the mark where one of its cloths is an estimate."""
    marked = {patch.part for patch in dressed.patches if patch.cloth in dressed.estimated}
    letters = dressed.drawn.letters
    return {key: f"{MARK}{letter}" if key in marked else letter for key, letter in letters.items()}
