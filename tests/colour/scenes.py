"""Whole rendered pictures: cloth with texture, a card or chart on it, uneven light, blur, JPEG."""

import io
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from stash.colour.references.card_print import printed_luminance
from stash.colour.references.editions import FIRST
from stash.colour.spaces.cielab import lab_to_xyz
from tests.colour.rendering import Floats, Phone, chart_reflectances, grey_reflectance

_DOTS = 6  # pixels per mm of the drawn card
CHART_WIDTH, CHART_HEIGHT = 205.0, 139.0  # mm


@dataclass(frozen=True, kw_only=True)
class Pose:
    """How a flat thing lies before the camera.

    share: of the picture's area. tilt, axis and turn in degrees: away from the camera, around an
    axis of this direction, and in its own plane. x, y: its middle, fractions of the picture.
    """

    share: float = 0.12
    tilt: float = 0.0
    axis: float = 0.0
    turn: float = 0.0
    x: float = 0.3
    y: float = 0.3

    def to_pixels(self, size: tuple[int, int], width_mm: float, height_mm: float) -> Floats:
        """Return the homography from the thing's millimetres to pixels."""
        width, height = size
        focal = 1.2 * width
        axis = np.radians(self.axis)
        tilted, _ = cv2.Rodrigues(
            np.radians(self.tilt) * np.array([np.cos(axis), np.sin(axis), 0.0])
        )
        turned, _ = cv2.Rodrigues(np.radians(self.turn) * np.array([0.0, 0.0, 1.0]))
        rotation = tilted @ turned
        distance = focal * np.sqrt(width_mm * height_mm / (self.share * width * height))
        camera = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1]])
        ray = np.linalg.inv(camera) @ [self.x * width, self.y * height, 1]
        columns = np.column_stack([rotation[:, 0], rotation[:, 1], distance * ray])
        centred = np.array([[1, 0, -width_mm / 2], [0, 1, -height_mm / 2], [0, 0, 1]])
        homography = camera @ columns @ centred
        return np.asarray(homography / homography[2, 2])


def drawn_card(printer: Floats) -> Floats:
    """Return the card's luminance, 6 pixels per mm, as this printer prints it.

    printer: the unknowns of `printed_luminance`. Screens are drawn as their mean.
    """
    paper, *tones = printed_luminance(printer)
    wide, high = FIRST.size
    card = np.full((int(high * _DOTS), int(wide * _DOTS)), paper)
    black = printer[1]
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    side = int(FIRST.marker_side * _DOTS)
    for number, (x, y) in FIRST.markers.items():
        marker = cv2.aruco.generateImageMarker(dictionary, number, 600)
        marker = cv2.resize(marker, (side, side), interpolation=cv2.INTER_AREA) / 255
        left, top = round(x * _DOTS), round(y * _DOTS)
        card[top : top + side, left : left + side] = black + (paper - black) * marker
    for patch, tone in zip(FIRST.patches, tones, strict=True):
        x0, y0, x1, y1 = (round(edge * _DOTS) for edge in patch.box)
        card[y0:y1, x0:x1] = tone
    return card


def random_printer(rng: np.random.Generator) -> Floats:
    """Return paper L* 92 to 96, black, gain 5 to 20 %, its kind and the ratio of the screens."""
    paper = float(lab_to_xyz([rng.uniform(92, 96), 0, 0])[1])
    return np.array(
        [
            paper,
            rng.uniform(0.03, 0.07),
            rng.uniform(0.05, 0.2),
            rng.uniform(),
            rng.uniform(0.42, 0.58),
        ]
    )


def drawn_chart() -> tuple[Floats, Floats]:
    """Return patch numbers (24: the frame), 4 pixels per mm, and their reflectances."""
    dots = 4
    labels = np.full((int(CHART_HEIGHT * dots), int(CHART_WIDTH * dots)), 24)
    step, side, left, top = 33.0, 29.0, 5.5, 5.5
    for index in range(24):
        row, column = divmod(index, 6)
        x, y = left + column * step, top + row * step
        labels[
            round(y * dots) : round((y + side) * dots), round(x * dots) : round((x + side) * dots)
        ] = index
    return labels, np.vstack([chart_reflectances(), grey_reflectance(0.035)])


def texture(rng: np.random.Generator, size: tuple[int, int], strength: float = 0.08) -> Floats:
    """Return weave and print as factors (height, width) with mean 1."""
    width, height = size
    across, along = (np.sin(np.arange(side, dtype=np.float32) * 1.1) for side in (width, height))
    weave = np.outer(along, across)
    folds = cv2.GaussianBlur(rng.normal(size=(height, width)).astype(np.float32), (0, 0), 25)
    factor = 1 + strength * weave + 0.03 * folds / folds.std()
    return np.asarray(factor / factor.mean())


def slope(size: tuple[int, int], amount: float, direction: float) -> Floats:
    """Return light (height, width) that rises by `amount` across the picture, mean 1."""
    width, height = size
    y, x = np.mgrid[0:height, 0:width]
    way = np.cos(direction) * (x / width - 0.5) + np.sin(direction) * (y / height - 0.5)
    return np.asarray(1 + amount * way)


def shadow(size: tuple[int, int], depth: float, at: float) -> Floats:
    """Return light with a soft-edged shadow left of `at` (fraction of the width)."""
    width, height = size
    edge = 1 / (1 + np.exp(-(np.arange(width) / width - at) * 60))
    return np.broadcast_to(1 - depth * (1 - edge), (height, width)).copy()


def place(scene: Floats, drawn: Floats, to_pixels: Floats, dots: float) -> Floats:
    """Return the scene (h, w, 3) with raw values `drawn` (n, m, 3) laid on it."""
    height, width = scene.shape[:2]
    homography = to_pixels @ np.diag([1 / dots, 1 / dots, 1])
    scale = np.sqrt(abs(np.linalg.det(homography[:2, :2])))
    soft = cv2.GaussianBlur(drawn, (0, 0), 0.45 / scale) if scale < 0.9 else drawn
    laid = cv2.warpPerspective(soft, homography, (width, height), flags=cv2.INTER_LINEAR)
    solid = np.ones(drawn.shape[:2], np.float64)
    mask = cv2.warpPerspective(solid, homography, (width, height), flags=cv2.INTER_LINEAR)
    return np.asarray(scene * (1 - mask[..., None]) + laid * mask[..., None])


def shoot(
    phone: Phone, scene: Floats, rng: np.random.Generator, *, blur: float = 0.7, quality: int = 90
) -> bytes:
    """Return the JPEG that a phone makes of raw values (h, w, 3), metered over the frame."""
    exposure = phone.meter(cv2.resize(scene, (40, 30), interpolation=cv2.INTER_AREA))
    blurred = cv2.GaussianBlur(scene, (0, 0), blur) if blur else scene
    noisy = blurred + rng.normal(size=scene.shape) * np.sqrt(np.clip(blurred, 0, None)) * 0.006
    seen = np.clip(noisy, 0, None).astype(np.float32)
    codes = np.rint(phone.develop(seen, exposure) * 255).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(codes).save(buffer, "JPEG", quality=quality)
    return buffer.getvalue()


def card_scene(
    rng: np.random.Generator,
    *,
    phone: Phone,
    cloth: Floats,
    pose: Pose | None,
    light: Floats | None = None,
    printer: Floats | None = None,
    size: tuple[int, int] = (1200, 900),
    blur: float = 0.7,
) -> bytes:
    """Return a photo of cloth (31,) with the card on it (or none)."""
    scene = phone.raw(cloth)[None, None] * texture(rng, size)[..., None]
    if pose is not None:
        card = drawn_card(random_printer(rng) if printer is None else printer)
        raw = card[..., None] * phone.raw(grey_reflectance(1.0))
        scene = place(scene, raw, pose.to_pixels(size, *FIRST.size), _DOTS)
    if light is not None:
        scene = scene * light[..., None]
    return shoot(phone, scene, rng, blur=blur)


def chart_scene(
    rng: np.random.Generator,
    *,
    phone: Phone,
    cloth: Floats,
    pose: Pose,
    size: tuple[int, int] = (1200, 900),
) -> bytes:
    """Return a photo of cloth (31,) with the 24-patch chart on it."""
    scene = phone.raw(cloth)[None, None] * texture(rng, size)[..., None]
    labels, reflectances = drawn_chart()
    scene = place(
        scene, phone.raw(reflectances)[labels], pose.to_pixels(size, CHART_WIDTH, CHART_HEIGHT), 4
    )
    return shoot(phone, scene, rng)
