"""How sure a value is beside the card: what must widen it does, and says so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from stash.colour.references.card_doubt import ODD_PRINT, PARTED, doubt_of, warnings_of
from stash.colour.references.card_greys import read_fields
from stash.colour.references.card_light import LightField, relative_light
from stash.colour.references.card_print import ANY_PRINT, printed_luminance
from stash.colour.references.card_view import find_card
from stash.colour.references.editions import EDITIONS, FIRST, SECOND
from stash.colour.references.tone import USUAL_TONE, Tone, ToneFit
from stash.colour.spaces.cielab import xyz_to_lab
from tests.benchmarks.colour.rehearsal import random_photo

GREY = np.full(3, 0.2)


def fitted(numbers: tuple[float, ...] = ANY_PRINT.numbers, off: float = 0.0) -> ToneFit:
    """Return the fit to the fields of a card printed so; the greys off by so much by turns."""
    greys = printed_luminance(np.array(numbers), SECOND)
    greys = greys * np.exp(off * np.resize([1, -1], len(greys)))
    pixels = USUAL_TONE.curved(np.repeat(greys[:, None], 3, axis=1))
    at = np.tile(np.array(SECOND.size) / 2, (len(greys), 1))
    return LightField(edition=SECOND, at=at, papers=1).fit(pixels)


def test_a_card_that_fits_is_surer_than_one_that_contradicts_itself() -> None:
    calm, torn = fitted(), fitted(off=0.12)
    assert not warnings_of(calm)
    assert PARTED in warnings_of(torn)
    assert doubt_of(torn, SECOND)(GREY) > 1.5 * doubt_of(calm, SECOND)(GREY)


def test_a_print_as_no_printer_prints_is_told() -> None:
    paper, black, gain, share, ratio = ANY_PRINT.numbers
    odd = fitted((paper - 0.07, black + 0.06, gain + 0.3, share, ratio))
    assert ODD_PRINT in warnings_of(odd)
    assert doubt_of(odd, SECOND)(GREY) > doubt_of(fitted(), SECOND)(GREY)


def test_strong_colours_and_a_card_beside_the_cloth_are_less_sure() -> None:
    doubt = doubt_of(fitted(), SECOND)
    assert doubt(np.array([0.3, 0.03, 0.02])) > doubt(GREY)
    assert doubt_of(fitted(), FIRST)(GREY) > doubt(GREY)


def test_what_is_known_of_a_print_makes_it_surer() -> None:
    greys = printed_luminance(np.array(ANY_PRINT.numbers), SECOND)
    pixels = USUAL_TONE.curved(np.repeat(greys[:, None], 3, axis=1))
    at = np.tile(np.array(SECOND.size) / 2, (len(greys), 1))
    field = LightField(edition=SECOND, at=at, papers=1)
    known = replace(ANY_PRINT, deviations=tuple(d / 5 for d in ANY_PRINT.deviations))
    usual, sure = field.fit(pixels), field.fit(pixels, known)
    assert doubt_of(sure, SECOND, known)(GREY) < doubt_of(usual, SECOND)(GREY)


def test_the_curve_goes_there_and_back() -> None:
    tone = Tone(gains=(1.2, 1.0, 0.8), curve=(0.5, -1.0, 1.5, 0.3, -0.7, 0.2, 1.0, -0.4))
    light = np.random.default_rng(3).uniform(0.02, 0.8, (50, 3))
    np.testing.assert_allclose(tone.uncurved(tone.curved(light)), light, rtol=2e-3)


def test_light_is_one_at_the_middle_and_falls_off_as_told() -> None:
    at = np.array([np.array(FIRST.size) / 2, [FIRST.size[0], FIRST.size[1] / 2]])
    light = relative_light(at, np.array([0.4, 0, 0, 0, 0, 0, 0, 0, 0.0]), FIRST)
    np.testing.assert_allclose(light[0], 1)
    np.testing.assert_allclose(light[1], np.exp(0.2))


def test_both_editions_are_found_and_measure_the_cloth_they_lie_on() -> None:
    """A few photos of the rehearsal; how many truths lie inside is judged by benchmarks."""
    for edition in EDITIONS:
        rng = np.random.default_rng(5)
        inside = []
        for _ in range(4):
            photo = random_photo(rng, edition, "curve")
            picture = decode_photo(photo.data)
            view, complaint = find_card(picture)
            assert view is not None, complaint
            assert view.edition is edition
            fields, _ = read_fields(picture, view)
            if fields is None:
                continue
            read = read_picture(picture)
            left, top, right, bottom = read.region.box(picture.width, picture.height)
            mask = np.zeros(photo.labels.shape, bool)
            mask[top:bottom, left:right] = True
            truth = xyz_to_lab(photo.truth(mask))
            inside.append(abs(read.far[0] - truth[0]) <= 15 * read.uncertainty)
        assert inside
        assert all(inside)
