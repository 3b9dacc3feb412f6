"""Every file that is sent is stored whole and read rightly, or refused in one sentence.

The short run takes some of the files; STASH_TEST_EVERY_FILE=1 takes all, reads them in processes of
their own and measures each, and STASH_TEST_MUTATIONS=10000 changes that many files at random (see
DEVELOPERS.md).
"""

from __future__ import annotations

import io
import json
import logging
import math
import os
import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
import pytest
from django.conf import settings as site
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image, ImageOps

from stash.colour.appearance import REFERENCES, Appearance
from stash.colour.picture.photo import PhotoError
from stash.colour.references.card_print import ANY_PRINT
from stash.colour.taking import Taken
from stash.keeping.checks.check import find_breaches
from stash.models import Draft, Photo, ShopTrip
from stash.photos import store as photo_store
from stash.photos.apart import reading as reading_apart
from tests.intake.trips import make_trip
from tests.reliability.photo_files import READ, REFUSED, Case, all_cases, mutants

EVERY = bool(os.environ.get("STASH_TEST_EVERY_FILE"))
MUTATIONS = int(os.environ.get("STASH_TEST_MUTATIONS", "150"))
SEED = int(os.environ.get("STASH_TEST_SEED", "11"))

MOST_KB = 450 * 1024  # of memory above what the process takes when it has read nothing
MOST_SECONDS = 5.0  # of processor time
SENTENCE = re.compile(
    r"Use JPEG, PNG, WebP, HEIC or AVIF|damaged or incomplete|at most|is empty|No photo arrived"
)
#: What the site must never have to say of a file that it knows how to take or to refuse.
NOT_FORESEEN = (reading_apart.TOO_MUCH, reading_apart.UNFORESEEN, reading_apart.NOT_STARTED)
SHORT_EVERY = 23  # of the quick files, one in so many is taken in the short run

pytestmark = [
    pytest.mark.filterwarnings("ignore:Corrupt EXIF data"),
    pytest.mark.filterwarnings("ignore:Truncated File Read"),
    pytest.mark.skipif(sys.platform != "linux", reason="measures processes where Linux tells it"),
]


def chosen() -> list[Case]:
    cases = all_cases()
    return list(cases) if EVERY else [case for case in cases if case.is_quick][::SHORT_EVERY]


KINDS = list(dict.fromkeys(case.kind for case in chosen()))


@dataclass
class Meter:
    """What reading took in the process that read last, above what it took when it was new."""

    idle: dict[int, int] = field(default_factory=dict)
    seconds: float = 0.0

    def begin(self) -> None:
        for process in self._processes():
            self.idle.setdefault(process, _kilobytes(process))
            Path(f"/proc/{process}/clear_refs").write_text("5")  # forget the peak so far
        self.seconds = sum(map(_seconds, self._processes()))

    def end(self) -> tuple[int, float]:
        """Return kilobytes and seconds."""
        processes = self._processes()
        peaks = [
            _kilobytes(process) - self.idle.get(process, 0)
            for process in processes
            if process in self.idle
        ]
        return max(peaks, default=0), sum(map(_seconds, processes)) - self.seconds

    def _processes(self) -> list[int]:
        return [reader.process.pid for reader in reading_apart._idle]


def _kilobytes(process: int) -> int:
    status = Path(f"/proc/{process}/status").read_text()
    return int(next(line for line in status.splitlines() if line.startswith("VmHWM")).split()[1])


def _seconds(process: int) -> float:
    told = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


@pytest.fixture
def trip(owner: User) -> ShopTrip:
    return make_trip(owner)


@pytest.fixture
def apart(settings: Any) -> Iterator[None]:
    settings.READ_PHOTOS_APART = True
    reading_apart.end_all()
    reading_apart._give_back(reading_apart._Reader())
    yield
    reading_apart.end_all()


def send(client: Client, trip: ShopTrip, case: Case, data: bytes) -> Any:
    name, kind = case.claims
    sent = SimpleUploadedFile(name, data, content_type=kind)
    sent.name = name  # as a client may claim it, not as Django's own would write it
    url = reverse("stash:trip_photos", args=[trip.pk])
    return client.post(url, {"photos": [sent]}, headers={"accept": "application/json"})


def state(photo_dir: Path) -> tuple[int, int, frozenset[Path]]:
    files = frozenset(path for path in photo_dir.rglob("*") if path.is_file())
    return Photo.objects.count(), Draft.objects.count(), files


@pytest.mark.parametrize("kind", KINDS)
def test_files_are_stored_and_read_rightly_or_refused_in_a_sentence(
    kind: str, client: Client, trip: ShopTrip, photo_dir: Path, request: pytest.FixtureRequest
) -> None:
    if EVERY:
        request.getfixturevalue("apart")
    faults: list[str] = []
    rows: list[dict[str, Any]] = []
    for case in (file for file in chosen() if file.kind == kind):
        data = case.make()
        before, meter = state(photo_dir), Meter()
        meter.begin()
        answer = send(client, trip, case, data)
        memory, seconds = meter.end()
        if answer.status_code in (200, 201):
            photo = Photo.objects.get(sent_sha256=photo_hash(data))
            found = list(stored_faults(case, data, photo))
        else:
            found = list(refused_faults(case, answer))
            found += ["something is left behind"] * (state(photo_dir) != before)
        if EVERY and memory > MOST_KB:
            found.append(f"took {memory // 1024} MB")
        if EVERY and seconds > MOST_SECONDS:
            found.append(f"took {seconds:.1f} s")
        faults += [f"{case.name}: {fault}" for fault in found]
        status = answer.status_code
        rows.append({"file": case.name, "status": status, "kb": memory, "seconds": seconds})
    faults += [breach.sentence for breach in find_breaches()]
    if EVERY:
        tell(kind, rows)
    assert faults == []


def photo_hash(data: bytes) -> str:
    from stash.photos.acts import sent_hash

    return sent_hash(data)


def tell(kind: str, rows: list[dict[str, Any]]) -> None:
    """Write the figures of the long run."""
    stored = sum(row["status"] < 300 for row in rows)
    worst, slowest = (max(rows, key=lambda row: row[what]) for what in ("kb", "seconds"))
    sys.stderr.write(
        f"\n{kind}: {len(rows)} files, {stored} stored, {len(rows) - stored} refused;"
        f" most memory {worst['kb'] / 1024:.0f} MB ({worst['file']});"
        f" most time {slowest['seconds']:.2f} s ({slowest['file']})\n"
    )


def refused_faults(case: Case, answer: Any) -> Iterator[str]:
    if answer.status_code not in (413, 422):
        yield f"answered {answer.status_code}"
        return
    if case.outcome == READ:
        yield "was refused: " + answer.json()["refused"][0]["why"]
    (refusal,) = answer.json()["refused"]
    yield from sentence_faults(refusal["why"])


def sentence_faults(why: str) -> Iterator[str]:
    if not (why[0].isupper() and why.endswith(".") and len(why) < 250 and SENTENCE.search(why)):
        yield f"the sentence does not say what would be taken: {why}"
    if why in NOT_FORESEEN:
        yield f"was not foreseen: {why}"


def stored_faults(case: Case, data: bytes, photo: Photo) -> Iterator[str]:
    if case.outcome == REFUSED:
        yield "was stored"
    yield from reading_faults(photo.reading)
    if photo.capture.get("taken") is not None:
        datetime.fromisoformat(photo.capture["taken"])
    if case.size is not None:
        factor = max(photo.width, photo.height) / max(case.size)
        expected = [max(1, round(side * factor)) for side in case.size]
        off = [abs(a - b) for a, b in zip((photo.width, photo.height), expected, strict=True)]
        # Reduced by steps of a quarter, to three quarters of what is kept at the least.
        if max(off) > 1 or not min(1, 0.75 * 2048 / max(case.size)) <= factor <= 1:
            yield f"is {photo.width} × {photo.height}, not {expected}"
    if not (1 <= photo.width <= 2048 and 1 <= photo.height <= 2048):
        yield f"is {photo.width} × {photo.height}"
    for kind, (side, _) in photo_store.VIEW_KINDS.items():
        with Image.open(io.BytesIO(photo_store.view_file(photo, kind))) as view:
            view.load()
            factor = min(1, side / max(photo.width, photo.height))
            for shown, stored in zip(view.size, (photo.width, photo.height), strict=True):
                if abs(shown - max(1, stored * factor)) > 1:
                    yield f"{kind} is {view.size}"
    shown = quarters(Image.open(io.BytesIO(photo_store.view_file(photo, "screen"))))
    expected_colours = case.quarters or (quarters(by_pillow(data)) if case.is_as_pillow else ())
    for found, wanted in zip(shown, expected_colours, strict=False):
        if max(abs(a - b) for a, b in zip(found, wanted, strict=True)) > 14:
            yield f"shows {shown}, not {expected_colours}"
            return


def by_pillow(data: bytes) -> Image.Image:
    """What Pillow alone makes of it, upright, and on white where it is clear."""
    pillow_heif.register_heif_opener()
    picture = ImageOps.exif_transpose(Image.open(io.BytesIO(data)))
    if picture.mode.startswith("I"):
        picture = Image.fromarray((np.asarray(picture) // 257).astype(np.uint8))
    if picture.mode == "CMYK":
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    return Image.alpha_composite(Image.new("RGBA", clear.size, "white"), clear).convert("RGB")


def quarters(picture: Image.Image) -> tuple[tuple[int, int, int], ...]:
    colours = picture.convert("RGB")
    places = [(x, y) for y in (0.25, 0.75) for x in (0.25, 0.75)]
    return tuple(
        colours.getpixel((int(x * colours.width), int(y * colours.height)))  # type: ignore[misc]
        for x, y in places
    )


def reading_faults(stored: dict[str, Any]) -> Iterator[str]:
    """Whatever is not a number that such a reading may have."""
    text = json.dumps(stored)
    if "NaN" in text or "Infinity" in text:
        yield f"has no number: {text[:300]}"
        return
    read = Appearance.from_dict(stored)
    colours = (read.far, read.near, *(colour.lab for colour in read.palette))
    if not all(
        0 <= lab[0] <= 100.001 and abs(lab[1]) < 200 and abs(lab[2]) < 200 for lab in colours
    ):
        yield f"has colours out of range: {colours}"
    if not (
        0 <= read.value <= 10.0001 and math.isclose(read.value, read.far[0] / 10, abs_tol=1e-6)
    ):
        yield f"has the value {read.value}"
    if not 0 < read.uncertainty < 10:
        yield f"has the uncertainty {read.uncertainty}"
    if not math.isclose(sum(colour.share for colour in read.palette), 1, abs_tol=1e-3):
        yield f"has shares of {[colour.share for colour in read.palette]}"
    if not (0 <= read.contrast <= 100.001 and 0 <= read.contrast_sd <= 100):
        yield f"has the contrast {read.contrast}, {read.contrast_sd}"
    if read.reference not in REFERENCES:
        yield f"has the reference {read.reference}"


# --- changes at random; no database, so once is enough ---


@pytest.mark.skipif(
    site.DATABASES["default"]["ENGINE"].endswith("postgresql"), reason="asks no database"
)
def test_changed_files_are_read_or_refused(
    request: pytest.FixtureRequest, caplog: pytest.LogCaptureFixture
) -> None:
    if EVERY or MUTATIONS > 1000:
        request.getfixturevalue("apart")
    caplog.set_level(logging.CRITICAL)  # finders may tell of odd pictures
    counted: Counter[str] = Counter()
    faults: list[str] = []
    most, slowest = 0, 0.0
    for name, data in mutants(MUTATIONS, SEED):
        meter = Meter()
        meter.begin()
        found: list[str] = []
        try:
            taken = reading_apart.take_apart(data, ANY_PRINT, {"small": (480, False)})
        except PhotoError as error:
            found += sentence_faults(str(error))
            counted["ended" if str(error) in NOT_FORESEEN else "refused"] += 1
        else:
            found += taken_faults(taken)
            counted["read"] += 1
        memory, seconds = meter.end()
        most, slowest = max(most, memory), max(slowest, seconds)
        if memory > MOST_KB or seconds > MOST_SECONDS:
            found.append(f"took {memory // 1024} MB, {seconds:.1f} s")
        faults += [f"{name}: {fault}" for fault in found]
    if MUTATIONS > 1000:
        sys.stderr.write(
            f"\n{MUTATIONS} changed files: {dict(counted)}; most memory {most / 1024:.0f} MB,"
            f" most time {slowest:.2f} s\n"
        )
    assert faults == []
    assert min(counted["read"], counted["refused"]) > MUTATIONS / 10, "changes of one sort only"


def taken_faults(taken: Taken) -> Iterator[str]:
    yield from reading_faults(taken.appearance.to_dict())
    json.dumps(taken.capture, allow_nan=False)
    for data in (taken.working, *taken.views.values()):
        with Image.open(io.BytesIO(data)) as view:
            view.load()
            if not (view.format == "JPEG" and max(view.size) <= 2048):
                yield f"a copy is {view.format} of {view.size}"
