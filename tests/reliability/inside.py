"""What is asked of a stash from within, in a process beside the site that serves it.

Each line of the input is a command with what it is given, each line of the output its answer.
"""

from __future__ import annotations

import hashlib
import json
import sys
import uuid
from collections import defaultdict
from pathlib import Path
from time import sleep
from typing import Any

import django

__all__ = ["COMMANDS"]

#: Inches: far more cloth than all clients together promise or give away, one inch at a time.
LONG = 5_000


def seed(*, clients: int, contests: int = 0) -> dict[str, Any]:
    """Make a person with cloth; each client has a piece and a project with a sheet of its own.

    A contest is about a piece that serves one of two, and about cloth bought once.
    """
    from projects.coverage.answering import ask_coverage
    from projects.models import Purchase
    from tests.builders import make_owner
    from tests.planning import builders as b

    owner = make_owner()
    shared_fabric = b.fabric(owner, "Shared")
    shared = b.piece(shared_fabric, 42, LONG)
    scarce = [b.piece(shared_fabric, 42, 10).pk for _ in range(contests)]
    parts = []
    for name in ("One", "Other"):
        part = b.part(b.project(owner, name=name))
        part.fabrics.add(shared_fabric)
        parts.append(part)
    size = {"width": b.inches(42), "length": b.inches(36)}
    bought = [
        Purchase.objects.create(part=parts[0], fingerprint=f"{number}", **size).pk
        for number in range(contests)
    ]
    short = b.part(b.project(owner, name="Short"))
    b.cut(short, 4, 10, 10)
    short.fabrics.add(b.fabric(owner, "Not there yet"))
    ask_coverage(project=short.project)
    made = []
    for number in range(clients):
        fabric = b.fabric(owner, f"Cloth {number}")
        project = b.project(owner, name=f"Quilt {number}", squaring_up=b.inches(1))
        part = b.part(project)
        part.fabrics.add(fabric)
        b.piece(fabric, 42, 30)
        b.cut(part, 12, "3 1/2", "3 1/2")
        ask_coverage(project=project)
        gift = b.piece(b.fabric(owner, f"Gift {number}"), 42, LONG)
        made.append({"piece": gift.pk, "project": project.pk})
    return {
        "clients": made,
        "piece": shared.pk,
        "parts": [part.get_absolute_url() for part in parts],
        "scarce": scarce,
        "bought": bought,
        "short": short.pk,
    }


def look() -> dict[str, Any]:
    """Return what is broken, and the effects of each deed by the mark that it leaves."""
    from django.db.models import Sum

    from projects.models import CuttingDone, Promise, Purchase
    from stash.keeping.checks.check import find_breaches
    from stash.lengths import INCH
    from stash.models import Draft, Movement, Place, ShopTrip, SpentKey

    _wait_for_the_dead()
    effects: defaultdict[str, defaultdict[str, int]] = defaultdict(lambda: defaultdict(int))
    for act, kind in Movement.objects.values_list("act", "kind"):
        effects[str(act)][kind] += 1
    taken_back = {}
    for done in CuttingDone.objects.all():
        effects[str(done.act)]["cutting"] += 1
        taken_back[done.act] = done.undone_at is not None
    undoing = Movement.objects.exclude(undoes=None).order_by()
    for act, undone in undoing.values_list("act", "undoes__act").distinct():
        if taken_back.get(undone):
            effects[str(act)]["cutting taken back"] += 1
    for piece in Purchase.objects.exclude(piece=None).values_list("piece", flat=True):
        act = Movement.objects.filter(piece=piece).earliest("pk").act
        effects[str(act)]["purchase"] += 1
    for sent in Draft.objects.values_list("photo__sent_sha256", flat=True):
        effects[sent]["photo"] += 1
    for shop in ShopTrip.objects.values_list("shop", flat=True):
        effects[shop]["trip"] += 1
    for note in Place.objects.values_list("note", flat=True):
        effects[note]["place"] += 1
    promised = Promise.objects.values("piece").annotate(all=Sum("length"))
    return {
        "breaches": [breach.sentence for breach in find_breaches()],
        "effects": effects,
        "spent": [str(key) for key in SpentKey.objects.values_list("key", flat=True)],
        "standing": [str(act) for act, is_back in taken_back.items() if not is_back],
        "promised": {str(row["piece"]): row["all"] / INCH for row in promised},
        "ticked": Purchase.objects.filter(part__project__name="Short").count(),
    }


def digest() -> dict[str, str]:
    """Return a digest of each table that belongs to a stash, and one of its pictures."""
    from stash.keeping.backups import rows
    from stash.photos import store as photo_store
    from stash.photos.storage.interface import photo_storage, read_from

    found = {}
    for label, model in rows.models_at(rows.applied("default")).items():
        text = json.dumps(list(rows.rows_of(model, "default")), cls=rows.Encoder)
        found[label] = hashlib.sha256(text.encode()).hexdigest()
    names = [lying.name for lying in photo_store.pictures()]
    found["pictures"] = hashlib.sha256(
        b"".join(name.encode() + read_from(photo_storage(), name) for name in names)
    ).hexdigest()
    return found


def add_photos(*, count: int) -> None:
    """Add fabrics with photos of their own."""
    from django.contrib.auth.models import User

    from tests.builders import make_fabric, make_piece
    from tests.photos.pictures import cloth_photo, stored_photo

    owner = User.objects.get()
    for number in range(count):
        fabric = make_fabric(owner, f"{uuid.uuid4()}")
        make_piece(fabric)
        stored_photo(owner, cloth_photo((40 + number * 9 % 200, 60, 90)), fabric=fabric)


def load_old(*, path: str) -> None:
    """Make the stash of a backup as it was in its day, with the tables of then."""
    from stash.keeping.backups import staging
    from stash.keeping.backups.archive import open_archive

    with open_archive(Path(path), most_bytes=2**40) as archive:
        staging._load_rows(archive)
        staging._write_photos(archive)


def _wait_for_the_dead() -> None:
    """What a site that was killed had sent to PostgreSQL may still be going on there."""
    from django.db import connection

    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        for _ in range(1_000):
            cursor.execute(
                "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
                "AND pid <> pg_backend_pid() AND state <> 'idle'"
            )
            if cursor.fetchone() == (0,):
                return
            sleep(0.05)
    raise AssertionError("something is still going on in the database")


COMMANDS = {command.__name__: command for command in (seed, look, digest, add_photos, load_old)}


def main() -> None:
    from django.conf import settings
    from django.db import connections

    settings.READ_PHOTOS_APART = False
    for line in sys.stdin:
        name, given = json.loads(line)
        told = COMMANDS[name](**given)
        connections.close_all()
        sys.stdout.write(json.dumps(told) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    django.setup()
    main()
