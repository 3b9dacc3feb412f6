"""Photos in which something is wrong: each is told in a sentence and falls to a lower reference."""

import io

import cv2
import numpy as np
import pytest
from PIL import Image

from stash.colour.appearance import Appearance
from stash.colour.picture.marks import Marks
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from stash.colour.references.editions import FIRST
from tests.colour.rendering import (
    Floats,
    Phone,
    cloth_reflectances,
    grey_reflectance,
    random_phone,
    true_lab,
)
from tests.colour.scenes import (
    Pose,
    card_scene,
    chart_scene,
    drawn_card,
    place,
    random_printer,
    shoot,
    slope,
    texture,
)

SIZE = (1200, 900)
CLOTH = cloth_reflectances()
PHONE = Phone(light="LED-B3", balance=0.8, headroom=0.9)


def read(photo: bytes, marks: Marks | None = None) -> Appearance:
    return read_picture(decode_photo(photo), marks=marks)


def told(appearance: Appearance, word: str) -> bool:
    return any(word in note for note in appearance.notes)


def around(pose: Pose, darker: float, reach: float = 0.28) -> Floats:
    """Return light (h, w) that is darker in a soft-edged disk around a place."""
    width, height = SIZE
    y, x = np.mgrid[0:height, 0:width]
    away = np.hypot(x / width - pose.x, (y - pose.y * height) / width)
    return np.asarray(1 - (1 - darker) / (1 + np.exp((away - reach) * 80)))


def motifs(rng: np.random.Generator, reflectance: Floats) -> Floats:
    """Return raw values (h, w, 3) of a print of blots on a ground."""
    blots = cv2.GaussianBlur(rng.normal(size=SIZE[::-1]), (0, 0), 14)
    share = (blots > 0.6 * blots.std())[..., None]
    return PHONE.raw(CLOTH[40]) * (1 - share) + PHONE.raw(reflectance) * share


@pytest.mark.parametrize("darker", [0.45, 2.2])
@pytest.mark.parametrize("is_print", [False, True])
def test_a_card_in_other_light_than_the_cloth_is_not_used(darker: float, is_print: bool) -> None:
    rng = np.random.default_rng(1)
    pose = Pose(share=0.05, x=0.22, y=0.25)
    scene = PHONE.raw(CLOTH[40])[None, None] * texture(rng, SIZE)[..., None]
    if is_print:
        scene = motifs(rng, CLOTH[60])
    card = drawn_card(random_printer(rng))[..., None] * PHONE.raw(grey_reflectance(1.0))
    scene = place(scene, card, pose.to_pixels(SIZE, *FIRST.size), 6)
    appearance = read(shoot(PHONE, scene * around(pose, darker)[..., None], rng))
    assert told(appearance, "other light"), appearance
    assert appearance.is_estimate


def test_light_that_falls_off_is_no_other_light() -> None:
    rng = np.random.default_rng(2)
    for number in range(6):
        photo = card_scene(
            rng,
            phone=random_phone(rng),
            cloth=CLOTH[31 * number],
            pose=Pose(share=0.06, x=0.25, y=0.3, turn=20 * number),
            light=slope(SIZE, 0.6, 1.1 * number),
            size=SIZE,
        )
        assert not told(read(photo), "other light"), number


def test_a_card_beside_the_cloth_is_used() -> None:
    """Card on a coloured table, cloth of another colour in the middle and to the right."""
    rng = np.random.default_rng(3)
    scene = np.broadcast_to(PHONE.raw(CLOTH[100]), (*SIZE[::-1], 3)).copy()
    scene[:, 420:] = PHONE.raw(CLOTH[40])
    card = drawn_card(random_printer(rng))[..., None] * PHONE.raw(grey_reflectance(1.0))
    pose = Pose(share=0.05, x=0.17, y=0.4)
    scene = place(scene, card, pose.to_pixels(SIZE, *FIRST.size), 6)
    appearance = read(shoot(PHONE, scene * texture(rng, SIZE)[..., None], rng))
    assert appearance.reference == "photo card"
    assert abs(appearance.far[0] - true_lab(CLOTH[40])[0]) < 4


def test_a_black_and_white_photo_allows_no_reference() -> None:
    rng = np.random.default_rng(4)
    photo = card_scene(rng, phone=PHONE, cloth=CLOTH[60], pose=Pose(), size=SIZE)
    assert read(photo).reference == "photo card"
    buffer = io.BytesIO()
    with Image.open(io.BytesIO(photo)) as coloured:
        coloured.convert("L").save(buffer, "JPEG")
    appearance = read(buffer.getvalue())
    assert appearance.is_estimate
    assert told(appearance, "black and white")


def test_grey_cloth_in_a_colour_photo_is_not_taken_for_a_black_and_white_photo() -> None:
    rng = np.random.default_rng(5)
    neutral = grey_reflectance(0.3)
    photo = card_scene(rng, phone=Phone(), cloth=neutral, pose=Pose(), size=SIZE)
    assert read(photo).reference == "photo card"


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_screenshot_is_told_and_its_white_is_no_paper(kind: str) -> None:
    """A photo shown on a white page with bars above and below."""
    rng = np.random.default_rng(6)
    photo = card_scene(rng, phone=PHONE, cloth=CLOTH[60], pose=None, size=(900, 900))
    screen = Image.new("RGB", (1080, 1900), (255, 255, 255))
    screen.paste((38, 50, 56), (0, 0, 1080, 160))
    screen.paste((238, 238, 238), (90, 1350, 800, 1500))
    with Image.open(io.BytesIO(photo)) as shown:
        screen.paste(shown, (90, 300))
    buffer = io.BytesIO()
    screen.save(buffer, kind)
    appearance = read(buffer.getvalue())
    assert told(appearance, "screenshot")
    assert appearance.is_estimate
    assert not told(read(photo), "screenshot")


def test_a_blown_white_is_no_drawing() -> None:
    rng = np.random.default_rng(7)
    scene = PHONE.raw(CLOTH[60])[None, None] * texture(rng, SIZE)[..., None]
    scene[:300, :400] = 4.0
    codes = np.rint(PHONE.develop(scene, 0.5) * 255 + rng.normal(0, 1, scene.shape))
    buffer = io.BytesIO()
    Image.fromarray(codes.clip(0, 255).astype(np.uint8)).save(buffer, "JPEG")
    appearance = read(buffer.getvalue())
    assert not told(appearance, "screenshot")
    assert told(appearance, "overexposed")


def test_extreme_blur_is_told_and_no_card_is_read() -> None:
    rng = np.random.default_rng(8)
    for blur in (12.0, 25.0):
        photo = card_scene(
            rng, phone=PHONE, cloth=CLOTH[60], pose=Pose(share=0.2), size=SIZE, blur=blur
        )
        appearance = read(photo)
        assert told(appearance, "blurred"), blur
        assert appearance.reference != "photo card"


def test_a_chart_upside_down_reads_like_one_upright() -> None:
    upright, turned = (
        read(
            chart_scene(
                np.random.default_rng(9),
                phone=PHONE,
                cloth=CLOTH[60],
                pose=Pose(share=0.16, turn=turn),
                size=SIZE,
            )
        )
        for turn in (4, 184)
    )
    assert upright.reference == turned.reference == "colour chart"
    assert abs(upright.far[0] - turned.far[0]) < 0.5


def test_a_blown_card_is_told_and_not_used() -> None:
    rng = np.random.default_rng(10)
    bright = Phone(light="A", balance=0.2, contrast=4.5, headroom=1.3)
    photo = card_scene(rng, phone=bright, cloth=grey_reflectance(0.02), pose=Pose(), size=SIZE)
    appearance = read(photo)
    assert told(appearance, "overexposed")
    assert appearance.reference not in ("photo card", "paper")


def test_two_markers_that_do_not_belong_together_are_no_half_card() -> None:
    """A print can look like a marker here and there."""
    rng = np.random.default_rng(11)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for numbers in ((7, 7), (7, 18), (7, 18, 18)):
        scene = np.full((900, 1200), 0.8)
        for at, number in enumerate(numbers):
            marker = cv2.aruco.generateImageMarker(dictionary, number, 48) / 255
            left, top = 150 + 420 * at, 600 - 200 * at
            scene[top : top + 48, left : left + 48] = 0.05 + 0.75 * marker
        appearance = read(shoot(PHONE, scene[..., None] * PHONE.raw(CLOTH[60]), rng))
        assert not told(appearance, "card"), numbers


def test_a_marker_in_the_print_does_not_hide_the_card() -> None:
    rng = np.random.default_rng(12)
    scene = np.broadcast_to(PHONE.raw(CLOTH[60]), (*SIZE[::-1], 3)).copy()
    card = drawn_card(random_printer(rng))[..., None] * PHONE.raw(grey_reflectance(1.0))
    scene = place(scene, card, Pose(share=0.12).to_pixels(SIZE, *FIRST.size), 6)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    marker = cv2.aruco.generateImageMarker(dictionary, 18, 66) / 255
    scene[700:766, 900:966] *= 0.1 + marker[..., None]
    assert read(shoot(PHONE, scene, rng)).reference == "photo card"
