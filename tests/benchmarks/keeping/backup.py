"""Backup and restore of a large stash, as ratios to what Python's own library takes for the same.

    python -m tests.benchmarks.keeping.backup [--fabrics 1000] [--photos 300]

Yardsticks, in the same run and on the same files: `sqlite3.Connection.backup` and a zip of that
file and of the photos by `shutil.make_archive`; for the restore, unpacking that zip and reading the
database whole. Times are the smallest of three rounds; the restore runs in processes of its own,
so it is wall time with a start of Django in it. On SQLite.
"""

from __future__ import annotations

import argparse
import io
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

ROUNDS = 3
ROOT = Path(__file__).resolve().parent.parent.parent.parent


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--fabrics", type=int, default=1000)
    asked.add_argument("--photos", type=int, default=300)
    options = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="clothlight-backup-") as scratch:
        data = Path(scratch) / "data"
        os.environ.update(STASH_DATA=str(data), DJANGO_SETTINGS_MODULE="stash.config.settings")
        os.environ.pop("DATABASE_URL", None)
        _make_stash(options.fabrics, options.photos)
        _measure(Path(scratch), data)


def _make_stash(fabrics: int, photos: int) -> None:
    import django

    django.setup()
    import numpy as np
    from django.contrib.auth.models import User
    from PIL import Image

    from stash.config import serving
    from stash.keeping.checks.check import find_breaches
    from stash.management.commands.make_big_stash import fill
    from stash.models import Fabric
    from tests.keeping.pictures import plain_photo

    serving.prepare(lambda sentence: None, backs_up=False)
    owner = User.objects.create_user("maren")
    fill(owner, fabrics)
    random = np.random.default_rng(7)
    for fabric in Fabric.objects.order_by("pk")[:photos]:
        # As large as a working picture: fine noise over a coarse pattern.
        coarse = random.integers(40, 220, (64, 48, 3), dtype=np.uint8)
        picture = Image.fromarray(coarse).resize((1536, 2048))
        noise = random.integers(-6, 7, (2048, 1536, 3))
        picture = Image.fromarray((np.asarray(picture) + noise).clip(0, 255).astype(np.uint8))
        held = io.BytesIO()
        picture.save(held, "JPEG", quality=88)
        photo = plain_photo(owner, held.getvalue())
        photo.fabric = fabric
        photo.save(update_fields=["fabric"])
    assert find_breaches() == [], find_breaches()[:3]


def _measure(scratch: Path, data: Path) -> None:
    from stash.keeping.backups.backup import make_backup

    plain, files = scratch / "plain", scratch / "files"
    files.mkdir()

    def by_library() -> None:
        copied = files / "stash.sqlite3"
        copied.unlink(missing_ok=True)
        with (
            closing(sqlite3.connect(data / "stash.sqlite3")) as database,
            closing(sqlite3.connect(copied)) as into,
        ):
            database.backup(into)
        shutil.rmtree(files / "photos", ignore_errors=True)
        shutil.copytree(data / "photos", files / "photos")
        shutil.make_archive(str(plain), "zip", files)

    def unpack() -> None:
        place = scratch / "unpacked"
        shutil.rmtree(place, ignore_errors=True)
        shutil.unpack_archive(f"{plain}.zip", place)
        with closing(sqlite3.connect(place / "stash.sqlite3")) as database:
            assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            for line in database.iterdump():
                assert line

    def restore() -> None:
        place = scratch / "restored"
        shutil.rmtree(place, ignore_errors=True)
        subprocess.run(
            [sys.executable, "manage.py", "restore", str(made.path)],
            cwd=ROOT,
            env=os.environ | {"STASH_DATA": str(place)},
            check=True,
            stdout=subprocess.DEVNULL,
        )

    made: Any = make_backup()
    yard, own = _best(by_library), _best(make_backup)
    unpacked, restored = _best(unpack), _best(restore)
    sizes = sum(path.stat().st_size for path in files.rglob("*") if path.is_file())
    size = made.path.stat().st_size
    load = os.getloadavg()[0]
    by_zip = Path(f"{plain}.zip").stat().st_size
    for line in (
        f"load of the machine {load:.1f}; {sizes / 1e6:.0f} MB of files",
        f"backup  {own:.2f} s, {own / yard:.2f} times copy and zip ({yard:.2f} s)",
        f"restore {restored:.2f} s, {restored / unpacked:.2f} times unpacking ({unpacked:.2f} s)",
        f"size    {size / 1e6:.1f} MB, {size / sizes:.3f} of the files, {size / by_zip:.3f} of zip",
    ):
        print(line, flush=True)  # noqa: T201


def _best(work: Callable[[], Any]) -> float:
    """Return the seconds of the fastest round."""
    seconds = []
    for _ in range(ROUNDS):
        begin = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - begin)
    return min(seconds)


if __name__ == "__main__":
    main()
