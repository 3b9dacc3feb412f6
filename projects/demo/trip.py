"""New cloth from a shop trip: photos that are not in the stash yet."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from .cloth import Recipe, paint
from .recipes import RECIPES, recoloured, with_card
from .scenario import WAITING_TRIP

_BY_NAME = {recipe.name: recipe for recipe in RECIPES}


def _new(name: str, like: str, inks: str, **more: object) -> Recipe:
    return recoloured(_BY_NAME[like], name, inks, **more)


WAITING = (
    _new("Thaw", "Rain Barrel", "#7fa6c4 #93b6d0", scene="bundle"),
    _new("Gooseberry", "Raspberry Fool", "#93a83f #a8bb58", scene="rumpled"),
    _new("Bonfire Night", "Starlit Barn", "#3a2230 #f0b04a #e0703a", scene="corner"),
    _new("Larkspur Walk", "Hedgerow",
         "#eef0f4 #4a62b0 #8a7fc4 #2a3a7a #f0d27a #87a088 #5f7d66", scene="draped"),
)  # fmt: skip
"""Photos that wait on the demo's page for new fabric, without sizes as yet."""

_BROKEN = 6

_SAMPLES = (
    _new("Sea Holly", "Rain Barrel", "#1f3f73 #2c5490", scene="draped"),
    _new("Fennel Seed", "Lichen Wall", "#b7b26a #cdc987 #a09b55", file_kind="avif"),
    _new("Tomato Vine", "Ivy Gate", "#f3ead6 #5f7a43 #7fa06a #5c7d50 #c8402f"),
    _new("Poppy Field", "Coral Glasshouse",
         "p3:#d92a2a p3:#ffe9d9 p3:#ffb09a p3:#a01f2a p3:#ffe0a0 p3:#ffb43a p3:#c9701f "
         "p3:#fff2a0 p3:#3fb06a p3:#1f7a4f", wide_gamut=True, scene="rumpled"),
    _new("Window Sill Plaid", "Heather Moor", "#e8e0d0 #7a94a8 #c9a24d #9db39a", turned=True),
    _new("Ink Well", "Bakehouse Dot", "#1c2747 #e9e4d4", scene="corner"),
    _new("Torn Page", "Kiss Stitch", "#f3efe4 #9a5a4a"),
    _new("Moth Wing", "Silver Birch", "#8a7f74 #c9bfb0 #a89c8c #ddd5c8 #bfb3a4",
         file_kind="png", scene="bundle"),
    _new("Night Ferry", "Regatta Sunday",
         "#1d3350 #0f1d33 #5f86a5 #e9b84b #f4f0e2 #c8453d", file_kind="avif", scene="draped"),
    _new("Pond Skater", "Skimming Stones", "#2f6f6a #8fc8ba #1d4a4a #d9e9dc", file_kind="webp"),
    _new("Apricot Stone", "Foxglove Haze", "#e8a66f #f3c294 #d98a4f", scene="rumpled"),
    _new("Blue Hour", "Midnight Pond", "#22386b", scene="selvage"),
)  # fmt: skip


def waiting_photos() -> list[Recipe]:
    taken = WAITING_TRIP.noon
    one_with_card = with_card(WAITING[0]), *WAITING[1:]
    return [
        replace(scene, taken=taken + timedelta(minutes=number))
        for number, scene in enumerate(one_with_card)
    ]


def sample_photos(folder: Path) -> list[Path]:
    """Write twelve photos of a shop trip into the folder and return their paths in order.

    Two are AVIF, one is in Display P3, one was taken sideways, one is broken off in the middle,
    one is PNG and one WebP; the others are plain JPEG.
    """
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for number, recipe in enumerate(_SAMPLES):
        cloth = paint(replace(recipe, taken=WAITING_TRIP.noon + timedelta(minutes=10 + number)))
        is_broken = number == _BROKEN
        name = f"fabric-{number + 1:02}{'-broken' if is_broken else ''}{cloth.suffix}"
        paths.append(folder / name)
        data = cloth.photo[: len(cloth.photo) // 3] if is_broken else cloth.photo
        paths[-1].write_bytes(data)
    return paths
