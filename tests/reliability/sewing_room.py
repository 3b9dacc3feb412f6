"""The room in which the campaign lives: made once, and every life in it begins there anew."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import User
from django.db import connection

from projects.coverage.answering import ask_coverage
from projects.models import Coverage, Cut, Part, Project, Promise, Purchase
from stash.intake import acts as intake
from stash.keeping.checks.rows import our_models
from stash.lengths import INCH
from stash.models import Draft, Fabric, Piece, ShopTrip
from tests.builders import make_stranger
from tests.photos.pictures import cloth_photo
from tests.planning import builders as b

__all__ = ["Room", "all_rows", "make_room", "standing"]


@dataclass
class Room:
    owner: User
    fabrics: list[Fabric]
    projects: list[Project]
    parts: list[Part]
    cuts: list[Cut]
    trip: ShopTrip
    drafts: list[Draft]
    strange: Piece
    #: The parts that a fabric is chosen for, by numbers.
    chosen: set[tuple[int, int]] = field(default_factory=set)


#: Project, role, fabrics, cuts. The backing has no cloth and has to be bought.
_PARTS: list[tuple[int, str, list[int], list[tuple[int, Any]]]] = [
    (0, "background", [0], [(8, "6 1/2")]),
    (0, "border", [0], [(14, "3 1/2")]),
    (0, "feature", [1], [(9, "5 1/2")]),
    (0, "accent", [2], [(6, "4 1/2")]),
    (0, "backing", [3], [(1, 40)]),
    (1, "background", [0], [(4, 9)]),
    (1, "feature", [2], [(4, 4)]),
]


def make_room() -> Room:
    """Two projects that want the same cloth, one fabric that shrinks, a pack, and a shop trip."""
    owner = b.person()
    fabrics = [
        b.fabric(owner, "Shared"),
        b.fabric(owner, "Shrinks", prewashed=False),
        b.fabric(owner, "Packed"),
        b.fabric(owner, "Not yet bought"),
    ]
    b.piece(fabrics[0], 42, 30)
    b.piece(fabrics[0], 42, 24)
    b.piece(fabrics[1], 44, 40)
    b.piece(fabrics[2], 5, 5, form="square", count=12)
    projects = [
        b.project(owner, squaring_up=INCH, shrink="3.0"),
        b.project(owner, name="Candlelight"),
    ]
    room = Room(owner, fabrics, projects, [], [], *_trip(owner), strange=_strange())
    for project, role, chosen, lines in _PARTS:
        part = b.part(projects[project], role)
        room.chosen |= {(len(room.parts), fabric) for fabric in chosen}
        room.parts.append(part)
        part.fabrics.add(*(fabrics[fabric] for fabric in chosen))
        room.cuts += [b.cut(part, count, side, side) for count, side in lines]
    for project in projects:
        ask_coverage(project=project)
    return room


def _strange() -> Piece:
    return b.piece(b.fabric(make_stranger(), "Not hers"), 42, 36)


def _trip(owner: User) -> tuple[ShopTrip, list[Draft]]:
    trip = intake.start_trip(owner=owner, date=datetime.date(2026, 5, 4), width=40 * INCH)
    photos = [cloth_photo(colour) for colour in ((40, 60, 130), (180, 40, 50))]
    return trip, [intake.receive_photo(trip=trip, data=photo).draft for photo in photos]


def all_rows() -> list[list[Any]]:
    """Every row of stash and projects, keys of acts included."""
    rows = []
    with connection.cursor() as cursor:
        for model in our_models():
            table = connection.ops.quote_name(model._meta.db_table)
            cursor.execute(f"SELECT * FROM {table} ORDER BY 1")
            rows.append(cursor.fetchall())
    return rows


def standing(owner: User) -> list[list[Any]]:
    """What undoing must bring back: pieces that are there, promises, cuts, answers, states."""
    pieces = Piece.objects.filter(owner=owner, count__gt=0).order_by("pk")
    return [
        list(pieces.values_list()),
        sorted(Promise.objects.values_list("part", "piece", "length", "count")),
        list(Cut.objects.order_by("pk").values_list("pk", "done")),
        list(Coverage.objects.order_by("part").values_list("part", "verdict", "fingerprint")),
        list(Coverage.objects.order_by("part").values_list("answer", flat=True)),
        list(Project.objects.order_by("pk").values_list("pk", "status")),
        list(Purchase.objects.order_by("pk").values_list("pk", "piece")),
        list(Draft.objects.order_by("pk").values_list("pk", "piece", "removed_at")),
    ]
