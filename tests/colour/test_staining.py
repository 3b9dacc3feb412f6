"""The grey scale for staining, against its published chips and against colour-science."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from stash.colour.references.science import colour_science
from stash.colour.spaces.staining import (
    STAINING_GRADES,
    graded,
    staining_difference,
    staining_rating,
)

DATA = Path(__file__).resolve().parent.parent / "data" / "colour" / "iso105_grey_scale.csv"


def chips() -> list[tuple[str, float, float]]:
    """Grade, difference and tolerance: ISO 105-A03:1993, its source in the file's head."""
    lines = [line for line in DATA.read_text().splitlines() if not line.startswith("#")]
    return [
        (row["grade"], float(row["dE_cielab"]), float(row["tolerance"]))
        for row in csv.DictReader(lines)
        if row["scale"] == "staining"
    ]


@pytest.mark.parametrize(("grade", "difference", "tolerance"), chips())
def test_each_published_chip_has_its_grade_within_its_tolerance(
    grade: str, difference: float, tolerance: float
) -> None:
    white = (96.0, 0.0, 0.0)
    for off in (-tolerance, 0.0, tolerance):
        step = max(0.0, difference + off)
        assert graded(white, (96.0 - step, 0.0, 0.0), uncertainty=0.0).grade == grade


def test_chips_and_rating_agree_to_a_twentieth_of_a_grade() -> None:
    """The formula of ISO 105-A04 against the chips of ISO 105-A03."""
    for grade, difference, _ in chips():
        ends = [float(part) for part in grade.split("-")]
        assert staining_rating(difference) == pytest.approx(sum(ends) / len(ends), abs=0.05)


def test_difference_of_coloured_stains_agrees_with_colour_science() -> None:
    """Its CIE 1976 difference and the lightness of its own conversions, put together by hand."""
    colour = colour_science()
    rng = np.random.default_rng(9)
    for _ in range(50):
        white = np.array([rng.uniform(88, 98), *rng.uniform(-2, 4, 2)])
        stain = np.array([rng.uniform(50, 95), *rng.uniform(-40, 40, 2)])
        whole = float(colour.delta_E(white, stain, method="CIE 1976"))
        back = [colour.XYZ_to_Lab(colour.Lab_to_XYZ(lab))[0] for lab in (white, stain)]
        step = back[1] - back[0]
        expected = whole - 0.4 * np.sqrt(whole**2 - step**2)
        assert staining_difference(white, stain) == pytest.approx(expected, abs=1e-6)


def test_more_stain_is_never_a_better_grade() -> None:
    ratings = [staining_rating(difference) for difference in np.linspace(0, 60, 601)]
    assert ratings[0] == 5
    assert all(after <= before + 0.02 for before, after in pairwise(ratings))


@pytest.mark.parametrize(
    ("step", "unsure", "worst", "grade", "best"),
    [
        (8.5, 0.0, "3", "3", "3"),
        (8.5, 0.25, "2-3", "3", "3-4"),
        (1.0, 0.25, "4", "5", "5"),
        (60.0, 0.3, "1", "1", "1"),
        (0.0, 0.0, "5", "5", "5"),
    ],
)
def test_the_readings_leave_open_what_their_interval_reaches(
    step: float, unsure: float, worst: str, grade: str, best: str
) -> None:
    """Differences 2.5 L* to either side of 8.5, 6.0 and 11.0, by the published chips."""
    found = graded((95.0, 0.0, 0.0), (95.0 - step, 0.0, 0.0), uncertainty=unsure)
    assert (found.worst, found.grade, found.best) == (worst, grade, best)
    assert found.is_certain is (worst == best)
    assert STAINING_GRADES.index(found.best) <= STAINING_GRADES.index(found.worst)
