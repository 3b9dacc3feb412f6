"""How search pages, memory and starting grow with the stash; nothing is asserted, all is printed.

    python tests/benchmarks/finding/growth.py 1000 10000 100000

For each number of fabrics: a data folder of its own (a schema of its own is not made: with
``DATABASE_URL`` name an empty database for one number), invented cloth, photos for 1,000 of them,
and two fresh processes of the site. Told are, for the first process: memory of a process that has
shown an empty stash, what a stash adds to it once searched, and how long the first page takes with
the columns to read; the median and 95th percentile of pages of words asked for the first time; and
the same beside a page that asks the database nothing but who is signed in. The second process
says whether its next page shows what the first has just added.

Pages are asked for within each process (Django's test client), so nothing of a network is in the
times; memory is what the process holds (``/proc``, Linux).
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
import uuid
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[3]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")

WORDS = ("dark blue", "light green", "navy", "value 2 to 4", "harbour rain 12", "not blue", "dots")
REPEATS = 9
PHOTOS = 1_000
OWNER, EMPTY = "quilter", "newcomer"
MARK = "growthmark"


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def resident() -> float:
    """Megabytes of this process in memory."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1024**2


def fill(count: int) -> None:
    """Make two accounts, so many fabrics for the first, and photos for some of them."""
    from django.contrib.auth.models import User
    from django.core.management import call_command

    from stash.colour.references.card_print import ANY_PRINT
    from stash.colour.taking import Taken, take
    from stash.management.commands.make_big_stash import fill as fill_shelf
    from stash.models import Fabric, Photo
    from stash.photos import store
    from tests.photos.pictures import cloth_photo

    call_command("migrate", verbosity=0)
    User.objects.create_user(EMPTY)
    owner = User.objects.create_user(OWNER)
    fill_shelf(owner, count)
    taken = take(cloth_photo(dots=(200, 180, 90)), ANY_PRINT, store.early_views())
    assert isinstance(taken, Taken)
    fabrics = list(Fabric.objects.filter(owner=owner).order_by("pk")[: min(PHOTOS, count // 2)])
    photos = [
        Photo(
            owner=owner,
            fabric=fabric,
            sent_sha256=uuid.uuid4().hex * 2,
            sha256=uuid.uuid4().hex * 2,
            width=taken.width,
            height=taken.height,
            reading=taken.appearance.to_dict(),
        )
        for fabric in fabrics
    ]
    for photo, fabric in zip(Photo.objects.bulk_create(photos), fabrics, strict=True):
        store.write_file(photo, taken.working)
        store.keep_views(photo, taken.views)
        fabric.main_photo = photo
    Fabric.objects.bulk_update(fabrics, ["main_photo"], batch_size=500)


def serve_neighbour() -> None:
    """Show the marked fabric each time a line comes in; tell how many there are, and how soon."""
    client = _client(OWNER)
    say("ready")
    for _ in sys.stdin:
        begin = time.perf_counter()
        page = client.get("/find/", {"words": MARK}).content.decode()
        say(f"{page.count(MARK.capitalize() + ' ')} {1000 * (time.perf_counter() - begin):.0f}")


def measure(count: int) -> None:
    from django.contrib.auth.models import User

    from stash.finding.columns.store import columns_of
    from stash.finding.conditions import Condition
    from stash.models import Fabric

    nobody = _client(EMPTY)
    for _ in range(3):
        nobody.get("/find/", {"words": "dark blue"})
    empty = resident()
    small = statistics.median(_times(lambda: nobody.get("/find/", {"words": "dark blue"})))
    client = _client(OWNER)
    begin = time.perf_counter()
    client.get("/find/", {"words": "dark blue"})
    first = time.perf_counter() - begin
    owner = User.objects.get(username=OWNER)
    columns = columns_of(owner)
    found = []
    for words in WORDS:

        def page(words: str = words) -> None:
            for asked in list(columns.answers):
                if isinstance(asked, Condition) or (isinstance(asked, tuple) and "may" in asked):
                    del columns.answers[asked]
            assert client.get("/find/", {"words": words}).status_code == 200

        found += _times(page)
    held = resident() - empty
    neighbour = subprocess.Popen(
        [sys.executable, __file__, "neighbour"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert neighbour.stdin is not None
    assert neighbour.stdout is not None
    neighbour.stdout.readline()
    seen = []
    for number in range(6):
        neighbour.stdin.write("\n")
        neighbour.stdin.flush()
        seen.append(neighbour.stdout.readline().split())
        Fabric.objects.create(owner=owner, name=f"{MARK.capitalize()} {number}")
    neighbour.stdin.close()
    neighbour.wait()
    found.sort()
    median, high = statistics.median(found), found[int(0.95 * len(found))]
    stale = sum((int(cards) > 0) != (number > 0) for number, (cards, _) in enumerate(seen))
    after = statistics.median(float(taken) for _, taken in seen[1:])
    say(
        f"{count:>9,} fabrics: page {median:6.1f} ms, 95 % {high:6.1f} ms ({median / small:4.1f} x "
        f"the page of an empty stash, {small:.1f} ms); first page {first:5.2f} s; memory "
        f"{empty:4.0f} MB empty, {held:+5.0f} MB for the stash; a change: next page of another "
        f"process after {after:4.0f} ms, stale {stale} of {len(seen)}"
    )


def _client(name: str):  # type: ignore[no-untyped-def]
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.test import Client

    settings.ALLOWED_HOSTS.append("testserver")
    client = Client()
    client.force_login(User.objects.get(username=name))
    return client


def _times(act):  # type: ignore[no-untyped-def]
    """Milliseconds of each repeat, the first left out."""
    act()
    found = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        act()
        found.append(1000 * (time.perf_counter() - begin))
    return found


def main(counts: list[int]) -> None:
    for count in counts:
        with tempfile.TemporaryDirectory(prefix="stash-growth-") as folder:
            environment = {**os.environ, "STASH_DATA": folder}
            for deed in ("fill", "measure"):
                subprocess.run(
                    [sys.executable, __file__, deed, str(count)], env=environment, check=True
                )


if __name__ == "__main__":
    if sys.argv[1] in ("fill", "measure", "neighbour"):
        import django

        django.setup()
        deed = sys.argv[1]
        if deed == "neighbour":
            serve_neighbour()
        else:
            {"fill": fill, "measure": measure}[deed](int(sys.argv[2]))
    else:
        main([int(number) for number in sys.argv[1:]])
