import csv
from pathlib import Path

import numpy as np
import pytest

from stash.colour.difference import delta_e_76, delta_e_2000, grade_words, grey_scale_grade
from stash.colour.science import colour_science

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


def test_words_follow_the_grades() -> None:
    assert [grade_words(g) for g in ("5", "4-5", "4", "3")] == [
        "passes as one lot",
        "passes as one lot",
        "close",
        "same family",
    ]


def test_plain_difference_is_the_distance_in_cielab() -> None:
    assert float(delta_e_76([50, 3, 0], [50, 0, 4])) == 5
