"""What lies over the picture: a way to each part, and on one of its patches how it stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from projects.coverage.status import PartStanding
from projects.models import Part
from projects.picture.picture import ProjectPicture
from projects.planning.cloth.greys import wanted_grey
from projects.planning.cloth.pictures import flat_cloth_of
from projects.quilt_design.drawing.patch import Outline, area
from stash.colour.spaces.cielab import lab_to_srgb_hex
from stash.models import Fabric

__all__ = ["MARKS", "PartShown", "parts_shown"]

#: The shapes of the states, as letters: a picture cannot take them from a style sheet.
MARKS = {"covered": "●", "short": "▲", "undecided": "◇", "unfilled": "○", "cut": "■"}
#: What a part is marked with whose cloth is only tried, and what that is called.
TRIED = "◌", "only tried"
_MOST_PATHS = 24_000  # signs of all paths together: a page stays small
_MARK = (60, 34)  # half the width and height of a mark on a phone, in pixels of the picture
_APART = 110  # pixels of the picture between two marks, so that they do not touch on a phone


@dataclass(frozen=True, kw_only=True)
class PartShown:
    """One part on the picture and in the line of words beneath it.

    ``path`` holds all its patches, in pixels of the picture; nothing where the part is not on it,
    or where there are more patches than a page should carry. ``flat`` is what they show until the
    picture is there. ``x`` and ``y`` are the middle of the
    patch that has its mark.
    """

    part: Part
    letter: str
    sign: str
    shape: str
    word: str
    fabrics: tuple[Fabric, ...]
    path: str = ""
    flat: str = ""
    x: int = 0
    y: int = 0
    is_marked: bool = False
    is_chosen: bool = False

    @property
    def name(self) -> str:
        """What a screen reader says: “Star points: Plum Thicket, covered”."""
        cloth = " and ".join(fabric.name for fabric in self.fabrics) or "no fabric yet"
        return f"{self.part.name}: {cloth}, {self.word}"


def parts_shown(
    picture: ProjectPicture, rows: Iterable[PartStanding], *, chosen: int | None = None
) -> list[PartShown]:
    """Return the needed parts in their order with their paths and marks."""
    size = picture.size("page")
    scale = size[0] / picture.width
    outlines: dict[str, list[Outline]] = {}
    for patch in picture.patches:
        outline = tuple((x * scale, y * scale) for x, y in patch.outline)
        outlines.setdefault(patch.part, []).append(outline)
    paths = _paths(outlines)
    places = {
        key: _within(place, size) for key, place in _places(outlines, picture.letters).items()
    }
    found = []
    for row in rows:
        key = str(row.part.pk)
        if key not in picture.letters:
            continue
        tried = picture.tried.of(row.part.pk)
        sign, word = TRIED if tried else (MARKS.get(row.shape, "◇"), row.word)
        x, y = places.get(key, (0, 0))
        fabrics = (tried,) if tried else tuple(row.part.fabrics.all())
        found.append(
            PartShown(
                part=row.part,
                letter=picture.letters[key],
                sign=sign,
                shape="tried" if tried else row.shape,
                word=word,
                fabrics=fabrics,
                path=paths.get(key, ""),
                flat=_flat(row.part, fabrics),
                x=x,
                y=y,
                is_marked=key in places,
                is_chosen=row.part.pk == chosen,
            )
        )
    return found


def _flat(part: Part, fabrics: Sequence[Fabric]) -> str:
    """The far colour of its first fabric, or the grey of what it wants, for an SVG attribute."""
    if fabrics:
        return lab_to_srgb_hex(flat_cloth_of(fabrics[0]).far)
    return lab_to_srgb_hex((wanted_grey(part), 0.0, 0.0))


def _paths(outlines: Mapping[str, Sequence[Outline]]) -> dict[str, str]:
    """The patches of each part as one path; nothing at all where that is too much for a page."""
    found = {key: "".join(map(_path, many)) for key, many in outlines.items()}
    return found if sum(map(len, found.values())) <= _MOST_PATHS else {}


def _path(outline: Outline) -> str:
    """An outline in whole pixels, in few signs."""
    points = [(round(x), round(y)) for x, y in outline]
    steps = []
    for (xa, ya), (xb, yb) in pairwise(points):
        if ya == yb:
            steps.append(f"h{xb - xa}")
        elif xa == xb:
            steps.append(f"v{yb - ya}")
        else:
            steps.append(f"l{xb - xa} {yb - ya}")
    return f"M{points[0][0]} {points[0][1]}{''.join(steps)}z"


def _places(
    outlines: Mapping[str, Sequence[Outline]], keys: Iterable[str]
) -> dict[str, tuple[int, int]]:
    """Where each part has its mark: on a large patch of it, clear of the marks before it."""
    found: dict[str, tuple[int, int]] = {}
    for key in keys:
        if key in outlines:
            found[key] = _place(outlines[key], list(found.values()))
    return found


def _within(place: tuple[int, int], size: tuple[int, int]) -> tuple[int, int]:
    """The place, moved so that a mark on it stays on the picture, on a phone too."""
    (x, y), (width, height) = place, size
    across, down = _MARK
    return min(max(x, across), width - across), min(max(y, down), height - down)


def _place(many: Sequence[Outline], taken: Sequence[tuple[int, int]]) -> tuple[int, int]:
    """The middle of the best patch: clear of other marks, then large, then the first."""
    large = 0.8 * max(map(area, many))
    middles = [(*_middle(outline), area(outline) < large) for outline in many]
    x, y, _ = min(
        middles,
        key=lambda at: (any(hypot(at[0] - x, at[1] - y) < _APART for x, y in taken), at[2]),
    )
    return x, y


def _middle(outline: Outline) -> tuple[int, int]:
    across, down = zip(*outline, strict=True)
    return round(sum(across) / len(across)), round(sum(down) / len(down))
