"""The story of the demo: an invented quilter, her sewing room, and what she is making.

Nobody and nothing here is real: not the people, the towns, the shops, the fabrics or the
prices. Sizes are written as she would write them and parsed when the demo is loaded.
"""

from dataclasses import dataclass
from datetime import date, datetime, time

STORY_DAY = date(2025, 9, 20)
"""The day on which the story stands still; everything else happened before."""

CARD_SINCE = date(2023, 1, 1)
"""Since then she lays the photo card on the cloth; older photos have no reference."""

QUILTER = "Linnet Ashdown of Little Ottermere"

MARKET = "Market Row Drapery, Little Ottermere"
BARN = "The Remnant Barn, Lower Wendle"
QUAY = "Pinfold Quay Haberdashery"
FAIR = "Autumn quilt fair, Wendle village hall"
SALE = "Chapel rummage sale"
GIFT = "A present from Cousin Hetty"
ATTIC = "Grandmother's attic"


@dataclass(frozen=True, kw_only=True)
class Room:
    """A place and the places inside it."""

    name: str
    note: str = ""
    inside: tuple["Room", ...] = ()


PLACES = (
    Room(
        name="Tall cupboard",
        note="Away from the window; the door stays shut because of the light.",
        inside=(
            Room(name="Shelf 1", note="Whites, creams and greys"),
            Room(name="Shelf 2", note="Blues and sea colours"),
            Room(name="Shelf 3", note="Greens"),
            Room(name="Shelf 4", note="Reds, pinks, oranges and yellows"),
            Room(name="Shelf 5", note="Purples, browns and near blacks"),
        ),
    ),
    Room(
        name="Sewing table",
        inside=(
            Room(name="Fat quarter drawer"),
            Room(name="Left drawer", note="Squares and strips"),
        ),
    ),
    Room(
        name="Spare bed",
        note="Two flat bins on wheels underneath",
        inside=(Room(name="Flannel bin"), Room(name="Backing bin")),
    ),
    Room(
        name="Hall chest",
        note="Camphor-free; refold every spring.",
        inside=(Room(name="Top tray"), Room(name="Chest bottom", note="Large prints")),
    ),
    Room(name="Project basket"),
    Room(name="Scrap tin", note="The biscuit tin on the window sill"),
)


@dataclass(frozen=True, kw_only=True)
class Trip:
    """A shop trip whose photos still wait to be put on the shelf."""

    shop: str
    on: date

    @property
    def noon(self) -> datetime:
        return datetime.combine(self.on, time(12))


WAITING_TRIP = Trip(shop=QUAY, on=date(2025, 9, 19))


@dataclass(frozen=True, kw_only=True)
class PartPlan:
    """One role of a project. `lines` is its cut list as it would be pasted.

    `expected` is how the story goes; the tests ask the planner whether it does.
    """

    role: str
    fabrics: tuple[str, ...] = ()
    lines: str = ""
    title: str = ""
    number: int | None = None
    want: str = ""
    values: tuple[float, float] | None = None
    only_this_colour: bool = False
    only_undirected: bool = False
    most_fabrics: int | None = None
    never_turn: bool = False
    promised: bool = False
    cut_already: bool = False
    not_needed: bool = False
    note: str = ""
    expected: str = "covered"


@dataclass(frozen=True, kw_only=True)
class QuiltPlan:
    """The drawing of a project: blocks across and down, and which part each role is cut from."""

    across: int
    down: int
    block: str
    side: str
    cut_from: tuple[tuple[str, str], ...]
    border: str = ""


@dataclass(frozen=True, kw_only=True)
class ProjectPlan:
    name: str
    finished: tuple[str, str]
    parts: tuple[PartPlan, ...]
    drawing: QuiltPlan | None = None
    note: str = ""
    started: date = STORY_DAY


_FROM_THE_ROLL = "From the roll of cotton wadding in the hall."

# Every piece gives 1 in to squaring-up, and every fabric chosen here was washed before it was
# measured, so nothing more is lost to shrinkage (except the backing named below). A strip
# across the width is planned at 42 in less 3 %: 40.74 in.

# Covered. 6 x 8 squares of 6 in make 36 x 48, and a 3 in border 42 x 54.
#   Background: floor(41 1/2 / 6 1/2) = 6 a strip, 24 / 6 = 4 strips, 26 in of the 81 on hand.
#   Squares: 6 a strip, 4 strips, 26 + 1 in of the 43 1/2 in of Midnight Pond alone.
#   Border: side by side along the length 4 x 3 1/2 = 14 of 42 in, 48 1/2 + 1 of 66 in.
#   Binding: 2 (42 + 54) + 10 = 202 in; 6 x 40.74 - 5 x 2 1/2 = 231.94 (5 strips give 193.70);
#   6 x 2 1/2 + 1 = 16 of 26 in.
#   Backing with 4 in over: 50 x 62; two panels 40 + 40 - 1 = 79 >= 62 wide, 2 x 50 + 1 = 101
#   of 117 in.
_POND_PATH = ProjectPlan(
    name="Pond Path",
    finished=("42 in", "54 in"),
    note="For the window seat. Light and dark squares like stepping stones; all from the shelf.",
    started=date(2025, 8, 2),
    drawing=QuiltPlan(
        across=3, down=4, block="four-patch", side="12 in", border="3 in",
        cut_from=(("first", "Stepping stones"), ("second", "Background"),
                  ("border 1", "Border 1")),
    ),
    parts=(
        PartPlan(role="background", fabrics=("Chalk",), lines="24 squares 6 1/2",
                 want="white", values=(8.5, 10.0), promised=True),
        PartPlan(role="feature", title="Stepping stones", fabrics=("Midnight Pond", "Juniper"),
                 lines="24 squares 6 1/2", want="dark blue", values=(1.0, 5.0), promised=True),
        PartPlan(role="border", number=1, fabrics=("Deep Harbour",), want="dark teal",
                 values=(1.5, 4.0),
                 lines="2 rectangles 3 1/2 x 48 1/2, no turning\n"
                       "2 rectangles 3 1/2 x 42 1/2, no turning"),
        PartPlan(role="binding", fabrics=("Old Ink",), lines="6 strips 2 1/2 x width",
                 want="dark blue", values=(1.5, 4.0)),
        PartPlan(role="backing", fabrics=("Quiet Meadow",), want="cream",
                 lines="2 rectangles 40 x 50, no turning"),
        PartPlan(role="batting", not_needed=True, note=_FROM_THE_ROLL),
    ),
)  # fmt: skip

# Short of background by a little. 48 four-patches of 7 in, 6 x 8: 42 x 56.
#   Background: 96 squares of 4 in. The 1 1/8 yd came out of the wash as 41 x 39 1/4: with 1 in
#   for squaring up 38 1/4 long, floor(41 / 4) = 10 a strip, floor(38 1/4 / 4) = 9 strips, 90
#   squares; 6 are missing although 41 x 38 1/4 = 1568 sq in is more than 96 x 16 = 1536.
#   Blues: Rain Barrel 42 x 35: 10 a strip, 8 strips, 80; the fat quarter of Cornflower Jug
#   21 x 18: 5 x 4 = 20; 100 >= 96.
#   Binding: 2 (42 + 56) + 10 = 206 in, 6 strips as above, 16 of 17 1/4 in.
#   Backing 50 x 64, unwashed: 2 x 50 + 1 = 101 of 112 1/2 x 0.97 = 109.12 in; 40 of 40.74 wide.
_FIRST_FROST = ProjectPlan(
    name="First Frost",
    finished=("42 in", "56 in"),
    note="Ice on the rain barrel. I was so sure there was enough white before I washed it.",
    started=date(2025, 9, 6),
    drawing=QuiltPlan(
        across=6, down=8, block="four-patch", side="7 in",
        cut_from=(("first", "Blues"), ("second", "Background")),
    ),
    parts=(
        PartPlan(role="background", fabrics=("Snowed In",), lines="96 squares 4",
                 want="white", values=(9.0, 10.0), expected="short"),
        PartPlan(role="feature", title="Blues", fabrics=("Rain Barrel", "Cornflower Jug"),
                 lines="96 squares 4", want="blue", values=(3.5, 6.5)),
        PartPlan(role="binding", fabrics=("Slate Roof",), lines="6 strips 2 1/2 x width",
                 want="dark grey"),
        PartPlan(role="backing", fabrics=("Fog on the Weir",), want="pale grey",
                 lines="2 rectangles 40 x 50, no turning"),
        PartPlan(role="batting", not_needed=True, note=_FROM_THE_ROLL),
    ),
)  # fmt: skip

# Area says yes, shape says no. 4 x 8 squares of 6 in: a runner of 24 x 48.
#   Red squares: two fat quarters of 18 x 21 are 756 sq in, sixteen 6 1/2 in squares are 676, yet
#   each gives floor(21 / 6 1/2) x floor(17 / 6 1/2) = 3 x 2 = 6, together 12; 4 are missing.
#   Background: 42 x 26 1/2: 6 a strip, 3 strips (19 1/2 of 25 1/2 in) for 16.
#   Binding: 2 (24 + 48) + 10 = 154 in; 4 x 40.74 - 3 x 2 1/2 = 155.46; 11 of 17 1/2 in.
#   Backing 32 x 56 in one panel: 56 + 1 of 62 in.
_BAKEHOUSE_WINDOW = ProjectPlan(
    name="Bakehouse Window",
    finished=("24 in", "48 in"),
    note="Runner for the kitchen table. Two fat quarters of the red dot must do, it is long gone.",
    started=date(2025, 9, 13),
    parts=(
        PartPlan(role="feature", title="Red squares", fabrics=("Bakehouse Dot",),
                 lines="16 squares 6 1/2", want="red", values=(4.0, 6.5), expected="short"),
        PartPlan(role="background", fabrics=("Buttermilk",), lines="16 squares 6 1/2",
                 want="cream", values=(8.0, 10.0)),
        PartPlan(role="binding", fabrics=("Rosehip",), lines="4 strips 2 1/2 x width",
                 want="dark red"),
        PartPlan(role="backing", fabrics=("Picnic Red",), want="red and white check",
                 lines="1 rectangle 32 x 56"),
        PartPlan(role="batting", not_needed=True, note=_FROM_THE_ROLL),
    ),
)  # fmt: skip

# A directional print. 4 x 9 bricks of 12 x 6 in: 48 x 54, with a 4 in border 56 x 62.
#   Houses: upright floor(41 1/2 / 12 1/2) = 3 a row, 18 / 3 = 6 rows of 6 1/2 = 39 in of the
#   40 1/4 - 1. Lying down they would be 6 a row in 3 rows of 12 1/2, 37 1/2 in; but a village
#   does not lie on its side.
#   Plain bricks: either way, at most 39 of 43 1/2 - 1 in.
#   Border, striped, along the length: 4 x 4 1/2 = 18 of 42 in, 56 1/2 + 1 of 61 in.
#   Binding: 2 (56 + 62) + 10 = 246 in; 7 x 40.74 - 6 x 2 1/2 = 270.18 (6 strips give 231.94);
#   18 1/2 of 26 in.
#   Backing 64 x 70: two panels of 40 give 79, 2 x 64 + 1 = 129 of 136 in.
_VILLAGE_WALK = ProjectPlan(
    name="Village Walk",
    finished=("56 in", "62 in"),
    note="Every house upright, whatever the saving.",
    started=date(2025, 7, 12),
    parts=(
        PartPlan(role="feature", title="House bricks", fabrics=("Village Green",),
                 lines="18 rectangles 12 1/2 x 6 1/2", want="houses on cream"),
        PartPlan(role="accent", title="Plain bricks", fabrics=("Olive Press",),
                 lines="18 rectangles 12 1/2 x 6 1/2", want="olive", values=(3.5, 5.5)),
        PartPlan(role="border", number=1, fabrics=("Garden Fence",), never_turn=True,
                 want="green stripe",
                 lines="2 rectangles 4 1/2 x 54 1/2, no turning\n"
                       "2 rectangles 4 1/2 x 56 1/2, no turning"),
        PartPlan(role="binding", fabrics=("Spruce Shade",), lines="7 strips 2 1/2 x width",
                 want="dark green", values=(2.0, 4.0)),
        PartPlan(role="backing", fabrics=("Sweet Cicely",), want="sage",
                 lines="2 rectangles 40 x 64, no turning"),
        PartPlan(role="batting", not_needed=True, note=_FROM_THE_ROLL),
    ),
)  # fmt: skip

# Half cut. 8 x 10 squares of 4 in: 32 x 40, with a 2 in border 36 x 44.
#   Dark squares: floor(42 / 4 1/2) = 9 a strip, 40 / 9 = 5 strips, 22 1/2 + 1 of 35 in; cut.
#   Light squares: 5 strips likewise, 23 1/2 of 26 in; still whole.
#   Border: four strips of 2 1/2, 10 + 1 of 17 1/2 in, each 40 1/2 or 36 1/2 of 42 in long.
#   Binding: 2 (36 + 44) + 10 = 170 in; 5 x 40.74 - 4 x 2 1/2 = 193.70 (4 strips give 155.46);
#   13 1/2 of 17 1/2 in.
#   Backing with 3 in over: 42 x 50 from 43 x 53.
_PLUM_LANE = ProjectPlan(
    name="Plum Lane",
    finished=("36 in", "44 in"),
    note="Cot quilt. Dark squares are cut and in the basket; light ones wait for a quiet evening.",
    started=date(2025, 6, 21),
    parts=(
        PartPlan(role="feature", title="Dark squares", fabrics=("Plum Thicket",),
                 lines="40 squares 4 1/2", want="plum", values=(2.0, 4.0), cut_already=True),
        PartPlan(role="background", title="Light squares", fabrics=("Lavender Drawer",),
                 lines="40 squares 4 1/2", want="pale lilac", values=(6.5, 8.5), promised=True),
        PartPlan(role="border", number=1, fabrics=("Sloe",), want="very dark purple",
                 lines="2 rectangles 2 1/2 x 40 1/2\n2 rectangles 2 1/2 x 36 1/2"),
        PartPlan(role="binding", fabrics=("Thistle Bank",), lines="5 strips 2 1/2 x width",
                 want="purple"),
        PartPlan(role="backing", fabrics=("Dusky Violets",), lines="1 rectangle 42 x 50",
                 want="pale purple"),
        PartPlan(role="batting", not_needed=True, note=_FROM_THE_ROLL),
    ),
)  # fmt: skip

# Nothing is chosen yet: the stash is to be asked for all parts together. 5 x 7 squares of 8 in:
# 40 x 56, with a 2 in border 44 x 60.
#   Squares: floor(42 / 8 1/2) = 4 a strip, of a fat quarter floor(21 / 8 1/2) x floor(17 / 8 1/2)
#   = 2 x 2 (trade handbook: four squares of 8 1/2 in a fat quarter).
#   Border, along the length: 4 x 2 1/2 = 10 in wide, 56 1/2 + 1 in long.
#   Binding: 2 (44 + 60) + 10 = 218 in; 6 x 40.74 - 5 x 2 1/2 = 231.94 (5 strips give 193.70).
#   Backing with 4 in over: 52 x 68; two panels 40 + 40 - 1 = 79 >= 68 wide, 2 x 52 + 1 = 105 in.
_EVENING_FERRY = ProjectPlan(
    name="Evening Ferry",
    finished=("44 in", "60 in"),
    note="Lamps on the water. Only from the shelf this time: which of my fabrics would do for all?",
    started=date(2025, 9, 18),
    parts=(
        PartPlan(role="background", title="Sky", lines="12 squares 8 1/2", want="pale blue",
                 values=(7.0, 9.0), expected="short"),
        PartPlan(role="feature", title="Water", lines="12 squares 8 1/2", want="dark blue",
                 values=(1.5, 4.0), most_fabrics=3, expected="short"),
        PartPlan(role="accent", title="Lamps", lines="6 squares 8 1/2", want="yellow",
                 expected="short"),
        PartPlan(role="other", title="Hulls", lines="5 squares 8 1/2", want="red",
                 only_this_colour=True, most_fabrics=2, expected="short"),
        PartPlan(role="border", number=1, want="dark teal", values=(1.5, 4.0), most_fabrics=1,
                 only_undirected=True, expected="short",
                 lines="2 rectangles 2 1/2 x 56 1/2, no turning\n"
                       "2 rectangles 2 1/2 x 44 1/2, no turning"),
        PartPlan(role="binding", lines="6 strips 2 1/2 x width", want="dark blue",
                 values=(1.5, 4.0), most_fabrics=1, expected="short"),
        PartPlan(role="backing", lines="2 rectangles 40 x 52, no turning", want="cream",
                 most_fabrics=1, expected="short"),
        PartPlan(role="batting", not_needed=True, note=_FROM_THE_ROLL),
    ),
)  # fmt: skip

PROJECTS = (_PLUM_LANE, _VILLAGE_WALK, _POND_PATH, _FIRST_FROST, _BAKEHOUSE_WINDOW,
            _EVENING_FERRY)  # fmt: skip
