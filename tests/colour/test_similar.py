from dataclasses import replace

import numpy as np
import pytest

from stash.colour.cloth.palette import PaletteColour
from stash.colour.picture.region import Region
from stash.colour.reading import read_picture
from stash.colour.similar import (
    FAR_ALIKE,
    SAME_BITS,
    UNMEASURED,
    Look,
    Reason,
    far_box,
    find_similar,
    hash_distance,
    palette_difference,
    picture_hash,
)
from stash.colour.spaces.difference import delta_e_2000
from tests.colour.patterns import dots, picture_of

WHOLE = Region(x0=0, y0=0, x1=1, y1=1)


def look(*colours: tuple[float, float, float], contrast: float = 30.0) -> Look:
    palette = tuple(PaletteColour(lab=lab, share=1 / len(colours)) for lab in colours)
    return Look(far=colours[0], palette=palette, contrast=contrast, is_estimate=False)


def test_the_same_cloth_again_is_recognised_and_another_is_not() -> None:
    rng = np.random.default_rng(2)
    first, other = dots(60, 60), dots(96, 96)[..., ::-1].copy()
    again = np.clip(first * 1.04 + rng.normal(0, 0.004, first.shape), 0, 1).astype(np.float32)
    known = [
        (name, read_picture(picture_of(pixels), region=WHOLE), picture_hash(picture_of(pixels)))
        for name, pixels in (("first", first), ("other", other))
    ]
    fresh = picture_of(again)
    found = find_similar(read_picture(fresh, region=WHOLE), picture_hash(fresh), known)
    assert [likeness.key for likeness in found] == ["first"]
    assert found[0].reason is Reason.SAME_PICTURE
    assert found[0].is_same_picture


def test_the_rule_is_the_same_both_ways() -> None:
    rng = np.random.default_rng(3)
    looks = [look(*map(tuple, rng.uniform([30, -10, -10], [50, 10, 10], (2, 3)))) for _ in range(9)]
    for first in looks:
        for other in looks:
            there = find_similar(first, "", [("x", other, "")])
            back = find_similar(other, "", [("x", first, "")])
            assert [like.reason for like in there] == [like.reason for like in back]


def test_an_estimate_may_be_further_off_than_a_measurement() -> None:
    measured, other = look((50.0, 0.0, 0.0)), look((57.0, 0.0, 0.0))
    assert not find_similar(measured, "", [("x", other, "")])
    (found,) = find_similar(replace(measured, is_estimate=True), "", [("x", other, "")])
    assert found.reason is Reason.PERHAPS_COLOURS


def test_the_same_far_colour_of_other_colours_is_not_alike() -> None:
    plain = look((50.0, 0.0, 0.0))
    checked = Look(
        far=(50.0, 0.0, 0.0),
        palette=(
            PaletteColour(lab=(50.0, 40.0, 0.0), share=0.5),
            PaletteColour(lab=(50.0, -40.0, 0.0), share=0.5),
        ),
        contrast=30.0,
        is_estimate=False,
    )
    assert palette_difference(plain.palette, checked.palette) > 20
    assert not find_similar(plain, "", [("x", checked, "")])
    assert palette_difference((), plain.palette) == float("inf")


def test_the_hash_of_plain_cloth_is_not_believed() -> None:
    zeros = "0" * 16
    print_, plain = look((50.0, 0.0, 0.0)), look((50.0, 0.0, 0.0), contrast=3.0)
    (found,) = find_similar(print_, zeros, [("x", print_, zeros)])
    assert found.reason is Reason.SAME_PICTURE
    (found,) = find_similar(plain, zeros, [("x", plain, zeros)])
    assert found.reason is Reason.SAME_COLOURS
    assert "compare the prints" in found.sentence


def test_surest_comes_first_and_then_the_nearest() -> None:
    zeros, other = "0" * 16, "f" * 16
    wanted = look((50.0, 0.0, 0.0))
    known = [
        ("far", look((53.0, 0.0, 0.0)), other),
        ("near", look((51.0, 0.0, 0.0)), other),
        ("picture", look((55.0, 0.0, 0.0)), zeros),
    ]
    found = find_similar(wanted, zeros, known)
    assert [like.key for like in found] == ["picture", "near", "far"]


def test_all_that_is_alike_lies_in_the_box() -> None:
    """Against CIEDE2000 itself, with chroma up to 100."""
    rng = np.random.default_rng(5)
    hue, chroma = rng.uniform(0, 2 * np.pi, 60_000), rng.uniform(0, 100, 60_000)
    colours = np.stack([rng.uniform(0, 100, 60_000), chroma * np.cos(hue), chroma * np.sin(hue)], 1)
    other = colours + rng.normal(0, 1, colours.shape) * rng.uniform(1, 40, (60_000, 1))
    other[:, 0] = np.clip(other[:, 0], 0, 100)
    strong = np.hypot(other[:, 1], other[:, 2]) > 100
    other[strong] = colours[strong]
    close = delta_e_2000(colours, other) <= FAR_ALIKE + UNMEASURED
    assert close.sum() > 1000
    for lab, like in zip(colours[close], other[close], strict=True):
        low, high = far_box(look(tuple(lab)))
        assert (like >= low).all()
        assert (like <= high).all()


def test_hashes_count_bits() -> None:
    assert hash_distance("0000000000000000", "000000000000000f") == 4 < SAME_BITS
    assert len(picture_hash(picture_of(dots(60, 60)))) == 16


@pytest.mark.parametrize("reason", list(Reason))
def test_each_reason_has_one_plain_sentence(reason: Reason) -> None:
    assert reason.sentence.endswith(".")
    assert reason.sentence.count(".") == 1
