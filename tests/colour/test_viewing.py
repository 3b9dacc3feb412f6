import numpy as np
import pytest

from stash.colour.cloth.texture import read_print
from stash.colour.cloth.viewing import HAND, ROOM, seen_from
from stash.colour.spaces.cielab import hex_to_lab, lab_to_linear, linear_to_lab
from tests.colour.patterns import dots, stripes


def test_an_even_colour_looks_the_same_from_everywhere() -> None:
    even = np.broadcast_to(lab_to_linear(hex_to_lab("#a03050")), (60, 80, 3)).astype(np.float32)
    np.testing.assert_allclose(seen_from(even, 0.5, ROOM), even, atol=1e-5)


def test_fine_stripes_blend_to_the_mean_of_light_from_across_the_room() -> None:
    """Half black, half white is L* 76.07 in the mean (CIE 1976)."""
    seen = linear_to_lab(seen_from(stripes(4), 0.5, ROOM))[100:-100, 100:-100, 0]
    assert seen.mean() == pytest.approx(76.07, abs=0.5)
    assert np.ptp(seen) < 2


def test_wide_stripes_stay_apart_in_the_hand() -> None:
    seen = linear_to_lab(np.clip(seen_from(stripes(80), 0.5, HAND), 0, None))[..., 0]
    assert np.ptp(np.percentile(seen, [5, 95])) > 80


def test_more_distance_never_shows_more_contrast() -> None:
    spreads = [
        seen_from(stripes(8), 0.5, distance)[100:-100, 100:-100].std()
        for distance in (0.4, 1.0, 3.0)
    ]
    assert spreads[0] > spreads[1] > spreads[2]


def test_neutral_cloth_stays_neutral_from_every_distance() -> None:
    for distance in (0.4, 1.0, 3.0):
        seen = linear_to_lab(np.clip(seen_from(stripes(40), 0.5, distance), 0, None))
        assert np.abs(seen[..., 1:]).max() < 0.05


def test_a_light_ground_keeps_its_colour_beside_dark_cloth() -> None:
    scene = np.full((300, 600, 3), 0.76, np.float32)
    scene[:, :450] = lab_to_linear(hex_to_lab("#5c1322"))
    ground = linear_to_lab(seen_from(scene, 1.0, ROOM))[:, 560:]
    assert ground[..., 0] == pytest.approx(linear_to_lab([0.76] * 3)[0], abs=0.3)
    assert np.abs(ground[..., 1:]).max() < 1.0


def test_blending_keeps_the_mean() -> None:
    cloth = dots(40, 40)
    for distance in (0.4, 1, 3):
        mean = seen_from(cloth, 0.3, distance).mean(axis=(0, 1))
        np.testing.assert_allclose(mean, cloth.mean(axis=(0, 1)), rtol=0.03)


def test_a_scale_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        seen_from(stripes(8), 0.0, 1.0)


@pytest.mark.parametrize(("across", "along"), [(40, 60), (64, 32), (50, 50)])
def test_the_repeat_of_a_print_is_measured_in_both_directions(across: int, along: int) -> None:
    found = read_print(dots(across, along), 0.5)
    assert found.repeat_across == pytest.approx(across * 0.5, rel=0.02)
    assert found.repeat_along == pytest.approx(along * 0.5, rel=0.02)
    assert not found.reads_as_solid


def test_stripes_repeat_in_one_direction_only() -> None:
    found = read_print(stripes(40), 0.5)
    assert found.repeat_across == pytest.approx(20, rel=0.02)
    assert found.repeat_along is None


def test_pin_dots_read_as_solid_and_a_big_print_does_not() -> None:
    rng = np.random.default_rng(1)
    weave = 0.3 * rng.normal(1, 0.05, (300, 300, 1)) * np.ones(3)
    assert read_print(weave.astype(np.float32), 0.1).reads_as_solid
    assert not read_print(dots(60, 60), 0.5).reads_as_solid
