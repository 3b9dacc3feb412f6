"""Bed, quilt and batting sizes. Sources in the table's head."""

from fractions import Fraction

import pytest

from projects.needs.beds import BEDS, QUILT_HABITS, before_take_up, top_for_bed
from projects.needs.sewing_rules import NeedsError
from projects.needs.usual import usual
from tests.needs.helpers import cm, inch, prints_as, size, table


@pytest.mark.parametrize("row", table("beds.csv"), ids=lambda row: row["bed"])
def test_bed_table(row: dict[str, str]) -> None:
    """Mattresses [W2]; tops [H4] and arithmetic; batting common practice, no source."""
    (bed,) = [bed for bed in BEDS if (bed.region, bed.name) == ("US", row["bed"])]
    assert (bed.width, bed.length) == (inch(row["mattress_width"]), inch(row["mattress_length"]))
    top = (inch(row["top_width"]), inch(row["top_length"]))
    assert top_for_bed(bed.width, bed.length) == top
    tucked = top_for_bed(bed.width, bed.length, tuck=inch("10"))
    assert tucked == (top[0], inch(row["tucked_length"]))
    batting = (inch(row["batting_width"]), inch(row["batting_length"]))
    assert batting in [(package.width, package.length) for package in usual("in").packages]


def test_other_beds_and_habits() -> None:
    """[W2], rounded: UK and continental; crib, long twin. Throw and baby: common practice."""
    sizes = {(bed.region, bed.name): (bed.width, bed.length) for bed in BEDS}
    assert sizes["US", "crib"] == size("28 x 52")
    assert sizes["US", "long twin"] == size("39 x 80")
    assert sizes["UK", "single"] == size("90 x 190", "cm")
    assert sizes["UK", "double"] == size("135 x 190", "cm")
    assert sizes["UK", "king"] == size("150 x 200", "cm")
    assert sizes["UK", "super king"] == size("180 x 200", "cm")
    assert {width for (region, _), (width, _) in sizes.items() if region == "continental"} == {
        cm("90"), cm("140"), cm("160"), cm("180")
    }  # fmt: skip
    habits = {
        quilt_habit.name: (quilt_habit.width, quilt_habit.length) for quilt_habit in QUILT_HABITS
    }
    assert habits == {
        "baby": size("36 x 36"), "crib": size("36 x 52"), "throw": size("50 x 65")
    }  # fmt: skip


def test_take_up_is_made_good_beforehand() -> None:
    """Arithmetic: to end at 84 x 92 after 3 %, make 86.5979 x 94.8454."""
    assert prints_as(before_take_up(inch("84"), Fraction(3, 100)), "86.5979")
    assert prints_as(before_take_up(inch("92"), Fraction(3, 100)), "94.8454")


def test_take_up_out_of_range_is_refused() -> None:
    with pytest.raises(NeedsError, match="A take-up of 3 cannot be used"):
        before_take_up(inch("84"), 3)
