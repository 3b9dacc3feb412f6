"""How many pages a second the site answers, and how it holds out; everything is printed.

    python tests/benchmarks/load/measure.py [--rounds 5] [--seconds 6] [--fabrics 5000]
    python tests/benchmarks/load/measure.py --minutes 10

Starts `serve` on loopback with a data folder of its own, which is removed at the end. The first
form asks 16 connections' worth of a page without queries (signing in), of the shelf and of two
pictures, in turns, so that what else the machine does weighs on all alike; a rate is the median
of its rounds, and the server's processor time for one answer stands beside it. It asks through wrk
where that is installed, otherwise through threads of its own, which cost the server processor
time. The second form is 20 people who look around for so many minutes, with one import of photos
and one backup meanwhile.
"""

# ruff: noqa: E402  (Django must be set up before its models are imported)

from __future__ import annotations

import argparse
import itertools
import os
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import uuid
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from http.client import HTTPConnection
from pathlib import Path
from threading import Thread

ROOT = Path(__file__).parents[3]
_folder = tempfile.TemporaryDirectory(prefix="stash-load-")  # mode 700
os.environ["STASH_DATA"] = _folder.name
os.environ["DJANGO_SETTINGS_MODULE"] = "stash.config.settings"
sys.path.insert(0, str(ROOT))

import django

django.setup()

from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client

from stash.finding.views import PAGE_SIZE
from stash.intake.acts import start_trip
from stash.lengths import INCH
from stash.management.commands.make_big_stash import fill
from stash.models import Fabric, Photo, Piece
from stash.photos import store as photo_store
from stash.photos.cloth import tile as cloth_tile
from stash.templatetags.cloth import tile_url
from tests.photos.pictures import cloth_photo, stored_photo

CONNECTIONS, PEOPLE, IMPORTED = 16, 20, 20
WITHOUT_QUERIES = "/account/sign-in/"
_SCRIPT = """done = function(summary, latency, requests)
  local wrong = summary.errors.status + summary.errors.connect + summary.errors.read
  io.write(string.format("told %f %f %d\\n",
    summary.requests / summary.duration * 1e6, latency:percentile(95) / 1000, wrong))
end
"""


@dataclass
class Server:
    process: subprocess.Popen[bytes]
    port: int

    def resident(self) -> float:
        """Megabytes in memory."""
        pages = int(Path(f"/proc/{self.process.pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1024**2

    def worked(self) -> float:
        """Seconds of processor time so far, by all its threads."""
        told = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="ascii")
        user, system = told.rpartition(")")[2].split()[11:13]
        return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


@dataclass
class Told:
    """What one address was measured to do."""

    rates: list[float] = field(default_factory=list)
    late: list[float] = field(default_factory=list)  # 95th hundredth, milliseconds
    work: list[float] = field(default_factory=list)  # processor time of the server each, ms
    wrong: int = 0


@contextmanager
def serving() -> Iterator[Server]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "manage.py", "serve", "--port", str(port), "--without-backup"]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL)
    try:
        for _ in range(600):
            try:
                if get(port, WITHOUT_QUERIES) == 200:
                    break
            except OSError:
                time.sleep(0.1)
        yield Server(process, port)
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(30)


def get(port: int, address: str, cookie: str = "") -> int:
    line = HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        line.request("GET", address, headers={"Cookie": cookie})
        answer = line.getresponse()
        answer.read()
        return answer.status
    finally:
        line.close()


def person(name: str, fabrics: int, pictured: int) -> tuple[User, str]:
    """A signed-in person with a stash whose cards show pictures, and the cookie."""
    owner = User.objects.create_user(name)
    fill(owner, fabrics)
    # Invented promises belong to no project, which check_stash would tell.
    Piece.objects.filter(owner=owner).update(promised_length=0, promised_count=0)
    first = stored_photo(owner, cloth_photo((40, 60, 130), (200, 190, 60), (640, 480)))
    data = photo_store.read_file(first)
    # The page shows the newest first.
    for fabric in Fabric.objects.filter(owner=owner).order_by("-pk")[:pictured]:
        photo = Photo.objects.get(pk=first.pk)
        photo.pk, photo.key, photo.fabric = None, uuid.uuid4(), fabric
        photo._state.adding = True
        photo.save(force_insert=True)
        photo_store.write_file(photo, data)
        fabric.main_photo = photo
        fabric.save()
        cloth_tile.tile(fabric, "cloth")
    client = Client()
    client.force_login(owner)
    return owner, f"sessionid={client.cookies['sessionid'].value}"


def measure(server: Server, address: str, cookie: str, seconds: float, told: Told) -> None:
    wrk, worked = shutil.which("wrk"), server.worked()
    if wrk is None:
        rate, late, wrong = _asked_by_threads(server.port, address, cookie, seconds)
    else:
        script = Path(_folder.name) / "told.lua"
        script.write_text(_SCRIPT, encoding="ascii")
        command = [wrk, "-t1", f"-c{CONNECTIONS}", f"-d{seconds:.0f}s", "-s", str(script)]
        command += ["-H", f"Cookie: {cookie}", f"http://127.0.0.1:{server.port}{address}"]
        stdout = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        line = next(line for line in stdout.splitlines() if line.startswith("told "))
        _, *numbers = line.split()
        rate, late, wrong = float(numbers[0]), float(numbers[1]), int(numbers[2])
    told.rates.append(rate)
    told.late.append(late)
    told.work.append(1000 * (server.worked() - worked) / (rate * seconds))
    told.wrong += wrong


def _asked_by_threads(
    port: int, address: str, cookie: str, seconds: float
) -> tuple[float, float, int]:
    end = time.monotonic() + seconds

    def ask(_: int) -> tuple[list[float], int]:
        line, took, wrong = HTTPConnection("127.0.0.1", port, timeout=60), [], 0
        while (begun := time.monotonic()) < end:
            line.request("GET", address, headers={"Cookie": cookie})
            answer = line.getresponse()
            answer.read()
            took.append(time.monotonic() - begun)
            wrong += answer.status != 200
        return took, wrong

    with ThreadPoolExecutor(CONNECTIONS) as threads:
        answers = list(threads.map(ask, range(CONNECTIONS)))
    took = sorted(itertools.chain.from_iterable(seconds for seconds, _ in answers))
    late = 1000 * took[int(0.95 * len(took))]
    return len(took) / seconds, late, sum(wrong for _, wrong in answers)


def rates(rounds: int, seconds: float, fabrics: int) -> None:
    owner, cookie = person("quilter", fabrics, PAGE_SIZE)
    fabric = Fabric.objects.filter(owner=owner).exclude(main_photo=None).latest("pk")
    assert fabric.main_photo is not None
    addresses = {
        "without queries": WITHOUT_QUERIES,
        "shelf": "/find/",
        "tile": tile_url(fabric),
        "photo": f"/photos/{fabric.main_photo.key}/small",
    }
    told = {name: Told() for name in addresses}
    with serving() as server:
        for address in addresses.values():
            sent = "" if address == WITHOUT_QUERIES else cookie
            assert get(server.port, address, sent) == 200, address
        before = server.resident()
        for number, (name, address) in itertools.product(range(rounds), addresses.items()):
            sent = "" if address == WITHOUT_QUERIES else cookie
            measure(server, address, sent, seconds, told[name])
            if name == "photo":
                say(f"round {number + 1}; load average {os.getloadavg()[0]:.1f}")
        for name, figures in told.items():
            rate, late = statistics.median(figures.rates), statistics.median(figures.late)
            spread = f"{min(figures.rates):.0f} to {max(figures.rates):.0f}"
            work = statistics.median(figures.work)
            say(
                f"{name:16} {rate:6.1f}/s ({spread}), p95 {late:.0f} ms, wrong {figures.wrong}, "
                f"{work:.2f} ms of processor time each"
            )
        for name, figures in told.items():
            pairs = zip(figures.rates, told["without queries"].rates, strict=True)
            ratio = [rate / plain for rate, plain in pairs]
            spread = f"{min(ratio):.2f} to {max(ratio):.2f}"
            say(f"{name} to the page without queries: {statistics.median(ratio):.2f} ({spread})")
        say(f"memory {before:.0f} MB before, {server.resident():.0f} MB after")


def endure(minutes: float, fabrics: int) -> None:
    people = [person(f"quilter{number}", fabrics, 5) for number in range(PEOPLE)]
    end = time.monotonic() + 60 * minutes
    statuses: Counter[str] = Counter()
    took: list[float] = []
    with serving() as server:

        def look_around(visit: tuple[User, str]) -> None:
            owner, cookie = visit
            keys = list(Fabric.objects.filter(owner=owner).values_list("pk", flat=True)[:50])
            words = ("dark blue", "light green dots", "fat quarters", "at least 1/2 yd")
            turns = itertools.cycle(
                ["/find/", "/find/?words=", "/fabrics/", "/projects/", "/value-line/"]
            )
            for number, turn in enumerate(turns):
                if time.monotonic() >= end:
                    return
                address = turn
                if turn == "/find/?words=":
                    address += words[number % len(words)].replace(" ", "+")
                elif turn == "/fabrics/":
                    address += f"{keys[number % len(keys)]}/"
                begun = time.monotonic()
                try:
                    told = str(get(server.port, address, cookie))
                except OSError as error:
                    told = type(error).__name__
                took.append(time.monotonic() - begun)
                statuses[told] += 1
                time.sleep(1)

        threads = [Thread(target=look_around, args=[person]) for person in people]
        for thread in threads:
            thread.start()
        time.sleep(15 * minutes)
        before = server.resident()
        say(f"memory {before:.0f} MB after a quarter; load average {os.getloadavg()[0]:.1f}")
        statuses.update(f"import {photo}" for photo in send_photos(server.port, *people[0]))
        backup = [sys.executable, "manage.py", "backup", str(Path(_folder.name) / "kept")]
        made = subprocess.run(backup, cwd=ROOT, capture_output=True, text=True, check=False)
        say(f"backup: exit {made.returncode} {(made.stdout + made.stderr).strip()}")
        for thread in threads:
            thread.join()
        took.sort()
        late = 1000 * took[int(0.95 * len(took))]
        say(f"{len(took)} pages, p95 {late:.0f} ms, {dict(statuses)}")
        say(f"memory {server.resident():.0f} MB at the end, {server.resident() - before:+.1f}")
    call_command("check_stash")


def send_photos(port: int, owner: User, cookie: str) -> Iterator[int]:
    """Send new photos to a trip as the page's script does, one a request."""
    trip = start_trip(owner=owner, date=date.today(), width=42 * INCH)
    token, border = uuid.uuid4().hex, uuid.uuid4().hex
    for number in range(IMPORTED):
        photo = cloth_photo((10 + 10 * number, 60, 130), (200, 190, 60), (1600, 1200))
        head = (
            f'--{border}\r\nContent-Disposition: form-data; name="photos"; filename="{number}.jpg"'
        )
        body = f"{head}\r\nContent-Type: image/jpeg\r\n\r\n".encode()
        body += photo + f"\r\n--{border}--\r\n".encode()
        line = HTTPConnection("127.0.0.1", port, timeout=60)
        headers = {
            "Accept": "application/json",
            "Content-Type": f"multipart/form-data; boundary={border}",
            "Cookie": f"{cookie}; csrftoken={token}",
            "X-CSRFToken": token,
            "X-Act": str(uuid.uuid4()),
        }
        line.request("POST", f"/add/{trip.pk}/photos/", body, headers)
        answer = line.getresponse()
        answer.read()
        line.close()
        yield answer.status


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    asked.add_argument("--rounds", type=int, default=5)
    asked.add_argument("--seconds", type=float, default=6.0)
    asked.add_argument("--fabrics", type=int, default=5_000)
    asked.add_argument("--minutes", type=float, default=0.0)
    given = asked.parse_args()
    call_command("migrate", verbosity=0)
    if given.minutes:
        endure(given.minutes, min(given.fabrics, 500))
    else:
        rates(given.rounds, given.seconds, given.fabrics)


if __name__ == "__main__":
    main()
