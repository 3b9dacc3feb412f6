"""What the page holds of each fabric, and the scripts that it carries."""

from __future__ import annotations

import base64
import hashlib
import io
import re
from pathlib import Path
from typing import Any

from django.conf import settings
from PIL import Image

from stash.colour.words import LEAST_FIT, describe, stated_value
from stash.finding.answers import search_words
from stash.finding.cards import Card, cards_of
from stash.models import Fabric
from stash.photos import store as photo_store
from stash.photos.cloth.tile import tile

__all__ = ["MOST", "entries_of", "hash_of", "script"]

#: So many fabrics go along; a page of more would be too large for a phone to keep.
MOST = 1_000
_SIDE = 72
_QUALITY = 55
_IMPORT = re.compile(r"^import .*?;\n", re.MULTILINE)


def entries_of(owner: Any) -> list[dict[str, Any]]:
    """Return what the page knows of each fabric, dark to light."""
    answer = search_words(owner, "", usual="dark")
    rows = range(min(len(answer.found.rows), MOST))
    cards = cards_of(answer.shelf, answer.found, list(rows))
    shown = Fabric.objects.filter(pk__in=[card.pk for card in cards]).select_related("main_photo")
    fabrics = shown.prefetch_related("tags").in_bulk()
    return [_entry(card, fabrics[card.pk]) for card in cards if card.pk in fabrics]


def _entry(card: Card, fabric: Fabric) -> dict[str, Any]:
    value = ""
    if card.value is not None:
        value = f"value {stated_value(card.value, is_estimate=card.is_estimate)}"
    look = ", ".join(part for part in (card.colour_words, value) if part)
    tags = [tag.name for tag in fabric.tags.all()]
    return {
        "id": card.pk,
        "name": card.name,
        "lines": [line for line in (look, card.amount, card.lies) if line],
        "words": ", ".join([card.name, card.colour_name, *_words(card), card.lies, *tags]),
        "bare": card.has_estimated_colour,
        "lab": card.far_lab and [round(part, 2) for part in card.far_lab],
        "thumb": _thumb(fabric),
    }


def _words(card: Card) -> list[str]:
    """Every colour word that its far colour answers to."""
    if card.far_lab is None:
        return []
    found = describe(card.far_lab)
    named = [word for word, fit in (*found.hues, *found.shades) if fit >= LEAST_FIT]
    return [*named, *found.modifiers]


def _thumb(fabric: Fabric) -> str:
    """The cloth, small, as part of the page; nothing where there is no picture of it."""
    if fabric.main_photo is None:
        return ""
    try:
        large = tile(fabric, "cloth")
    except (photo_store.PhotoFileMissing, photo_store.StoreBusy):
        return ""
    held = io.BytesIO()
    with Image.open(io.BytesIO(large)) as picture:
        picture.thumbnail((_SIDE, _SIDE))
        picture.save(held, "JPEG", quality=_QUALITY, optimize=True)
    return f"data:image/jpeg;base64,{base64.b64encode(held.getvalue()).decode()}"


def script() -> str:
    """Return the scripts as one: a page that lies on a phone cannot fetch what it imports."""
    folder = Path(settings.BASE_DIR) / "stash" / "static" / "stash" / "pocket"
    parts = [(folder / name).read_text() for name in ("difference.js", "asking.js", "page.js")]
    return "\n".join(_IMPORT.sub("", part).replace("export function", "function") for part in parts)


def hash_of(text: str) -> str:
    """Return what a content security policy calls this script."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
