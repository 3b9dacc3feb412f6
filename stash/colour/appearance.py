"""What a fabric looks like, as read from one photo."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from typing import Any

from stash.colour.cloth.palette import PaletteColour
from stash.colour.cloth.texture import Print
from stash.colour.picture.marks import Corners
from stash.colour.picture.region import Region
from stash.colour.spaces.cielab import Lab

REFERENCES = ("colour chart", "photo card", "grey card", "paper", "none")  # best first


@dataclass(frozen=True, kw_only=True)
class Appearance:
    """A reading. Colours are CIELAB, D65, 2 degree observer.

    far: linear-light mean, what the cloth reads as from across the room. near: the palette
    colour that dominates. value: L*/10 of `far`. uncertainty: half width of the 90 % interval
    of `value`. reference: one of REFERENCES. palette: at most 6 colours, shares sum to 1.
    apart: those of the palette that are told apart at arm's length, the others blended; empty
    where no scale is known. The words of a print come from it.
    contrast: p95 - p5 of L* inside the region, averaged to 400 pixels and, when the scale is
    known, blended as at 40 cm; contrast_sd: its standard deviation. print_seen: repeats and
    whether it reads as solid, when the scale is known.
    mm_per_pixel: of the upright picture as decoded (`Picture.linear`), when a reference gives
    it. paper_asked: corners, as fractions, of what may be white paper and was not used.
    notes: plain sentences for the person. version: of the method of reading.
    """

    far: Lab
    near: Lab
    value: float
    uncertainty: float
    reference: str
    palette: tuple[PaletteColour, ...]
    contrast: float
    contrast_sd: float
    mm_per_pixel: float | None
    region: Region
    version: int
    notes: tuple[str, ...] = field(default=())
    print_seen: Print | None = None
    paper_asked: Corners | None = None
    apart: tuple[PaletteColour, ...] = field(default=())

    @property
    def named_colours(self) -> tuple[PaletteColour, ...]:
        """What a name is made of: the colours told apart at arm's length, else the palette."""
        return self.apart or self.palette

    @property
    def is_estimate(self) -> bool:
        """Whether nothing in the photo made the value a measurement."""
        return self.reference == "none"

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types; `from_dict` gives an equal appearance back."""
        stored = asdict(self)
        stored["far"], stored["near"] = list(self.far), list(self.near)
        for palette in ("palette", "apart"):
            stored[palette] = [{**colour, "lab": list(colour["lab"])} for colour in stored[palette]]
        stored["notes"] = list(self.notes)
        stored["region"] = self.region.to_dict()
        return stored

    @classmethod
    def from_dict(cls, stored: dict[str, Any]) -> "Appearance":
        """Return the appearance that `to_dict` described."""
        changed = {
            "far": _lab(stored["far"]),
            "near": _lab(stored["near"]),
            "palette": _palette(stored["palette"]),
            "apart": _palette(stored.get("apart", ())),
            "region": Region.from_dict(stored["region"]),
            "notes": tuple(stored["notes"]),
            "print_seen": Print(**seen) if (seen := stored.get("print_seen")) else None,
            "paper_asked": _corners(stored.get("paper_asked")),
        }
        return cls(**{**stored, **changed})


def _palette(stored: Iterable[dict[str, Any]]) -> tuple[PaletteColour, ...]:
    return tuple(PaletteColour(lab=_lab(colour["lab"]), share=colour["share"]) for colour in stored)


def _lab(numbers: list[float]) -> Lab:
    lightness, a, b = numbers
    return lightness, a, b


def _corners(stored: list[list[float]] | None) -> Corners | None:
    if stored is None:
        return None
    first, second, third, fourth = ((x, y) for x, y in stored)
    return first, second, third, fourth
