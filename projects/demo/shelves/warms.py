"""Reds, pinks, oranges and yellows."""

from ..holdings import (
    COOL_WASH,
    SHELF_4,
    WARM_WASH,
    Owned,
    cut,
    day,
    fat_quarter,
    given,
    given_squares,
    measured,
    scrap,
    squares,
    strips,
    used,
    yards,
)
from ..scenario import FAIR, MARKET, QUAY, SALE

WARMS = (
    Owned(
        recipe="Rosehip", tags=("staple", "binding"), washed=day("2024-11-30"), bleed="bleeds",
        care=COOL_WASH, notes="Ran pink in the first bath and a little in the second. Test again.",
        pieces=(
            yards("1/2 yd", "2024-11-23", MARKET, SHELF_4, price="4.90").then(
                measured("2024-11-30", "41 3/4 in", "17 1/2 in")),
        ),
    ),
    Owned(
        recipe="Bakehouse Dot", tags=("dots", "kitchen"), washed=day("2019-10-12"), bleed="fast",
        notes="The last of it; no shop has this red any more.",
        pieces=(
            fat_quarter("2019-10-05", SALE, price="1.00", width_measured=True,
                        length_measured=True),
            fat_quarter("2019-10-05", SALE, price="1.00", width_measured=True,
                        length_measured=True),
            scrap("6 in", "11 in", "2020-02-22"),
        ),
    ),
    Owned(
        recipe="Cherry Lane", tags=("garden",), unwashed=True,
        pieces=(fat_quarter("2023-04-29", MARKET, price="2.80"),
                fat_quarter("2023-04-29", MARKET, price="2.80")),
    ),
    Owned(
        recipe="Picnic Red", tags=("check", "backing", "kitchen"), washed=day("2022-04-30"),
        bleed="fast", care=WARM_WASH,
        pieces=(
            yards("3 yd", "2022-04-23", MARKET, "Backing bin", price="24.60").then(
                measured("2022-04-30", "42 1/2 in", "104 in"),
                cut("2022-06-11", "42 in", "the picnic quilt"),
            ),
        ),
    ),
    Owned(
        recipe="Velvet Curtain", tags=("dark",), washed=day("2023-12-02"), bleed="fast",
        pieces=(
            yards("1 yd", "2023-11-25", QUAY, SHELF_4, price="10.80").then(
                measured("2023-12-02", "42 in", "35 1/4 in"),
                cut("2023-12-09", "8 in", "berries"),
            ),
        ),
    ),
    Owned(
        recipe="Ember Bank", tags=("hand-dyed",), washed=day("2023-09-24"), bleed="bleeds",
        care=COOL_WASH,
        pieces=(
            yards("1/2 yd", "2023-09-23", FAIR, SHELF_4, price="8.00", width="43 in").then(
                measured("2023-09-24", "42 1/2 in", "17 1/2 in")),
            fat_quarter("2023-09-23", FAIR, price="4.00"),
        ),
    ),
    Owned(
        recipe="Marmalade Morning", tags=("kitchen",), unwashed=True,
        pieces=(fat_quarter("2024-02-10", MARKET, price="2.80"),),
    ),
    Owned(
        recipe="Clover Honey", tags=("staple",), unwashed=True,
        pieces=(fat_quarter("2024-02-10", MARKET, price="2.80"),
                strips(20, "2024-02-10", MARKET, price="9.00").then(
                    used("2024-03-02", 7, "log cabin trial blocks"))),
    ),
    Owned(
        recipe="Hayloft", washed=day("2023-05-06"), bleed="fast",
        pieces=(
            yards("1 1/4 yd", "2023-04-29", MARKET, SHELF_4, price="11.90").then(
                measured("2023-05-06", "42 in", "43 1/2 in"),
                cut("2023-08-19", "12 1/2 in", "binding, five strips"),
                given("2024-06-15", "9 in", "promised to the guild, then she found her own",
                      taken_back=True),
            ),
        ),
    ),
    Owned(
        recipe="Deckchair", tags=("stripe", "sea"), unwashed=True,
        pieces=(yards("1 yd", "2023-06-24", QUAY, SHELF_4, price="10.60"),),
    ),
    Owned(
        recipe="Primrose Path", tags=("garden",), unwashed=True,
        pieces=(squares(42, "2025-05-03", QUAY, price="8.90"),),
    ),
    Owned(
        recipe="Bee Yard", tags=("novelty",), washed=day("2024-05-18"), bleed="fast",
        pieces=(
            yards("1 1/2 yd", "2024-05-11", MARKET, SHELF_4, price="15.40").then(
                measured("2024-05-18", "42 in", "52 1/2 in"),
                cut("2024-08-03", "16 in", "honey jar bags", ("42 in", "2 1/4 in")),
            ),
        ),
    ),
    Owned(
        recipe="Ballet Ribbon", tags=("staple",), unwashed=True,
        pieces=(yards("1 1/4 yd", "2022-10-01", MARKET, SHELF_4, price="11.00"),),
    ),
    Owned(
        recipe="Raspberry Fool", washed=day("2022-10-08"), bleed="fast",
        pieces=(
            yards("3/4 yd", "2022-10-01", MARKET, SHELF_4, price="7.20").then(
                measured("2022-10-08", "41 1/2 in", "26 in"),
                cut("2023-02-04", "11 in", "hearts"),
            ),
            scrap("8 1/4 in", "10 in", "2023-02-04"),
        ),
    ),
    Owned(
        recipe="Foxglove Haze", tags=("garden",), unwashed=True,
        pieces=(yards("1 yd", "2024-09-28", FAIR, SHELF_4, price="9.50"),),
    ),
    Owned(
        recipe="Rose Chambray", tags=("sturdy", "low contrast"), washed=day("2021-02-20"),
        bleed="fast",
        pieces=(
            yards("1 yd", "2021-02-13", MARKET, SHELF_4, price="9.60").then(
                measured("2021-02-20", "42 in", "34 1/2 in")),
        ),
    ),
    Owned(
        recipe="Thimble Rose", tags=("garden",), unwashed=True,
        pieces=(squares(42, "2022-11-19", MARKET, price="8.20").then(
            used("2023-02-04", 16, "heart cushion"),
            given_squares("2023-02-11", 6, "to Hetty, for her sampler")),),
    ),
    Owned(
        recipe="Rose Arbour", tags=("large print", "garden"), washed=day("2024-05-18"),
        bleed="fast",
        pieces=(
            yards("2 3/4 yd", "2024-05-11", MARKET, "Chest bottom", price="33.00",
                  favourite=True, keep_back="36 in").then(
                measured("2024-05-18", "43 in", "96 in")),
        ),
    ),
    Owned(
        recipe="Coral Glasshouse", tags=("large print", "garden"), unwashed=True,
        notes="Much brighter than the photo can show on some screens.",
        pieces=(yards("1 yd", "2025-07-19", QUAY, "Chest bottom", price="13.90"),),
    ),
    Owned(
        recipe="Hedgerow", tags=("garden", "low contrast"), washed=day("2023-05-06"), bleed="fast",
        pieces=(
            yards("1 1/2 yd", "2023-04-29", MARKET, SHELF_4, price="14.70").then(
                measured("2023-05-06", "42 in", "52 1/2 in"),
                cut("2023-07-22", "13 1/2 in", "napkins for the garden table"),
            ),
        ),
    ),
    Owned(
        recipe="Paper Bunting", tags=("novelty",), unwashed=True,
        pieces=(yards("1/2 yd", "2024-04-13", QUAY, SHELF_4, price="5.60"),
                scrap("13 in", "4 1/2 in", "2024-05-25")),
    ),
    Owned(
        recipe="Village Green", tags=("novelty",), washed=day("2025-06-28"), bleed="fast",
        notes="Houses stand one way. Chimneys point to the cut end.",
        pieces=(
            yards("1 1/8 yd", "2025-06-21", MARKET, SHELF_4, price="12.40").then(
                measured("2025-06-28", "41 1/2 in", "40 1/4 in")),
        ),
    ),
)  # fmt: skip
