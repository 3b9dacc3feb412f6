"""check_stash: a sound stash passes, and each rule finds the one thing that was broken for it."""

from __future__ import annotations

import json
import os
import sqlite3
import uuid
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from projects import check_rules as of_projects
from projects.models import ActKind, Coverage, CuttingDone, Part, Promise, Purchase, QuiltDrawing
from projects.planning.promises.acts import promise_length
from stash.catalogue import ledger
from stash.catalogue.ledger import Remnant
from stash.keeping import identity
from stash.keeping.checks import files as rules_files
from stash.keeping.checks import ledger as rules_ledger
from stash.keeping.checks import rows as rules_rows
from stash.keeping.checks.check import find_breaches, rules
from stash.keeping.checks.rules import Breach, register
from stash.lengths import INCH
from stash.models import Fabric, Movement, PhoneTrial, Photo, Piece, Place, Preferences, Tag
from stash.models.movement import Kind
from tests.access.matrix import fingerprint
from tests.builders import make_fabric, make_owner, make_piece, make_place, make_stranger
from tests.photo_files import file_of
from tests.photos.pictures import cloth_photo, stored_photo
from tests.planning import builders as b


@dataclass
class Stash:
    """Some of everything: fabrics with photos, pieces cut and undone, a project with promises."""

    owner: User
    stranger: User
    photo: Photo
    fabric: Fabric
    piece: Piece
    remnant: Piece
    cut_act: uuid.UUID
    undone_act: uuid.UUID
    undoing: uuid.UUID
    part: Part
    promise: Promise
    place: Place
    others: dict[str, Any] = field(default_factory=dict)


@pytest.fixture
def stash(transactional_db: None) -> Stash:
    owner, stranger = make_owner(), make_stranger()
    fabric = make_fabric(owner)
    photo = stored_photo(owner, fabric=fabric)
    Fabric.objects.filter(pk=fabric.pk).update(main_photo=photo)
    place = make_place(owner, "Shelf")
    piece = make_piece(fabric, place=place)
    cut_act, undone_act, undoing = uuid.uuid4(), uuid.uuid4(), uuid.uuid4()
    with ledger.one_act(owner, cut_act):
        (remnant,) = ledger.cut_from_piece(
            piece=piece,
            act=cut_act,
            length=10 * INCH,
            remnants=[Remnant(width=20 * INCH, length=10 * INCH)],
        )
    ledger.measure(piece=piece, width=43 * INCH, length=26 * INCH, act=undone_act)
    ledger.undo(owner=owner, undone_act=undone_act, act=undoing)
    part = b.part(b.project(owner))
    part.fabrics.add(fabric)
    piece.refresh_from_db()
    promise = promise_length(part=part, piece=piece, length=9 * INCH)
    foreign = make_fabric(stranger, "Not hers")
    identity.ensure()
    return Stash(
        owner=owner,
        stranger=stranger,
        photo=photo,
        fabric=fabric,
        piece=piece,
        remnant=remnant,
        cut_act=cut_act,
        undone_act=undone_act,
        undoing=undoing,
        part=part,
        promise=promise,
        place=place,
        others={"fabric": foreign, "piece": make_piece(foreign)},
    )


def movement(stash: Stash, act: uuid.UUID) -> Any:
    return Movement.objects.filter(act=act)


def book(stash: Stash, act: uuid.UUID, **fields: Any) -> CuttingDone:
    return CuttingDone.objects.create(project=stash.part.project, act=act, **fields)


# --- each breaks one thing, in ways that no act of the site can ---


def wrong_width(stash: Stash) -> None:
    Piece.objects.filter(pk=stash.remnant.pk).update(width=stash.remnant.width + 1)


def wrong_length(stash: Stash) -> None:
    movement(stash, stash.cut_act).filter(piece=stash.remnant).update(length_delta=10 * INCH + 1)


def wrong_count(stash: Stash) -> None:
    Piece.objects.filter(pk=stash.remnant.pk).update(count=2)


def no_beginning(stash: Stash) -> None:
    Movement.objects.filter(piece=stash.others["piece"]).update(kind=Kind.MEASURED)


def lent_by_nobody(stash: Stash) -> None:
    Piece.objects.filter(pk=stash.piece.pk).update(lent_count=1, lent_to="Ada")


def two_beginnings(stash: Stash) -> None:
    piece = stash.others["piece"]
    Movement.objects.create(owner=stash.stranger, piece=piece, kind=Kind.ACQUIRED)


def more_back(stash: Stash) -> None:
    """One unit longer than what was cut off is wide enough to matter: areas are exact."""
    more = 1 + 22 * INCH * 10 * INCH // (20 * INCH)
    Piece.objects.filter(pk=stash.remnant.pk).update(length=10 * INCH + more)
    rows = movement(stash, stash.cut_act).filter(piece=stash.remnant)
    rows.update(length_delta=10 * INCH + more)


def back_from_nowhere(stash: Stash) -> None:
    movement(stash, stash.cut_act).filter(piece=stash.piece).update(kind=Kind.CORRECTED)


def undone_otherwise(stash: Stash) -> None:
    movement(stash, stash.undone_act).update(width_delta=2 * INCH)
    Movement.objects.create(
        owner=stash.owner, piece=stash.piece, kind=Kind.CORRECTED, width_delta=-INCH
    )


def undone_in_part(stash: Stash) -> None:
    piece = make_piece(stash.fabric)
    Movement.objects.create(
        owner=stash.owner, piece=piece, kind=Kind.MEASURED, act=stash.undone_act
    )


def one_undoing_of_two_acts(stash: Stash) -> None:
    piece = make_piece(stash.fabric)
    done = Movement.objects.create(owner=stash.owner, piece=piece, kind=Kind.MEASURED)
    Movement.objects.create(
        owner=stash.owner, piece=piece, kind=Kind.UNDONE, undoes=done, act=stash.undoing
    )


def lost_reference(stash: Stash) -> None:
    """As a damaged disk or a hand in the tables can leave it; both databases guard against it."""
    with connection.constraint_checks_disabled(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET session_replication_role = replica")
        Piece.objects.filter(pk=stash.remnant.pk).update(place_id=987654)
        if connection.vendor == "postgresql":
            cursor.execute("SET session_replication_role = DEFAULT")


def foreign_fabric(stash: Stash) -> None:
    Piece.objects.filter(pk=stash.remnant.pk).update(fabric=stash.others["fabric"])


def foreign_tag(stash: Stash) -> None:
    tag = Tag.objects.create(owner=stash.stranger, name="blue")
    Fabric.tags.through.objects.create(fabric=stash.fabric, tag=tag)


def foreign_part(stash: Stash) -> None:
    part = b.part(b.project(stash.stranger))
    Promise.objects.filter(pk=stash.promise.pk).update(part=part)


def foreign_main_photo(stash: Stash) -> None:
    photo = stored_photo(stash.owner, cloth_photo((9, 90, 90)))
    Fabric.objects.filter(pk=stash.fabric.pk).update(main_photo=photo)


def place_in_itself(stash: Stash) -> None:
    inner = make_place(stash.owner, "Box", inside=stash.place)
    Place.objects.filter(pk=stash.place.pk).update(inside=inner)


def reading_of_nonsense(stash: Stash) -> None:
    Photo.objects.filter(pk=stash.photo.pk).update(reading={"far": "blue"})


def region_of_nonsense(stash: Stash) -> None:
    Photo.objects.filter(pk=stash.photo.pk).update(region={"left": 1})


def card_print_of_nonsense(stash: Stash) -> None:
    Preferences.objects.create(owner=stash.owner, card_print={"black": []})


def phone_of_nonsense(stash: Stash) -> None:
    PhoneTrial.objects.create(
        owner=stash.owner, camera="a" * 12, finding={"spread": -1}, kept_at=timezone.now()
    )


def picture_gone(stash: Stash) -> None:
    file_of(stash.photo).unlink()


def picture_changed(stash: Stash) -> None:
    file_of(stash.photo).write_bytes(file_of(stash.photo).read_bytes()[:-1])


def picture_without_row(stash: Stash) -> None:
    path = file_of(stash.photo).with_name(f"{file_of(stash.photo).stem[:2]}{'0' * 30}.jpg")
    path.write_bytes(b"left behind")
    os.utime(path, (0, 0))


def photos_of_another_stash(stash: Stash) -> None:
    identity.write_to_photos(uuid.uuid4())


def promise_that_the_piece_does_not_carry(stash: Stash) -> None:
    Piece.objects.filter(pk=stash.piece.pk).update(promised_length=9 * INCH - 1)


def promised_of_none(stash: Stash) -> None:
    """A length of a piece of which there is none any more: a later act would find it taken."""
    Movement.objects.create(
        owner=stash.owner, piece=stash.piece, kind=Kind.CORRECTED, count_delta=-1
    )
    Piece.objects.filter(pk=stash.piece.pk).update(count=0)


def cutting_without_movements(stash: Stash) -> None:
    book(stash, uuid.uuid4(), kind=ActKind.CUT)


def cutting_undone_in_the_ledger_only(stash: Stash) -> None:
    book(stash, stash.undone_act, kind=ActKind.CUT)


def cutting_undone_in_the_project_only(stash: Stash) -> None:
    done = book(stash, stash.cut_act, kind=ActKind.CUT)
    CuttingDone.objects.filter(pk=done.pk).update(undone_at=done.at)


def cutting_of_another_person(stash: Stash) -> None:
    act = Movement.objects.get(piece=stash.others["piece"]).act
    book(stash, act, kind=ActKind.CUT)


def one_piece_of_two_purchases(stash: Stash) -> None:
    for answer in ("one", "two"):
        Purchase.objects.create(
            part=stash.part, width=1, length=1, fingerprint=answer, piece=stash.piece
        )


def purchase_of_a_remnant(stash: Stash) -> None:
    Purchase.objects.create(
        part=stash.part, width=1, length=1, fingerprint="one", piece=stash.remnant
    )


def plan_of_nonsense(stash: Stash) -> None:
    Coverage.objects.create(part=stash.part, verdict="covered", answer={"plans": [{"x": 1}]})


def drawing_of_nonsense(stash: Stash) -> None:
    QuiltDrawing.objects.create(project=stash.part.project, layout={"rows": "many"})


BROKEN: list[tuple[Callable[[Stash], None], str]] = [
    (wrong_width, rules_ledger.SUMS),
    (wrong_length, rules_ledger.SUMS),
    (wrong_count, rules_ledger.SUMS),
    (no_beginning, rules_ledger.BEGINNING),
    (two_beginnings, rules_ledger.BEGINNING),
    (lent_by_nobody, rules_ledger.LENT),
    (more_back, rules_ledger.AREA),
    (back_from_nowhere, rules_ledger.AREA),
    (undone_otherwise, rules_ledger.UNDOING),
    (undone_in_part, rules_ledger.UNDOING),
    (one_undoing_of_two_acts, rules_ledger.UNDOING),
    (lost_reference, rules_rows.REFERENCES),
    (foreign_fabric, rules_rows.OWNERS),
    (foreign_tag, rules_rows.OWNERS),
    (foreign_part, rules_rows.OWNERS),
    (foreign_main_photo, rules_rows.MAIN_PHOTO),
    (place_in_itself, rules_rows.PLACES),
    (reading_of_nonsense, rules_rows.DOCUMENTS),
    (region_of_nonsense, rules_rows.DOCUMENTS),
    (card_print_of_nonsense, rules_rows.DOCUMENTS),
    (phone_of_nonsense, rules_rows.DOCUMENTS),
    (picture_gone, rules_files.FILES),
    (picture_changed, rules_files.FILES),
    (picture_without_row, rules_files.OWNED),
    (photos_of_another_stash, rules_files.SAME),
    (promise_that_the_piece_does_not_carry, of_projects.PROMISES),
    (promised_of_none, of_projects.FREE),
    (cutting_without_movements, of_projects.CUTTINGS),
    (cutting_undone_in_the_ledger_only, of_projects.CUTTINGS),
    (cutting_undone_in_the_project_only, of_projects.CUTTINGS),
    (cutting_of_another_person, of_projects.CUTTINGS),
    (one_piece_of_two_purchases, of_projects.PURCHASES),
    (purchase_of_a_remnant, of_projects.PURCHASES),
    (plan_of_nonsense, of_projects.PLANS),
    (drawing_of_nonsense, of_projects.PLANS),
]


def test_a_sound_stash_passes_every_rule(stash: Stash) -> None:
    assert find_breaches() == []


@pytest.mark.parametrize(
    ("break_it", "rule"), BROKEN, ids=lambda item: getattr(item, "__name__", "")
)
def test_each_rule_finds_what_breaks_it_and_no_other_does(
    stash: Stash, break_it: Callable[[Stash], None], rule: str
) -> None:
    break_it(stash)
    found = find_breaches()
    assert {breach.rule for breach in found} == {rule}


def test_every_rule_is_broken_by_something() -> None:
    """The database file itself is damaged below."""
    assert {rule for _, rule in BROKEN} | {rules_rows.INTEGRITY} == set(rules())


def test_damaged_file_is_told(tmp_path: Path) -> None:
    """An index whose page was overwritten: every question but this one may still be answered."""
    path = tmp_path / "damaged.sqlite3"
    with closing(sqlite3.connect(path)) as database:
        database.execute("CREATE TABLE cloth (name TEXT)")
        database.execute("CREATE INDEX by_name ON cloth (name)")
        database.executemany("INSERT INTO cloth VALUES (?)", [("dots",), ("stripe",)])
        database.commit()
        (page,) = database.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'by_name'"
        ).fetchone()
        (size,) = database.execute("PRAGMA page_size").fetchone()
        assert rules_rows.told_by_sqlite(database.cursor()) == []
    content = bytearray(path.read_bytes())
    at = content.index(b"stripe", (page - 1) * size)
    content[at : at + 6] = b"stroke"
    path.write_bytes(content)
    with closing(sqlite3.connect(path)) as database:
        assert "missing from index by_name" in rules_rows.told_by_sqlite(database.cursor())[0]


def test_breach_names_piece_and_act(stash: Stash) -> None:
    more_back(stash)
    (breach,) = find_breaches()
    assert (breach.piece, breach.act) == (stash.piece.pk, stash.cut_act)
    assert "More cloth came back" in breach.sentence


def test_command_ends_with_nothing_to_say_but_how_much_there_is(
    stash: Stash, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("check_stash")
    assert "The stash is sound: 2 fabrics, 3 pieces, 6 movements, 1 photos" in (
        capsys.readouterr().out
    )
    call_command("check_stash", "--json")
    assert json.loads(capsys.readouterr().out) == []


def test_command_has_a_line_for_each_breach(
    stash: Stash, capsys: pytest.CaptureFixture[str]
) -> None:
    more_back(stash)
    picture_gone(stash)
    with pytest.raises(SystemExit) as end:
        call_command("check_stash")
    assert end.value.code == 1
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 2
    assert any(f"piece {stash.piece.pk}, act {stash.cut_act}" in line for line in lines)
    with pytest.raises(SystemExit):
        call_command("check_stash", "--json")
    told = json.loads(capsys.readouterr().out)
    assert {row["rule"] for row in told} == {rules_ledger.AREA, rules_files.FILES}


def test_checking_changes_nothing(stash: Stash) -> None:
    before = fingerprint()
    files = {path: path.stat().st_mtime_ns for path in _files(stash)}
    find_breaches()
    assert fingerprint() == before
    assert {path: path.stat().st_mtime_ns for path in _files(stash)} == files


def test_two_rules_of_one_name_are_a_mistake() -> None:
    def other() -> list[Breach]:
        return []

    with pytest.raises(ValueError, match="two rules"):
        register(rules_ledger.SUMS)(other)


def _files(stash: Stash) -> list[Path]:
    root = file_of(stash.photo).parent.parent
    return sorted(path for path in root.rglob("*") if path.is_file())
