"""Small version of tests/benchmarks/colour/regions.py: what is read is the cloth."""

import numpy as np
import pytest

from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from tests.benchmarks.colour.regions import measure, stacked, woven
from tests.colour.rendering import Phone
from tests.colour.scenes import shoot


@pytest.mark.parametrize(
    ("kind", "is_print", "worst"),
    [
        ("stack", False, 0.02),
        ("stack", True, 0.08),
        ("table", True, 0.08),
        ("raw edge", False, 0.1),
    ],
)
def test_the_region_holds_cloth_and_little_else(kind: str, is_print: bool, worst: float) -> None:
    strange, covered = measure(kind, is_print, 5)
    assert strange.mean() <= worst
    assert covered.mean() > 0.3


def test_a_folded_stack_does_not_pollute_the_palette() -> None:
    rng = np.random.default_rng(2)
    phone = Phone(light="LED-B3")
    raw, _ = stacked(woven(False, phone, rng), phone, rng)
    assert len(read_picture(decode_photo(shoot(phone, raw, rng))).palette) == 1
