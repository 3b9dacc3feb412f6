import csv
from pathlib import Path

import numpy as np
import pytest

from stash.colour.references.science import colour_science
from stash.colour.spaces.difference import (
    delta_e_76,
    delta_e_2000,
    grade_words,
    grey_scale_difference,
    grey_scale_grade,
    grey_scale_rating,
)

DATA = Path(__file__).parents[1] / "data" / "colour"


def rows(name: str) -> list[dict[str, str]]:
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


PAIRS = np.array([[float(cell) for cell in row.values()] for row in rows("ciede2000_sharma.csv")])


def test_all_34_published_pairs_agree_to_four_decimals() -> None:
    """Source: Sharma, Wu, Dalal (2005), Table 1; printed to 1e-4."""
    assert len(PAIRS) == 34
    difference = delta_e_2000(PAIRS[:, :3], PAIRS[:, 3:6])
    np.testing.assert_allclose(difference, PAIRS[:, 6], atol=1e-4, rtol=0)


def test_difference_is_symmetric_also_at_a_hue_gap_of_180_degrees() -> None:
    np.testing.assert_allclose(
        delta_e_2000(PAIRS[:, 3:6], PAIRS[:, :3]), PAIRS[:, 6], atol=1e-4, rtol=0
    )


def test_random_colours_agree_with_the_reference_library() -> None:
    """Source: colour-science, an independent implementation of the same paper."""
    reference = colour_science().difference.delta_E_CIE2000

    rng = np.random.default_rng(1)
    lab_1, lab_2 = rng.uniform([0, -100, -100], [100, 100, 100], (2, 20_000, 3))
    np.testing.assert_allclose(delta_e_2000(lab_1, lab_2), reference(lab_1, lab_2), atol=1e-9)


def test_colours_broadcast_against_a_list() -> None:
    assert delta_e_2000([50, 0, 0], np.zeros((4, 5, 3))).shape == (4, 5)


@pytest.mark.parametrize("lab", [[50, 0], 50, [50, 0, float("nan")], [50, float("inf"), 0]])
def test_colours_that_are_none_are_refused(lab: object) -> None:
    with pytest.raises(ValueError, match="CIELAB"):
        delta_e_2000(lab, [50, 0, 0])  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "row", [r for r in rows("iso105_grey_scale.csv") if r["scale"] == "change"]
)
def test_each_pair_of_grey_chips_gets_its_own_grade_within_tolerance(row: dict[str, str]) -> None:
    """Source: ISO 105-A02:1993, clause 2.4, difference and tolerance of each pair of chips."""
    gap, tolerance = float(row["dE_cielab"]), float(row["tolerance"])
    for step in {gap, gap + tolerance, max(0.0, gap - tolerance)}:
        assert grey_scale_grade([50, 0, 0], [50 + step, 0, 0]) == row["grade"]


@pytest.mark.parametrize(("gap", "grade"), [(0, 5), (1.7, 4), (3.4, 3), (6.8, 2), (13.6, 1)])
def test_whole_grades_are_the_chips_of_the_scale(gap: float, grade: float) -> None:
    """Source: ISO 105-A02:1993, clause 2.4: grades 5 to 1 double from 1.7 on."""
    assert grey_scale_rating([40, 0, 0], [40 + gap, 0, 0]) == pytest.approx(grade, abs=1e-12)
    assert grey_scale_rating([40 + gap, 0, 0], [40, 0, 0]) == pytest.approx(grade, abs=1e-12)


def test_half_steps_of_the_scale_lie_between_whole_ones() -> None:
    """Source: ISO 105-A02:1993, clause 2.4; the half steps are printed to 0.1 of a difference."""
    half = {r["grade"]: float(r["dE_cielab"]) for r in rows("iso105_grey_scale.csv")[:9]}
    for grade, middle in (("4-5", 4.5), ("3-4", 3.5), ("2-3", 2.5), ("1-2", 1.5)):
        rating = grey_scale_rating([40, 0, 0], [40 + half[grade], 0, 0])
        assert rating == pytest.approx(middle, abs=0.04)


def test_the_grey_scale_difference_is_the_step_of_lightness_for_greys() -> None:
    rng = np.random.default_rng(2)
    grey = np.zeros((2, 500, 3))
    grey[..., 0] = rng.uniform(0, 100, (2, 500))
    np.testing.assert_allclose(grey_scale_difference(*grey), delta_e_76(*grey), atol=1e-12)


def test_the_grey_scale_difference_is_symmetric_and_turns_with_the_hue_circle() -> None:
    rng = np.random.default_rng(3)
    first, other = rng.uniform([0, -80, -80], [100, 80, 80], (2, 2000, 3))
    there, back = grey_scale_difference(first, other), grey_scale_difference(other, first)
    np.testing.assert_allclose(there, back, atol=1e-9)
    # A step across the start of the hue circle is as small as one beside it.
    assert grey_scale_difference([50, 40, 1], [50, 40, -1]) == pytest.approx(
        float(grey_scale_difference([50, 40, 1], [50, 40, 3])), rel=0.05
    )


def test_strong_colours_are_graded_more_mildly_than_their_plain_difference() -> None:
    """ISO 105-A05, from memory: at a chroma of 50 a step of chroma counts half, of hue 4/5.

    The yellow side of the hue circle, where nothing is turned.
    """
    assert grey_scale_difference([70, 0, 48], [70, 0, 52]) == pytest.approx(2.0, abs=1e-3)
    step = grey_scale_difference([70, 1, 50], [70, -1, 50])
    assert step == pytest.approx(2 / 1.25, abs=1e-3)


def test_words_follow_the_grades() -> None:
    assert [grade_words(g) for g in ("5", "4-5", "4", "3")] == [
        "passes as one lot",
        "passes as one lot",
        "close",
        "same family",
    ]


def test_plain_difference_is_the_distance_in_cielab() -> None:
    assert float(delta_e_76([50, 3, 0], [50, 0, 4])) == 5
