"""Blues and sea colours."""

from ..holdings import (
    COOL_WASH,
    SHELF_2,
    Owned,
    corrected,
    cut,
    day,
    fat_quarter,
    given,
    measured,
    scrap,
    squares,
    used,
    used_up,
    weighed,
    yards,
)
from ..scenario import BARN, FAIR, MARKET, QUAY, SALE

BLUES = (
    Owned(
        recipe="Midnight Pond", tags=("staple", "dark"), washed=day("2025-07-26"),
        bleed="fast", care=COOL_WASH,
        notes="Washed three times before the water stayed clear.",
        pieces=(
            yards("1 1/4 yd", "2025-07-19", MARKET, SHELF_2, price="12.10", lot="roll 3").then(
                measured("2025-07-26", "42 in", "43 1/2 in")),
        ),
    ),
    Owned(
        recipe="Juniper", tags=("garden", "dark"), washed=day("2025-03-29"), bleed="fast",
        pieces=(
            yards("3/4 yd", "2025-03-22", QUAY, SHELF_2, price="8.60").then(
                measured("2025-03-29", "42 1/4 in", "26 1/4 in"),
                cut("2025-04-12", "5 in", "needle book", ("6 1/2 in", "5 in")),
            ),
        ),
    ),
    Owned(
        recipe="Deep Harbour", tags=("sea", "dark"), washed=day("2025-07-26"), bleed="fast",
        pieces=(
            yards("1 7/8 yd", "2025-07-19", QUAY, SHELF_2, price="19.90", favourite=True).then(
                measured("2025-07-26", "42 in", "66 in")),
        ),
    ),
    Owned(
        recipe="Old Ink", tags=("hand-dyed", "dark"), washed=day("2024-09-29"), bleed="bleeds",
        care=COOL_WASH,
        notes="Still gives a little blue to a damp cloth. Not beside white in a wash.",
        pieces=(
            yards("3/4 yd", "2024-09-28", FAIR, SHELF_2, price="11.50", width="43 in").then(
                measured("2024-09-29", "42 in", "26 in")),
            fat_quarter("2024-09-28", FAIR, price="4.00"),
        ),
    ),
    Owned(
        recipe="Rain Barrel", tags=("sky",), washed=day("2025-02-08"), bleed="fast",
        pieces=(
            yards("1 yd", "2025-02-01", MARKET, SHELF_2, price="10.40").then(
                measured("2025-02-08", "42 in", "35 in")),
        ),
    ),
    Owned(
        recipe="Cornflower Jug", tags=("staple",), washed=day("2025-02-08"), bleed="fast",
        pieces=(
            fat_quarter("2025-02-01", MARKET, price="2.80"),
            scrap("3 1/2 in", "17 in", "2025-02-15").then(
                weighed("2025-03-01", "17 in", "on the kitchen scales")),
        ),
    ),
    Owned(
        recipe="Harbour Rain", tags=("sky", "sea"), unwashed=True,
        pieces=(yards("1 1/4 yd", "2024-04-13", QUAY, SHELF_2, price="13.60"),),
    ),
    Owned(
        recipe="Frost Fern", tags=("winter", "garden"), washed=day("2023-12-02"), bleed="fast",
        pieces=(
            yards("1 1/2 yd", "2023-11-25", QUAY, SHELF_2, price="15.90").then(
                measured("2023-12-02", "42 in", "52 in"),
                cut("2024-01-27", "18 in", "two table mats"),
                given("2024-02-03", "9 in", "a strip for Hetty's sampler"),
            ),
        ),
    ),
    Owned(
        recipe="First Snow", tags=("winter", "novelty", "trees"), unwashed=True,
        notes="Trees stand one way only.",
        pieces=(yards("1 yd", "2022-11-19", MARKET, SHELF_2, price="9.90", keep_back="9 in"),),
    ),
    Owned(
        recipe="Regatta Sunday", tags=("sea", "novelty", "boys"), unwashed=True,
        pieces=(yards("1 1/8 yd", "2023-06-24", QUAY, SHELF_2, price="12.20"),
                scrap("9 in", "12 in", "2023-08-05", "two whole boats").then(
                    used_up("2024-03-09", "2 in", "a loop for the keys"))),
    ),
    Owned(
        recipe="Shoal", tags=("sea", "novelty"), unwashed=True,
        pieces=(fat_quarter("2023-06-24", QUAY, price="3.40"),
                fat_quarter("2023-06-24", QUAY, price="3.40"),
                fat_quarter("2023-07-08", QUAY, price="3.40")),
    ),
    Owned(
        recipe="Starlit Barn", tags=("sky", "dark", "boys"), washed=day("2022-03-12"), bleed="fast",
        pieces=(
            yards("2 yd", "2022-03-05", BARN, SHELF_2, price="13.00").then(
                measured("2022-03-12", "42 in", "70 1/4 in"),
                cut("2022-04-23", "36 in", "back of the rocket pillow"),
                cut("2023-03-18", "7 1/2 in", "stars for the boys' quilt"),
            ),
        ),
    ),
    Owned(
        recipe="Pin Light", tags=("dark", "dots"), unwashed=True,
        pieces=(squares(42, "2024-08-10", QUAY, price="8.90").then(
            used("2024-11-16", 18, "pincushion swap")),),
    ),
    Owned(
        recipe="Delft Orchard", tags=("large print", "garden"), washed=day("2023-07-15"),
        bleed="fast",
        pieces=(
            yards("2 1/2 yd", "2023-07-08", MARKET, "Chest bottom", price="29.50",
                  favourite=True).then(
                measured("2023-07-15", "43 in", "88 in")),
        ),
    ),
    Owned(
        recipe="Apron Pocket", tags=("garden",), washed=day("2022-05-21"), bleed="fast",
        pieces=(
            yards("3/4 yd", "2022-05-14", SALE, SHELF_2, price="2.00").then(
                measured("2022-05-21", "41 in", "26 1/2 in", "after washing; cut crooked")),
        ),
    ),
    Owned(
        recipe="Blue Milk Jug", tags=("garden", "low contrast"), unwashed=True,
        pieces=(yards("1/2 yd", "2024-04-13", QUAY, SHELF_2, price="5.60"),
                fat_quarter("2024-04-13", QUAY, price="3.20")),
    ),
    Owned(
        recipe="Workshirt", tags=("sturdy",), washed=day("2021-02-20"), bleed="fast",
        notes="Two yarns, blue and white: frays, so cut a thread wide.",
        pieces=(
            yards("2 yd", "2021-02-13", MARKET, SHELF_2, price="19.00").then(
                measured("2021-02-20", "42 in", "69 in"),
                cut("2021-05-29", "40 in", "two aprons"),
                corrected("2023-01-14", "42 in", "27 in", "measured again at the yearly sorting"),
            ),
        ),
    ),
    Owned(
        recipe="Duck Egg", tags=("background", "sea"), unwashed=True,
        pieces=(yards("1 yd", "2025-04-26", QUAY, SHELF_2, price="10.90"),),
    ),
    Owned(
        recipe="Skimming Stones", tags=("dots", "sea"), unwashed=True,
        pieces=(yards("1/2 yd", "2024-07-20", QUAY, SHELF_2, price="5.40"),
                scrap("42 in", "3 1/4 in", "2024-08-17")),
    ),
    Owned(
        recipe="Mermaid Tiles", tags=("sea", "novelty"), unwashed=True,
        pieces=(yards("1 yd", "2024-07-20", QUAY, SHELF_2, price="11.20", favourite=True),),
    ),
    Owned(
        recipe="Tidepool", tags=("hand-dyed", "sea"), washed=day("2023-09-24"), bleed="fast",
        care=COOL_WASH,
        pieces=(
            yards("1 yd", "2023-09-23", FAIR, SHELF_2, price="15.00", width="43 in").then(
                measured("2023-09-24", "42 1/2 in", "35 1/4 in")),
        ),
    ),
    Owned(
        recipe="Saucer Shelf", tags=("kitchen",), unwashed=True,
        pieces=(fat_quarter("2024-09-28", FAIR, price="3.20"),),
    ),
)  # fmt: skip
