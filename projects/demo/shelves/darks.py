"""Purples, browns and near blacks."""

from ..holdings import (
    COOL_WASH,
    SHELF_5,
    WARM_WASH,
    Owned,
    cut,
    day,
    fat_quarter,
    given,
    measured,
    scrap,
    strips,
    yards,
)
from ..scenario import ATTIC, BARN, FAIR, GIFT, MARKET, QUAY, SALE

DARKS = (
    Owned(
        recipe="Plum Thicket", tags=("tone on tone",), washed=day("2025-05-31"), bleed="fast",
        pieces=(
            yards("1 yd", "2025-05-24", MARKET, SHELF_5, price="10.40").then(
                measured("2025-05-31", "42 in", "35 in")),
        ),
    ),
    Owned(
        recipe="Lavender Drawer", tags=("tone on tone",), washed=day("2025-05-31"), bleed="fast",
        pieces=(
            yards("3/4 yd", "2025-05-24", MARKET, SHELF_5, price="7.80").then(
                measured("2025-05-31", "42 in", "26 in")),
        ),
    ),
    Owned(
        recipe="Sloe", tags=("staple", "dark"), washed=day("2025-05-31"), bleed="fast",
        care=COOL_WASH,
        pieces=(
            yards("1/2 yd", "2025-05-24", MARKET, SHELF_5, price="4.90").then(
                measured("2025-05-31", "42 in", "17 1/2 in")),
            scrap("8 in", "2 1/4 in", "2025-06-21"),
        ),
    ),
    Owned(
        recipe="Thistle Bank", tags=("garden", "dark"), washed=day("2025-05-31"), bleed="fast",
        pieces=(
            yards("1/2 yd", "2025-05-24", QUAY, SHELF_5, price="5.80").then(
                measured("2025-05-31", "42 1/4 in", "17 1/2 in")),
        ),
    ),
    Owned(
        recipe="Dusky Violets", tags=("backing", "garden"), washed=day("2025-05-31"),
        shrink=("1.9", "0.0"), bleed="fast",
        pieces=(
            yards("1 1/2 yd", "2025-05-24", QUAY, "Backing bin", width="43 in",
                  price="16.20").then(measured("2025-05-31", "43 in", "53 in")),
        ),
    ),
    Owned(
        recipe="Heather Moor", tags=("flannel", "check", "winter"), washed=day("2020-11-14"),
        shrink=("5.5", "3.5"), bleed="fast",
        pieces=(
            yards("2 1/4 yd", "2020-11-07", BARN, "Flannel bin", price="14.60").then(
                measured("2020-11-14", "40 3/4 in", "76 1/2 in"),
                cut("2021-01-16", "30 in", "back of the draught dog and two scarves"),
            ),
        ),
    ),
    Owned(
        recipe="Hearthside Plaid", tags=("flannel", "check", "winter"), washed=day("2020-11-14"),
        shrink=("5.0", "3.8"), bleed="fast", care=WARM_WASH,
        pieces=(
            yards("3 yd", "2020-11-07", BARN, "Flannel bin", price="19.50").then(
                measured("2020-11-14", "40 1/2 in", "102 1/2 in"),
                cut("2020-12-05", "40 in", "pillowcases"),
                given("2021-11-27", "18 in", "to the chapel for the crib blanket"),
            ),
        ),
    ),
    Owned(
        recipe="Peat Plaid", tags=("flannel", "check", "dark"), unwashed=True,
        pieces=(yards("1 yd", "2021-10-16", BARN, "Flannel bin", price="6.00"),),
    ),
    Owned(
        recipe="October Floor", tags=("trees",), washed=day("2022-10-08"), bleed="fast",
        pieces=(
            yards("1 1/4 yd", "2022-10-01", MARKET, SHELF_5, price="12.10").then(
                measured("2022-10-08", "42 in", "43 1/2 in"),
                cut("2022-10-29", "10 in", "leaf table runner", ("15 in", "3 in")),
            ),
        ),
    ),
    Owned(
        recipe="Cocoa Tin", tags=("tone on tone",), unwashed=True,
        pieces=(yards("1/2 yd", "2022-10-01", MARKET, SHELF_5, price="4.80"),),
    ),
    Owned(
        recipe="Dahlia Parade", tags=("large print", "garden", "dark"), unwashed=True,
        pieces=(
            yards("1 1/2 yd", "2022-05-14", GIFT, "Chest bottom", favourite=True,
                  keep_back="18 in"),
        ),
    ),
    Owned(
        recipe="Peony Orchard", tags=("large print", "garden", "dark"), washed=day("2021-09-18"),
        bleed="fast", notes="For something special. Count the blooms before cutting.",
        pieces=(
            yards("2 1/2 yd", "2021-09-11", FAIR, "Chest bottom", price="26.00",
                  favourite=True).then(
                measured("2021-09-18", "43 in", "87 in"),
                cut("2023-10-14", "20 in", "one cushion, bloom in the middle"),
            ),
        ),
    ),
    Owned(
        recipe="Midnight Meadow", tags=("garden", "dark"), unwashed=True,
        pieces=(yards("3/4 yd", "2023-10-28", QUAY, SHELF_5, price="8.10"),
                fat_quarter("2023-10-28", QUAY, price="3.20")),
    ),
    Owned(
        recipe="Coal Cellar", tags=("staple", "dark"), washed=day("2022-09-17"), bleed="fast",
        pieces=(
            yards("2 yd", "2022-09-10", MARKET, SHELF_5, price="17.80").then(
                measured("2022-09-17", "42 in", "70 in"),
                cut("2022-11-12", "12 1/2 in", "binding, five strips"),
                cut("2024-11-09", "18 in", "lining for the tool roll"),
            ),
            strips(12, "2023-08-12", SALE, price="1.50"),
        ),
    ),
    Owned(
        recipe="Blackbird Dot", tags=("dots", "dark"), unwashed=True,
        pieces=(yards("1/2 yd", "2024-07-20", QUAY, SHELF_5, price="5.40"),),
    ),
    Owned(
        recipe="Pencil Case", tags=("stripe", "boys"), unwashed=True,
        pieces=(yards("1 yd", "2023-03-11", ATTIC, SHELF_5, width="40 in",
                      condition="a little faded at the fold"),),
    ),
)  # fmt: skip
