"""Greens."""

from ..holdings import (
    SHELF_3,
    WARM_WASH,
    Owned,
    cut,
    day,
    fat_quarter,
    given_squares,
    measured,
    squares,
    used,
    yards,
)
from ..scenario import BARN, FAIR, MARKET, QUAY, SALE

GREENS = (
    Owned(
        recipe="Bottle Bank", tags=("staple", "dark"), washed=day("2023-01-21"), bleed="fast",
        pieces=(
            yards("1 yd", "2023-01-14", MARKET, SHELF_3, price="9.60").then(
                measured("2023-01-21", "42 in", "35 in"),
                cut("2023-12-09", "10 1/2 in", "holly leaves", ("16 in", "4 in")),
            ),
        ),
    ),
    Owned(
        recipe="Spruce Shade", tags=("binding", "dark", "winter"), washed=day("2025-06-28"),
        bleed="fast", care=WARM_WASH,
        pieces=(
            yards("3/4 yd", "2025-06-21", MARKET, SHELF_3, price="7.40").then(
                measured("2025-06-28", "42 in", "26 in")),
        ),
    ),
    Owned(
        recipe="Olive Press", washed=day("2025-06-28"), bleed="fast",
        pieces=(
            yards("1 1/4 yd", "2025-06-21", MARKET, SHELF_3, price="12.60").then(
                measured("2025-06-28", "42 in", "43 1/2 in")),
        ),
    ),
    Owned(
        recipe="Lichen Wall", tags=("trees",), unwashed=True,
        pieces=(yards("3/4 yd", "2023-10-28", QUAY, SHELF_3, price="8.10"),
                fat_quarter("2024-09-28", FAIR, price="3.20")),
    ),
    Owned(
        recipe="Garden Fence", tags=("stripe", "garden"), washed=day("2025-06-28"), bleed="fast",
        notes="Stripes run along the length. Borders lengthwise, never across.",
        pieces=(
            yards("1 3/4 yd", "2025-06-21", MARKET, SHELF_3, price="17.20").then(
                measured("2025-06-28", "42 in", "61 in")),
        ),
    ),
    Owned(
        recipe="Sweet Cicely", tags=("backing", "garden"), washed=day("2025-04-12"),
        shrink=("2.6", "1.5"), bleed="fast",
        pieces=(
            yards("3 7/8 yd", "2025-04-05", BARN, "Backing bin", price="25.20").then(
                measured("2025-04-12", "42 in", "136 in")),
        ),
    ),
    Owned(
        recipe="Larder Gingham", tags=("check", "kitchen"), washed=day("2022-07-09"), bleed="fast",
        pieces=(
            yards("1 1/2 yd", "2022-07-02", MARKET, SHELF_3, price="12.90").then(
                measured("2022-07-09", "42 1/2 in", "52 in"),
                cut("2022-07-30", "24 in", "jam jar hats and a bread bag"),
            ),
        ),
    ),
    Owned(
        recipe="Peppermint Dot", tags=("dots",), unwashed=True,
        pieces=(squares(42, "2024-08-10", QUAY, price="8.90").then(
            given_squares("2024-11-16", 10, "pincushion swap")),),
    ),
    Owned(
        recipe="Green Lane", tags=("trees", "low contrast"), unwashed=True,
        pieces=(squares(40, "2025-05-03", QUAY, price="8.50"),),
    ),
    Owned(
        recipe="Fern Gully", tags=("garden", "trees"), unwashed=True,
        notes="Fronds grow one way. No turning.",
        pieces=(yards("1 1/2 yd", "2024-04-13", QUAY, SHELF_3, price="16.40",
                      favourite=True),),
    ),
    Owned(
        recipe="Ivy Gate", tags=("garden",), washed=day("2021-06-12"), bleed="fast",
        pieces=(
            yards("1 yd", "2021-06-05", SALE, SHELF_3, price="3.00",
                  condition="one small hole near an end, ringed with chalk").then(
                measured("2021-06-12", "41 in", "34 in")),
        ),
    ),
    Owned(
        recipe="Rowan", tags=("dark", "winter"), unwashed=True,
        pieces=(squares(38, "2023-12-02", QUAY, price="7.90").then(
            used("2023-12-16", 12, "tree ornaments")),),
    ),
    Owned(
        recipe="Sage Conservatory", tags=("large print", "garden"), washed=day("2024-05-18"),
        bleed="fast",
        pieces=(
            yards("2 yd", "2024-05-11", MARKET, "Chest bottom", price="24.00").then(
                measured("2024-05-18", "43 in", "70 in"),
                cut("2024-06-22", "18 in", "a sewing bag for Hetty"),
            ),
        ),
    ),
    Owned(
        recipe="Early Birds", tags=("novelty", "birds"), unwashed=True,
        pieces=(fat_quarter("2025-05-03", QUAY, price="3.60", favourite=True),
                fat_quarter("2025-05-03", QUAY, price="3.60")),
    ),
    Owned(
        recipe="Pear Tree", tags=("kitchen", "novelty"), unwashed=True,
        pieces=(yards("3/4 yd", "2024-07-20", QUAY, SHELF_3, price="8.10"),),
    ),
)  # fmt: skip
