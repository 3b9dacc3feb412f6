"""The fabrics of the demo: every name, design and colour here is invented for it."""

import zlib
from dataclasses import replace
from typing import Any

from .cloth import Recipe

# The usual size of one repeat in mm, across and along.
_REPEATS = {
    "garden": (180, 180),
    "ditsy": (72, 68),
    "leaves": (84, 78),
    "hand dyed": (150, 150),
    "mottled": (140, 130),
    "ferns": (96, 104),
    "vines": (100, 96),
    "birds": (88, 80),
    "houses": (84, 90),
    "firs": (72, 84),
    "fish": (76, 64),
    "pears": (62, 66),
    "boats": (88, 92),
    "hexagons": (72, 72),
    "tonal swirls": (100, 96),
    "brushed": (110, 120),
}  # fmt: skip


def _fabric(name: str, design: str, inks: str, **more: Any) -> Recipe:
    more.setdefault("repeat", _REPEATS.get(design, (60, 60)))
    more.setdefault("seed", zlib.crc32(name.encode()) % 100_000)
    if design == "solid":
        more.setdefault("print_scale", "solid")
    return Recipe(name=name, design=design, inks=tuple(inks.split()), **more)


def recoloured(recipe: Recipe, name: str, inks: str, **more: Any) -> Recipe:
    """Return the same design in other inks: another fabric, by another name."""
    more.setdefault("seed", zlib.crc32(name.encode()) % 100_000)
    return replace(recipe, name=name, inks=tuple(inks.split()), **more)


def with_card(recipe: Recipe) -> Recipe:
    """Return the recipe photographed with the photo card, from far enough to show both.

    Who lays out the card has read that the light should be even, and it nearly is.
    """
    return replace(recipe, card=True, density=min(recipe.density, 3.6), evenly=0.75)


_GINGHAM = [(0, 1), (1, 1)]
_TICKING = [(0, 6), (1, 1), (0, 1), (1, 4), (0, 1), (1, 1)]
_TARTAN = [(0, 10), (1, 4), (0, 2), (2, 1), (0, 2), (1, 4), (3, 6)]

_SOLIDS = [
    _fabric("Chalk", "solid", "#f3f1ea", scene="rumpled"),
    _fabric("Pewter Spoon", "solid", "#9a9c9d", scene="draped"),
    _fabric("Slate Roof", "solid", "#596069", scene="corner"),
    _fabric("Coal Cellar", "solid", "#25252a", scene="rumpled"),
    _fabric("Midnight Pond", "solid", "#172544", scene="draped"),
    _fabric("Cornflower Jug", "solid", "#5d84c2", scene="bundle"),
    _fabric("Bottle Bank", "solid", "#1e4a3b", scene="corner"),
    _fabric("Clover Honey", "solid", "#d8982c", scene="bundle", turned=True),
    _fabric("Rosehip", "solid", "#b0263d", scene="draped"),
    _fabric("Ballet Ribbon", "solid", "#f0cfd1", scene="selvage"),
    _fabric("Sloe", "solid", "#3a2342", scene="bundle"),
]

_BLENDERS = [
    _fabric("Plum Thicket", "tonal leaves", "#5d3058 #754870", scene="rumpled"),
    _fabric("Rain Barrel", "tonal swirls", "#2f5c97 #3f72ae", scene="draped"),
    _fabric("Fog on the Weir", "mottled", "#cfd2d1 #dfe1de #b9bfc1", scene="flat"),
    _fabric("Storm Lantern", "mottled", "#45484f #5a5d63 #303238", scene="rumpled"),
    _fabric("Lichen Wall", "sponged", "#93a85a #adc077 #7d9146", scene="corner"),
    _fabric("Marmalade Morning", "sponged", "#d97b2a #e99a47 #c4661d", scene="bundle"),
    _fabric("Foxglove Haze", "mottled", "#b565a0 #d48fc0 #8f4789", scene="rumpled"),
    _fabric(
        "Tidepool", "hand dyed", "#23525f #3f8f90 #1b3c50 #8fc8ba",
        scene="draped", weave="batik", weight=125, print_scale="medium",
    ),
    _fabric(
        "Ember Bank", "hand dyed", "#8f2f22 #cf6a2e #6d1f22 #eaa65a",
        scene="corner", weave="batik", weight=125, print_scale="medium",
    ),
    _fabric(
        "Old Ink", "hand dyed", "#1c2747 #31477a #141b33 #6f86b8",
        scene="bundle", weave="batik", weight=125, print_scale="medium",
    ),
    _fabric("Buttermilk", "brushed", "#efe5cb #f6efdc #e2d4b2", scene="flat", turned=True),
    _fabric("Hayloft", "brushed", "#c9a24d #dcbd72 #b18a38", scene="selvage"),
    _fabric("Raspberry Fool", "tonal leaves", "#c8436f #dc6e92", scene="flat"),
    _fabric("Spruce Shade", "tonal leaves", "#2a4d40 #3d6655", scene="draped"),
    _fabric("Cocoa Tin", "mottled", "#5a4034 #705246 #452f27", scene="corner"),
    _fabric("Snowed In", "tonal swirls", "#f1f0ec #fdfcfa", scene="rumpled"),
    _fabric("Lavender Drawer", "tonal leaves", "#b8a8d2 #cdc0e2", scene="bundle"),
    _fabric("Deep Harbour", "tonal swirls", "#173f4d #225566", scene="bundle"),
    _fabric("Velvet Curtain", "mottled", "#6b1f2c #85303c #4f1721", scene="draped"),
    _fabric("Olive Press", "brushed", "#6f7134 #898b4a #565827", scene="rumpled"),
    _fabric("Duck Egg", "tonal swirls", "#b7d6d1 #cbe3de", scene="flat"),
    _fabric("Quiet Meadow", "tonal leaves", "#e9e3d2 #dcd3bc", scene="flat"),
]  # fmt: skip

_DOTS_AND_STRIPES = [
    _fabric("Bakehouse Dot", "dots", "#b82f35 #f6f0e2", repeat=(40, 40),
            options={"count": (4, 4), "radius": (1.8, 1.8)}, scene="bundle"),
    _fabric("Pin Light", "dots", "#1d2b4f #efe7cf", repeat=(36, 36),
            options={"count": (8, 8), "radius": (0.55, 0.55)}, scene="pinked", density=7.5),
    _fabric("Skimming Stones", "dots", "#9fd0cf #5f8f9a #e9f1ec #3f6b7a",
            options={"spacing": 6.5, "radius": (1.0, 2.7)}, scene="flat"),
    _fabric("Blackbird Dot", "dots", "#1f1f23 #f2efe8", repeat=(48, 48),
            options={"count": (6, 6), "radius": (1.0, 1.0)}, scene="corner"),
    _fabric("Peppermint Dot", "dots", "#3f9470 #f5f4ec", repeat=(42, 42),
            options={"count": (6, 6), "radius": (1.2, 1.2)}, scene="pinked", density=7.5),
    _fabric("Saucer Shelf", "rings", "#246a70 #f0e6cc #e3a64a #8fc0b8",
            options={"count": (6, 6), "radius": (2.8, 3.8)}, scene="bundle"),
    _fabric("Deckchair", "stripes", "#f8f2dc #efc23c", repeat=(36, 60),
            options={"bands": [(0, 1), (1, 1)]}, direction="stripe", scene="rumpled"),
    _fabric("Garden Fence", "stripes", "#d3e6b0 #4a8f32 #9ccc68", repeat=(44, 60),
            options={"bands": [(0, 3), (1, 2), (0, 1), (2, 4), (0, 1), (1, 2)]},
            direction="stripe", scene="selvage"),
    _fabric("Mattress Row", "woven stripe", "#ece4d2 #2f4468", repeat=(32, 30), weave="twill",
            options={"bands": _TICKING}, weight=205, direction="stripe", scene="corner"),
    _fabric("Pencil Case", "stripes", "#33363c #e0b23e #d15b45 #5fa3a8 #ece6d8",
            repeat=(54, 60), direction="stripe", scene="flat", turned=True,
            options={"bands": [(0, 5), (1, 1), (0, 2), (2, 2), (0, 2), (3, 1), (0, 2), (4, 1)]}),
]  # fmt: skip

_WOVENS = [
    _fabric("Picnic Red", "plaid", "#f5f2ea #bf3b42", repeat=(12.6, 12.6),
            options={"bands": _GINGHAM}, direction="two-way", scene="draped"),
    _fabric("Larder Gingham", "plaid", "#f2f0e2 #3f8a3a", repeat=(16.8, 16.8),
            options={"bands": _GINGHAM}, direction="two-way", scene="corner"),
    _fabric("Hearthside Plaid", "plaid", "#8c2f35 #27364a #e2c78c #3c5a46", repeat=(92, 92),
            options={"bands": _TARTAN, "twill": True}, weave="flannel", weight=170,
            direction="two-way", print_scale="large", scene="selvage"),
    _fabric("Peat Plaid", "plaid", "#4d3a2e #1f2a3d #c78f4f #6a5a48", repeat=(80, 80),
            options={"bands": _TARTAN, "twill": True}, weave="flannel", weight=170,
            direction="two-way", print_scale="medium", scene="draped"),
    _fabric("Heather Moor", "plaid", "#8d83a0 #544a68 #d9d2c0 #6f7d72", repeat=(84, 84),
            options={"bands": _TARTAN, "twill": True}, weave="flannel", weight=170,
            direction="two-way", print_scale="medium", scene="rumpled"),
    _fabric("Workshirt", "chambray", "#2f62ad #d5e0ee", repeat=(40, 40),
            weight=140, scene="corner"),
    _fabric("Rose Chambray", "chambray", "#c46a78 #f1e9e6", repeat=(40, 40),
            weight=140, scene="draped"),
]  # fmt: skip

_SMALL_FLORALS = [
    _fabric("Hedgerow", "ditsy", "#f4efe2 #c9566b #e0a13f #8a2f48 #f2d36a #7f9a6a #4d6b4c",
            scene="draped"),
    _fabric("Apron Pocket", "ditsy", "#5f97d0 #f3ede0 #f6d9d6 #c9616b #f0cd62 #e6eee2 #5d7f93",
            scene="corner"),
    _fabric("Sweet Cicely", "ditsy", "#86b184 #fbf8ee #f0ead6 #c9c48a #e6c65a #6f8a6c #587355",
            scene="rumpled"),
    _fabric("Blue Milk Jug", "ditsy", "#f7f5ee #3f6fb0 #7fa5d6 #27457f #f0d774 #93b0c9 #5d7fa3",
            options={"spacing": 7.2, "size": (2.2, 3.4)}, scene="flat"),
    _fabric("Cherry Lane", "ditsy", "#b93a44 #f7ead9 #f2c6bd #8a1f33 #f3cf6a #6f8a52 #3f5a3c",
            scene="bundle"),
    _fabric("Midnight Meadow", "ditsy",
            "#1b2036 #e9a7a0 #f0d9a0 #7fa6c9 #a8485a #f2d36a #5f8a6c #3d6350", scene="rumpled"),
    _fabric("Juniper", "ditsy", "#24407a #dfe7f2 #8fb0dc #142a58 #f0d98a #6f97a8 #3f6f86",
            scene="flat"),
    _fabric("Thistle Bank", "ditsy",
            "#5c3f86 #e4d4ee #b892d0 #35215a #f2d679 #86a27a #587a58", scene="corner"),
    _fabric("Primrose Path", "ditsy", "#f6e6a2 #fffaf0 #f0b43c #d98a2a #e6762e #8fa85a #6c8744",
            scene="pinked", density=7.5),
    _fabric("Dusky Violets", "ditsy", "#d8cfe2 #7a58a6 #9f80c2 #4a2f73 #f0d27a #87a088 #5f7d66",
            scene="flat"),
    _fabric("Thimble Rose", "ditsy", "#e9c4bd #fdf3ea #c9556a #93304a #f3d27a #93a57f #6a8060",
            options={"petals": 6}, scene="pinked", density=7.5),
]  # fmt: skip

_LARGE_FLORALS = [
    _fabric("Peony Orchard", "garden",
            "#23324a #f3d9d3 #dd9a9a #a8485a #f6e7c8 #e5bd7e #b9783a #f0c34e #7f9a6a #4d6b4c",
            scene="flat", density=3.9, print_scale="large"),
    _fabric("Rose Arbour", "garden",
            "#f5eedd #f0b9b5 #d9747f #a33a52 #f8dfcf #e8a98f #c06a55 #f0c75a #8aa676 #577a5c",
            options={"size": 21.0, "spacing": 46.0}, scene="draped", density=4.2,
            print_scale="large"),
    _fabric("Dahlia Parade", "garden",
            "#26201f #f3a85a #e0702f #a3341f #f0c25a #d9912f #9a5a1f #f7e3a0 #7d8a4a #4c5a35",
            scene="rumpled", density=3.9, print_scale="large"),
    _fabric("Delft Orchard", "garden",
            "#f4f3ee #b9cfe8 #6f98cf #2f5596 #dbe6f2 #93b3dc #4a70b0 #f2e2a8 #7f9fb0 #3f6488",
            options={"size": 22.0, "spacing": 48.0}, scene="selvage", density=4.0,
            print_scale="large"),
    _fabric("Sage Conservatory", "garden",
            "#8fa394 #f6efe2 #e0d2ba #b39a7a #f2d5cf #d9a39a #a8655f #e9c766 #5f7d66 #42604e",
            scene="corner", density=3.9, print_scale="large"),
    _fabric("Coral Glasshouse", "garden",
            "p3:#ff5a4a p3:#ffd9c9 p3:#ff9f8a p3:#d93a3a p3:#fff0c2 p3:#ffc84a p3:#e0861f "
            "p3:#fff2a0 p3:#3fb06a p3:#1f7a4f",
            scene="draped", density=4.0, print_scale="large", wide_gamut=True),
]  # fmt: skip

_LEAVES = [
    _fabric("Green Lane", "leaves", "#ece7d7 #7f9a6a #4d6b4c #b5bf86 #7d8d4f", scene="pinked",
            density=7.5, print_scale="medium"),
    _fabric("October Floor", "leaves", "#5d3a2a #d98a3f #a8562a #c9b04f #8a7a35 #b8432f #7f2a24",
            scene="draped", print_scale="medium"),
    _fabric("Silver Birch", "leaves", "#6c7379 #b9bfc0 #93999c #d9dad5 #aeb1b0",
            scene="bundle", print_scale="medium"),
    _fabric("Fern Gully", "ferns", "#2c4638 #6b9070 #8fb081", direction="one-way",
            scene="flat", print_scale="medium"),
    _fabric("Frost Fern", "ferns", "#86b8e2 #d5e8f6 #b5d5ee", direction="none",
            options={"upright": False}, scene="rumpled", print_scale="medium"),
    _fabric("Bramble Vine", "vines", "#efe6cf #5d5137 #7f8f4f #566b3a #8a2f4a",
            direction="two-way", scene="corner", print_scale="medium"),
    _fabric("Ivy Gate", "vines", "#31513f #b9a878 #7fa06a #5c7d50 #e9d9a8",
            direction="two-way", scene="draped", print_scale="medium"),
    _fabric("Rowan", "berries", "#25372f #6f8a5c #c43d46 #d9695c", scene="pinked", density=7.5),
]  # fmt: skip

_GEOMETRIC = [
    _fabric("Harbour Rain", "dashes", "#b9d8ee #2f74b0 #7fb4da", options={"spacing": 4.5},
            direction="one-way", scene="rumpled"),
    _fabric("Starlit Barn", "stars", "#1b2c63 #f0e3b8 #d9c27a", options={"spacing": 11.5},
            scene="draped"),
    _fabric("Bee Yard", "hexagons", "#f5ecd2 #e3ac35 #c9852a #8a6a3a", scene="flat",
            print_scale="medium"),
    _fabric("Paper Bunting", "triangles", "#f4efe4 #d9773f #3f6f86 #e0b04a", repeat=(54, 54),
            direction="one-way", scene="corner"),
    _fabric("Mermaid Tiles", "scallops", "#eef2ea #3f8f96 #6fb3b0 #2a6f80",
            direction="one-way", scene="rumpled", file_kind="avif"),
    _fabric("Tweed Path", "herringbone", "#867f74 #c4bdb0", repeat=(36, 36), weave="flannel",
            weight=170, direction="two-way", scene="draped"),
    _fabric("Kiss Stitch", "crosses", "#ebe5da #33363c", repeat=(42, 42),
            options={"count": (6, 6)}, scene="flat"),
    _fabric("Pebble Beach", "pebbles", "#46484d #8c8f92 #b5b3ac #6d7074", scene="corner"),
]  # fmt: skip

_PICTURES = [
    _fabric("Early Birds", "birds", "#bfe0e6 #6d5b45 #33608a #1f3d5c #c8803c #8c4a25",
            direction="one-way", options={"count": (4, 4), "size": 6.8}, print_scale="medium",
            scene="bundle"),
    _fabric("Village Green", "houses", "#f1e8d6 #7b3b34 #f6d98a #5c86a0 #d4a24f #8aa07a #c96f5a",
            direction="one-way", options={"count": (4, 3), "size": 8.0}, print_scale="medium",
            scene="flat"),
    _fabric("First Snow", "firs", "#8fb6da #ffffff #36594c #4f7a62 #22433d",
            direction="one-way", options={"count": (4, 3)}, print_scale="medium",
            scene="rumpled"),
    _fabric("Shoal", "fish", "#bfe0dc #7fb8bd #1c2c3c #e2744d #2f6f8f #f0b45a",
            direction="two-way", options={"count": (4, 5)}, print_scale="medium", scene="corner"),
    _fabric("Pear Tree", "pears", "#f6efdc #5f7a43 #c4533f #c9c45a #9fb04c #e0b84a",
            direction="one-way", options={"count": (4, 3)}, print_scale="medium", scene="draped"),
    _fabric("Regatta Sunday", "boats", "#2f5e86 #16304f #a9cbd9 #c8453d #f4f0e2 #e9b84b",
            direction="one-way", options={"count": (4, 3)}, print_scale="medium", scene="flat"),
]  # fmt: skip

RECIPES: tuple[Recipe, ...] = (
    *_SOLIDS,
    *_BLENDERS,
    *_DOTS_AND_STRIPES,
    *_WOVENS,
    *_SMALL_FLORALS,
    *_LARGE_FLORALS,
    *_LEAVES,
    *_GEOMETRIC,
    *_PICTURES,
)
