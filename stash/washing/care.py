"""What cloth is like in the wash: its fibres, and whether its dye moves.

Every rule is common practice, no source, unless one is named beside it.
"""

from __future__ import annotations

import re

from stash.models import Fabric
from stash.models.fabric import Bleed

__all__ = ["FIBRE_REASONS", "fibre_kinds", "is_bleeder"]

#: What a fibre is called on the bolt, and what it is like in the wash and under the iron.
_FIBRES = {
    "plant fibre": "cotton linen flax hemp ramie jute",
    "wool": "wool woollen cashmere mohair alpaca angora",
    "silk": "silk",
    "viscose": "viscose rayon modal lyocell cupro bamboo acetate",
    "synthetic": "polyester nylon polyamide acrylic elastane spandex microfibre microfiber lurex",
}
FIBRE_REASONS = {
    "plant fibre": "",
    "wool": "wool felts and shrinks in a warm wash",
    "silk": "silk frays, and light and a hot iron weaken it",
    "viscose": "viscose is weak when wet and shrinks more than cotton",
    "synthetic": "a synthetic melts under an iron that is hot enough for cotton",
}
#: Words of a person, where no bleed test is noted: “bleeds”, and not “never bleeds”.
_BLEEDS = re.compile(r"(?<!never )(?<!not )(?<!no longer )\b(?:bleeds|bleeding|runs in the wash)\b")


def fibre_kinds(text: str) -> frozenset[str]:
    """The kinds of fibre that a bolt's text names; none where it names none that are known."""
    words = set(re.findall(r"[a-zé]+", text.lower()))
    return frozenset(kind for kind, names in _FIBRES.items() if words & set(names.split()))


def is_bleeder(fabric: Fabric) -> bool:
    """Whether its dye moves, by its test or, where there was none, by what is noted of it."""
    if fabric.bleed:
        return bool(fabric.bleed == Bleed.BLEEDS)
    return bool(_BLEEDS.search(f"{fabric.notes} {fabric.care}".lower()))
