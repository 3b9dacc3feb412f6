import zlib

import numpy as np
import pytest

from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from stash.colour.references.card import PageError, card_pdf
from stash.colour.references.card_print import printed_luminance
from stash.colour.references.card_view import find_card
from stash.colour.references.correction import project
from stash.colour.references.editions import EDITIONS, FIRST, Edition
from tests.colour.rendering import Phone, cloth_reflectances, random_phone, true_lab
from tests.colour.scenes import (
    Pose,
    card_scene,
    drawn_card,
    place,
    random_printer,
    shadow,
    shoot,
    slope,
)

SIZE = (1200, 900)
CLOTH = cloth_reflectances()


def overlaps(first: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return (
        first[0] < other[2] and other[0] < first[2] and first[1] < other[3] and other[1] < first[3]
    )


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.name)
def test_fields_lie_on_the_card_and_apart(edition: Edition) -> None:
    side = edition.marker_side
    markers = [(x, y, x + side, y + side) for x, y in edition.markers.values()]
    fields = [*markers, *edition.paper, *(patch.box for patch in edition.patches)]
    fields += [edition.window] if edition.window else []
    for index, field in enumerate(fields):
        assert 0 <= field[0] < field[2] <= edition.size[0]
        assert 0 <= field[1] < field[3] <= edition.size[1]
        assert not any(overlaps(field, other) for other in fields[index + 1 :])


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.name)
def test_nothing_is_printed_on_bare_paper(edition: Edition) -> None:
    for box in edition.black_boxes():
        assert not any(overlaps(box, paper) for paper in edition.paper)


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda edition: edition.name)
def test_screens_cover_what_they_should(edition: Edition) -> None:
    """Ink of the lines against the area of the field, from the drawing itself."""
    boxes = np.array(edition.black_boxes())
    for patch in edition.patches:
        x0, y0, x1, y1 = patch.box
        inside = (
            (boxes[:, 0] >= x0) & (boxes[:, 2] <= x1) & (boxes[:, 1] >= y0) & (boxes[:, 3] <= y1)
        )
        ink = ((boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1]))[inside].sum()
        assert ink / ((x1 - x0) * (y1 - y0)) == pytest.approx(patch.coverage, abs=0.01)


@pytest.mark.parametrize(("paper", "width"), [("a4", "595.28"), ("letter", "612.00")])
def test_the_page_to_print_is_a_whole_pdf(paper: str, width: str) -> None:
    page = card_pdf(paper)
    assert page.startswith(b"%PDF-1.4")
    assert page.endswith(b"%%EOF\n")
    assert width.encode() in page
    assert page == card_pdf(paper)
    table = int(page.split(b"startxref\n")[1].split(b"\n")[0])
    assert page[table : table + 4] == b"xref"
    assert zlib.crc32(page) == zlib.crc32(card_pdf(paper.upper()))


def test_another_paper_is_refused_by_name() -> None:
    with pytest.raises(PageError, match="a5"):
        card_pdf("a5")


def test_ink_and_paper_mix_by_area() -> None:
    """Murray and Davies (1936): without gain, half cover is the mean of paper and ink."""
    tones = printed_luminance(np.array([0.9, 0.1, 0.0, 0.5, 0.5]))
    half = [i for i, patch in enumerate(FIRST.patches, 1) if patch.coverage == 0.5]
    np.testing.assert_allclose(tones[half], 0.5)


def test_a_tilted_turned_card_is_found_and_gives_scale_within_one_percent() -> None:
    rng = np.random.default_rng(1)
    for tilt, turn, share in (
        (0, 20, 1 / 20),
        (35, 75, 1 / 20),
        (35, 200, 1 / 3),
        (20, 300, 1 / 9),
    ):
        pose = Pose(share=share, tilt=tilt, axis=turn / 2, turn=turn, x=0.5, y=0.5)
        photo = card_scene(
            rng, phone=random_phone(rng), cloth=CLOTH[40], pose=pose, size=SIZE, blur=1.5
        )
        view, complaint = find_card(decode_photo(photo))
        assert view is not None, complaint
        true = pose.to_pixels(SIZE, *FIRST.size)
        middle = project(true, np.array([[90.0, 60], [91, 60], [90, 61]]))
        found = project(view.to_mm, middle)
        assert np.linalg.norm(found[1] - found[0]) == pytest.approx(1, abs=0.01)
        assert np.linalg.norm(found[2] - found[0]) == pytest.approx(1, abs=0.01)


def test_the_card_makes_the_value_a_measurement() -> None:
    """Small version of the accuracy benchmark, with wider bounds for fewer photos."""
    rng = np.random.default_rng(4)
    errors = []
    for number in range(8):
        cloth = CLOTH[(37 * number) % len(CLOTH)]
        photo = card_scene(
            rng,
            phone=random_phone(rng),
            cloth=cloth,
            pose=Pose(share=0.12, tilt=15, axis=30 * number, turn=17 * number),
            light=slope(SIZE, 0.2, number),
            size=SIZE,
        )
        appearance = read_picture(decode_photo(photo))
        if appearance.reference != "photo card":  # rightly told: the worst white balances clip
            assert any("overexposed" in note for note in appearance.notes)
            continue
        assert not appearance.is_estimate
        errors.append(abs(appearance.far[0] - true_lab(cloth)[0]))
    assert len(errors) >= 6
    assert np.mean(errors) < 1.8
    assert np.max(errors) < 6


def test_a_shadow_across_the_card_is_told_and_costs_certainty() -> None:
    rng = np.random.default_rng(5)
    photo = card_scene(
        rng,
        phone=Phone(),
        cloth=CLOTH[40],
        pose=Pose(share=0.2, x=0.5, y=0.5),
        light=shadow(SIZE, 0.5, 0.5),
        size=SIZE,
    )
    appearance = read_picture(decode_photo(photo))
    assert appearance.uncertainty > 1
    assert any("shadow" in note.lower() for note in appearance.notes)


def test_half_a_card_and_two_cards_are_told_and_fall_back() -> None:
    rng = np.random.default_rng(6)
    half = card_scene(
        rng, phone=Phone(), cloth=CLOTH[40], pose=Pose(share=0.2, x=0.03, y=0.5), size=SIZE
    )
    scene = np.broadcast_to(Phone().raw(CLOTH[40]), (900, 1200, 3)).copy()
    card = drawn_card(random_printer(rng))[..., None] * np.ones(3)
    for x in (0.27, 0.73):
        scene = place(scene, card, Pose(share=0.12, x=x).to_pixels(SIZE, *FIRST.size), 6)
    two = shoot(Phone(), scene, rng)
    for photo, word in ((half, "half"), (two, "more than one")):
        appearance = read_picture(decode_photo(photo))
        assert appearance.reference != "photo card"
        assert any(word in note.lower() for note in appearance.notes)


def test_no_card_is_found_where_there_is_none() -> None:
    """Small version of the benchmark over 500 scenes."""
    rng = np.random.default_rng(7)
    for number in range(5):
        scene = Phone().raw(CLOTH[rng.integers(0, len(CLOTH), (30, 40))])
        blocks = np.kron(scene, np.ones((30, 30, 1)))
        photo = shoot(random_phone(rng), blocks, rng)
        assert find_card(decode_photo(photo)) == (None, None), number


def test_a_card_marked_as_wrong_is_ignored() -> None:
    from stash.colour.picture.marks import Marks

    rng = np.random.default_rng(8)
    photo = card_scene(rng, phone=Phone(), cloth=CLOTH[40], pose=Pose(), size=SIZE)
    appearance = read_picture(decode_photo(photo), marks=Marks(ignore=("photo card", "paper")))
    assert appearance.reference not in ("photo card", "paper")
