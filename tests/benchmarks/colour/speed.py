"""Time and memory of reading one photo, against Pillow's (or the HEIC library's) full decode.

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

from stash.colour.photo import decode_photo
from stash.colour.reading import read_picture
from tests.colour.rendering import Phone, cloth_reflectances
from tests.colour.scenes import Pose, card_scene

_ROUNDS = 5
_HALF = (2016, 1512)


def twelve_megapixels(kind: str) -> bytes:
    """Return a 4032 x 3024 photo of cloth with the photo card, with grain."""
    rng = np.random.default_rng(0)
    scene = card_scene(
        rng, phone=Phone(), cloth=cloth_reflectances()[40], pose=Pose(tilt=15, turn=20), size=_HALF
    )
    with Image.open(io.BytesIO(scene)) as half:
        pixels = np.asarray(half.resize((4032, 3024))).astype(np.int16)
    pixels = pixels + rng.integers(-8, 9, pixels.shape, dtype=np.int16)
    picture = Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))
    buffer = io.BytesIO()
    if kind == "heic":
        pillow_heif.from_pillow(picture).save(buffer, quality=80)
    else:
        picture.save(buffer, "JPEG", quality=92)
    return buffer.getvalue()


def best(action: Callable[[], object]) -> float:
    """Return the shortest of several runs, in seconds."""
    times = []
    for _ in range(_ROUNDS):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times)


def peak_megabytes() -> float:
    """Return the most memory this process has held (Linux)."""
    with open("/proc/self/status") as status:
        line = next(line for line in status if line.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


def main() -> None:
    """Print the ratios; with an argument, only read that file and print the peak memory."""
    if len(sys.argv) > 1:
        with open(sys.argv[1], "rb") as file:
            read_picture(decode_photo(file.read()))
        sys.stdout.write(f"{peak_megabytes():.0f} MB at most\n")
        return
    for kind, limit in (("jpeg", 5), ("heic", 2)):
        data = twelve_megapixels(kind)
        if kind == "jpeg":
            yardstick = best(lambda data=data: Image.open(io.BytesIO(data)).load())
        else:
            yardstick = best(lambda data=data: np.asarray(pillow_heif.open_heif(io.BytesIO(data))))
        decode = best(lambda data=data: decode_photo(data))
        whole = best(lambda data=data: read_picture(decode_photo(data)))
        sys.stdout.write(
            f"{kind}: yardstick {yardstick:.3f} s, decode_photo {decode / yardstick:.1f} x,"
            f" with reading {whole / yardstick:.1f} x (to reach {limit} x)\n"
        )
        path = f"/tmp/clothlight-speed.{kind}"
        with open(path, "wb") as file:
            file.write(data)
        subprocess.run([sys.executable, "-m", __spec__.name, path], check=True)


if __name__ == "__main__":
    main()
