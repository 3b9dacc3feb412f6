"""Whites, creams and greys."""

from ..holdings import (
    SHELF_1,
    WARM_WASH,
    Owned,
    cut,
    day,
    fat_quarter,
    lent,
    measured,
    scrap,
    yards,
)
from ..scenario import ATTIC, BARN, FAIR, MARKET, QUAY

NEUTRALS = (
    Owned(
        recipe="Chalk", tags=("background", "staple"), washed=day("2024-03-16"),
        shrink=("2.5", "1.2"), bleed="fast", care=WARM_WASH,
        notes="The white that goes with everything. Buy more before it is below a yard.",
        pieces=(
            yards("3 1/4 yd", "2024-03-09", MARKET, SHELF_1, price="31.20", lot="roll 14",
                  keep_back="18 in").then(
                measured("2024-03-16", "41 1/2 in", "114 in"),
                cut("2024-10-05", "33 in", "sashing for the chapel quilt", ("9 in", "7 1/2 in")),
            ),
        ),
    ),
    Owned(
        recipe="Snowed In", tags=("background", "winter"), washed=day("2025-08-30"),
        shrink=("3.1", "2.4"), bleed="fast", care=WARM_WASH,
        notes="Lost more in the wash than I allowed for.",
        pieces=(
            yards("1 1/8 yd", "2025-08-23", BARN, SHELF_1, price="8.40", lot="end of roll").then(
                measured("2025-08-30", "41 in", "39 1/4 in")),
        ),
    ),
    Owned(
        recipe="Buttermilk", tags=("background",), washed=day("2023-05-06"), bleed="fast",
        care=WARM_WASH,
        pieces=(
            yards("1 1/2 yd", "2023-04-29", MARKET, SHELF_1, price="13.50").then(
                measured("2023-05-06", "42 in", "52 1/2 in"),
                cut("2024-01-20", "26 in", "cushion backs"),
            ),
        ),
    ),
    Owned(
        recipe="Quiet Meadow", tags=("backing", "background"), washed=day("2024-06-08"),
        shrink=("2.0", "1.0"), bleed="fast",
        pieces=(
            yards("5 yd", "2024-06-01", QUAY, "Backing bin", price="47.50", lot="0316").then(
                measured("2024-06-08", "43 in", "176 in"),
                cut("2024-09-14", "59 in", "back of the picnic quilt"),
            ),
        ),
    ),
    Owned(
        recipe="Fog on the Weir", tags=("backing",), unwashed=True,
        pieces=(yards("3 1/8 yd", "2025-05-17", BARN, "Backing bin", price="21.90"),),
    ),
    Owned(
        recipe="Kiss Stitch", tags=("background", "low contrast"), washed=day("2023-11-04"),
        bleed="fast",
        pieces=(
            yards("1 yd", "2023-10-28", QUAY, SHELF_1, price="10.20").then(
                measured("2023-11-04", "41 3/4 in", "35 in"),
                cut("2024-02-24", "7 in", "labels and corners"),
            ),
        ),
    ),
    Owned(
        recipe="Bramble Vine", tags=("garden",), unwashed=True,
        pieces=(fat_quarter("2024-09-28", FAIR, price="3.20"),
                fat_quarter("2024-09-28", FAIR, price="3.20")),
    ),
    Owned(
        recipe="Pewter Spoon", tags=("staple",), washed=day("2022-09-17"), bleed="fast",
        care=WARM_WASH,
        pieces=(
            yards("2 yd", "2022-09-10", MARKET, SHELF_1, price="17.80").then(
                measured("2022-09-17", "42 in", "70 in"),
                cut("2023-03-18", "21 in", "stars for the boys' quilt"),
                cut("2024-11-02", "12 1/2 in", "binding, five strips"),
            ),
        ),
    ),
    Owned(
        recipe="Slate Roof", tags=("binding",), washed=day("2024-01-13"), bleed="fast",
        care=WARM_WASH,
        pieces=(
            yards("1 yd", "2024-01-06", MARKET, SHELF_1, price="9.60").then(
                measured("2024-01-13", "41 in", "34 3/4 in"),
                cut("2024-05-11", "17 1/2 in", "binding for the harbour runner"),
            ),
        ),
    ),
    Owned(
        recipe="Storm Lantern", tags=("winter",), unwashed=True,
        pieces=(yards("3/4 yd", "2023-02-11", BARN, SHELF_1, price="5.10"),
                scrap("14 in", "6 1/4 in", "2023-05-20").then(
                    *lent("2023-06-10", "2023-09-02", "Hetty"))),
    ),
    Owned(
        recipe="Silver Birch", tags=("trees", "winter"), unwashed=True,
        pieces=(fat_quarter("2023-11-25", QUAY, price="3.40"),
                fat_quarter("2023-11-25", QUAY, price="3.40", favourite=True)),
    ),
    Owned(
        recipe="Tweed Path", tags=("flannel", "winter"), washed=day("2021-10-23"),
        shrink=("6.0", "4.0"), bleed="fast", notes="Flannel: wash first, always.",
        pieces=(
            yards("1 1/2 yd", "2021-10-16", BARN, "Flannel bin", price="9.00").then(
                measured("2021-10-23", "40 1/2 in", "50 3/4 in"),
                cut("2022-01-08", "20 in", "hot water bottle covers", ("11 in", "8 in")),
            ),
        ),
    ),
    Owned(
        recipe="Pebble Beach", tags=("sea",), unwashed=True,
        pieces=(yards("1/2 yd", "2024-07-20", QUAY, SHELF_1, price="5.40"),),
    ),
    Owned(
        recipe="Mattress Row", tags=("stripe", "sturdy"), washed=day("2020-08-15"), bleed="fast",
        notes="Old ticking, close woven. Blunts needles.",
        pieces=(
            yards("2 1/4 yd", "2020-08-08", ATTIC, "Chest bottom", width="35 in",
                  width_measured=True, condition="fold line faded along one edge").then(
                measured("2020-08-15", "34 1/2 in", "79 in"),
                cut("2021-04-10", "24 in", "tool roll"),
            ),
        ),
    ),
)  # fmt: skip
