"""Time and memory of reading one photo, against Pillow's (or the HEIC library's) full decode.

Each file is read in a process of its own: processor time of all threads, the shortest of several
rounds that measure one after the other. With the photo card in the picture, with a colour chart,
and without any reference, when everything is looked for; and 48 megapixels with the card.

Run: .venv/bin/python -m tests.benchmarks.colour.speed
"""

import io
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
import pillow_heif
from PIL import Image
from PIL.ExifTags import IFD, Base

from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from tests.colour.rendering import Phone, cloth_reflectances
from tests.colour.scenes import Pose, card_scene, chart_scene

_ROUNDS = 9
_HALF = (2016, 1512)
_POSE = Pose(tilt=15, turn=20)


def large_photo(kind: str, reference: str, times: int = 2) -> bytes:
    """Return a photo of cloth with a card, a chart or nothing, with grain; times 2016 x 1512."""
    rng = np.random.default_rng(0)
    cloth = cloth_reflectances()[40]
    if reference == "chart":
        scene = chart_scene(rng, phone=Phone(), cloth=cloth, pose=_POSE, size=_HALF)
    else:
        pose = _POSE if reference == "card" else None
        scene = card_scene(rng, phone=Phone(), cloth=cloth, pose=pose, size=_HALF)
    with Image.open(io.BytesIO(scene)) as half:
        size = half.width * times, half.height * times
        pixels = np.asarray(half.resize(size)).astype(np.int16)
    pixels = pixels + rng.integers(-8, 9, pixels.shape, dtype=np.int16)
    picture = Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))
    buffer = io.BytesIO()
    if kind == "heic":
        pillow_heif.from_pillow(picture).save(buffer, quality=80)
    else:
        exif = Image.Exif()
        exif.get_ifd(IFD.Exif)[Base.ExposureTime] = 0.01  # phones say how a photo was taken
        picture.save(buffer, "JPEG", quality=92, exif=exif)
    return buffer.getvalue()


def decoded(kind: str, data: bytes) -> object:
    """Return the pixels by the yardstick's own full decode."""
    if kind == "jpeg":
        return Image.open(io.BytesIO(data)).load()
    return np.asarray(pillow_heif.open_heif(io.BytesIO(data)))


def ratios(yardstick: Callable[[], object], *actions: Callable[[], object]) -> list[float]:
    """Return how many times as long as the yardstick each action takes."""
    rounds = [[_spent(action) for action in (yardstick, *actions)] for _ in range(_ROUNDS)]
    unit, *times = np.min(rounds, axis=0)
    return [float(taken / unit) for taken in times]


def _spent(action: Callable[[], object]) -> float:
    start = time.process_time()
    action()
    return time.process_time() - start


def peak_megabytes() -> float:
    """Return the most memory this process has held (Linux)."""
    with open("/proc/self/status") as status:
        line = next(line for line in status if line.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


def measure(path: str) -> None:
    """Print the peak memory of reading this file and the ratios of the times."""
    with open(path, "rb") as file:
        data = file.read()
    read_picture(decode_photo(data))
    peak = peak_megabytes()
    decode, whole = ratios(
        lambda: decoded(path.rpartition(".")[2], data),
        lambda: decode_photo(data),
        lambda: read_picture(decode_photo(data)),
    )
    sys.stdout.write(
        f"decode_photo {decode:.1f} x, with reading {whole:.1f} x, {peak:.0f} MB at most\n"
    )


def main() -> None:
    """Make each file and measure it; with an argument, only measure that file."""
    if len(sys.argv) > 1:
        measure(sys.argv[1])
        return
    for kind, limit, reference, times in (
        ("jpeg", 3, "card", 2),
        ("jpeg", 3, "chart", 2),
        ("jpeg", 3, "nothing", 2),
        ("jpeg", 2, "card", 4),
        ("heic", 2, "card", 2),
    ):
        path = f"/tmp/clothlight-speed.{kind}"
        with open(path, "wb") as file:
            file.write(large_photo(kind, reference, times))
        name = f"{kind}, {12 if times == 2 else 48} megapixels with {reference}"
        sys.stdout.write(f"{name} (to reach {limit} x): ")
        sys.stdout.flush()
        subprocess.run([sys.executable, "-m", __spec__.name, path], check=True)


if __name__ == "__main__":
    main()
