"""What belongs to one person, in one file: whole, hers alone, readable, and back again."""

from __future__ import annotations

import csv
import hashlib
import json
import uuid
import zipfile
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db import transaction
from django.urls import reverse

from projects.models import Project, Promise
from projects.planning.promises.acts import promise_length
from stash.catalogue import ledger
from stash.catalogue.ledger import Remnant
from stash.intake.lists.reading import read_listing
from stash.keeping.backups.archive import ArchiveError, open_archive
from stash.keeping.checks.check import find_breaches
from stash.keeping.checks.rows import our_models
from stash.keeping.exports.cells import exact_mm
from stash.keeping.exports.content import EXPORT, left_out, tables
from stash.keeping.exports.reading import import_stash
from stash.keeping.exports.writing import export_stash
from stash.lengths import INCH, MM
from stash.models import Fabric, Listing, PhoneTrial, Photo, Piece, Tag
from stash.models.listing import ListingKind
from stash.text import guarded, unguarded
from tests.builders import make_fabric, make_owner, make_piece, make_place, make_stranger
from tests.page_client import PageClient
from tests.photo_files import file_of
from tests.photos.pictures import stored_photo
from tests.photos.trial_photos import kept
from tests.planning import builders as b

pytestmark = pytest.mark.django_db(transaction=True)

NAMES = ["=HYPERLINK(1)", "+1 yd", "-Blue", "@ Olive’s", "'tis grey", "Ünï “Rain”, 1;2", "a\nb"]


@pytest.fixture
def maren(transactional_db: None) -> User:
    owner = make_owner()
    shelf = make_place(owner, "Shelf")
    place = make_place(owner, "Bin 3", inside=shelf)
    for name in NAMES:
        make_fabric(owner, name)
    fabric = make_fabric(owner, "Harbour", notes="=1+1")
    fabric.tags.add(Tag.objects.create(owner=owner, name="stripes"))
    photo = stored_photo(owner, fabric=fabric)
    Fabric.objects.filter(pk=fabric.pk).update(main_photo=photo)
    piece = make_piece(fabric, place=place, price="12.50")
    act = uuid.uuid4()
    with ledger.one_act(owner, act):
        ledger.cut_from_piece(
            piece=piece,
            act=act,
            length=10 * INCH,
            remnants=[Remnant(width=20 * INCH, length=10 * INCH)],
        )
    part = b.part(b.project(owner))
    part.fabrics.add(fabric)
    piece.refresh_from_db()
    promise_length(part=part, piece=piece, length=9 * INCH)
    kept(owner)
    return owner


def gone(owner: User) -> dict[str, bytes]:
    """Take everything of hers away, and keep the pictures that the files held."""
    pictures = {}
    for photo in Photo.objects.owned_by(owner):
        pictures[photo.key.hex] = file_of(photo).read_bytes()
        file_of(photo).unlink()
    with transaction.atomic():
        for model in our_models():
            model._base_manager.all()._raw_delete("default")
        User.objects.filter(pk=owner.pk)._raw_delete("default")
    return pictures


def changed(path: Path, name: str, change: Callable[[bytes], bytes], *, fits: bool = True) -> Path:
    """The file with one entry rewritten, and its list of contents too if it is to fit."""
    other = path.with_name("changed.zip")
    with zipfile.ZipFile(path) as packed, zipfile.ZipFile(other, "w") as into:
        held = {entry: packed.read(entry) for entry in packed.namelist()}
        held[name] = change(held[name])
        if fits:
            told = json.loads(held["export.json"])
            told["entries"][name] = {
                "size": len(held[name]),
                "sha256": hashlib.sha256(held[name]).hexdigest(),
            }
            held["export.json"] = json.dumps(told).encode()
        for entry, content in held.items():
            into.writestr(entry, content)
    return other


def first_row(**changes: Any) -> Callable[[bytes], bytes]:
    def change(content: bytes) -> bytes:
        first, _, rest = content.partition(b"\n")
        return json.dumps({**json.loads(first), **changes}).encode() + b"\n" + rest

    return change


def test_everything_comes_back_and_goes_out_again_byte_for_byte(
    maren: User, tmp_path: Path
) -> None:
    first, second = tmp_path / "first.zip", tmp_path / "second.zip"
    export_stash(owner=maren, path=first)
    pictures = gone(maren)
    later = make_owner("later")
    made = import_stash(owner=later, path=first)
    assert (made.fabrics, made.pieces, made.projects, made.photos) == (len(NAMES) + 1, 2, 1, 1)
    assert find_breaches() == []
    assert {p.key.hex: file_of(p).read_bytes() for p in Photo.objects.owned_by(later)} == pictures
    assert Promise.objects.get().part.project.owner == later
    assert PhoneTrial.objects.get(owner=later).found is not None
    export_stash(owner=later, path=second)
    assert first.read_bytes() == second.read_bytes()


def test_rows_that_come_later_get_numbers_of_their_own(maren: User, tmp_path: Path) -> None:
    export_stash(owner=maren, path=tmp_path / "out.zip")
    gone(maren)
    later = make_owner("later")
    import_stash(owner=later, path=tmp_path / "out.zip")
    fabric = make_fabric(later, "New")
    assert fabric.pk > max(Fabric.objects.exclude(pk=fabric.pk).values_list("pk", flat=True))


def test_nothing_of_anybody_else_is_in_it(maren: User, tmp_path: Path) -> None:
    stranger = make_stranger()
    make_piece(make_fabric(stranger, "Not hers", notes="secret"), lot="secret")
    b.part(b.project(stranger, name="secret"))
    export_stash(owner=maren, path=tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "out.zip") as packed:
        for name in packed.namelist():
            held = packed.read(name)
            assert b"secret" not in held, name
            assert b"Not hers" not in held, name


def test_every_table_of_ours_is_exported_or_left_out_with_a_reason(db: None) -> None:
    ours = {model._meta.label_lower for model in our_models()}
    short_lived = {"stash.signinfailure", "stash.setuplink"}
    assert ours - set(tables()) - set(left_out()) == short_lived
    assert not set(tables()) & set(left_out())


def test_a_spreadsheet_works_nothing_out(maren: User, tmp_path: Path) -> None:
    """Cells that begin with = + - @ tab or CR are text: OWASP ASVS 5.0, 1.2.10."""
    export_stash(owner=maren, path=tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "out.zip") as packed:
        for name in (name for name in packed.namelist() if name.startswith("tables/")):
            text = packed.read(name).decode("utf-8-sig")
            for row in csv.reader(StringIO(text, newline="")):
                for cell in row:
                    assert not cell.startswith(("=", "+", "@", "\t", "\r")), (name, cell)
                    assert not cell.startswith("-") or float(cell) < 0, (name, cell)
        head, *rows = csv.reader(
            StringIO(packed.read("tables/fabric.csv").decode("utf-8-sig"), newline="")
        )
    names = [unguarded(row[head.index("name")]) for row in rows]
    assert sorted(names) == sorted([*NAMES, "Harbour"])


@pytest.mark.parametrize("text", [*NAMES, "", "'", "''=1", "plain", "\tx"])
def test_a_guard_comes_off_again(text: str) -> None:
    assert unguarded(guarded(text)) == text


def test_lengths_in_tables_are_exact_millimetres(maren: User, tmp_path: Path) -> None:
    export_stash(owner=maren, path=tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "out.zip") as packed:
        text = packed.read("tables/piece.csv").decode("utf-8-sig")
    table = list(csv.DictReader(StringIO(text)))
    kept = {piece.pk: piece for piece in Piece.objects.owned_by(maren)}
    assert table
    for row in table:
        assert float(row["length_mm"]) * MM == kept[int(row["id"])].length
    assert exact_mm(INCH) == "25.4"


@pytest.mark.parametrize(
    ("name", "change", "sentence"),
    [
        ("rows/stash.fabric.jsonl", first_row(owner_id=1), "does not know the column 'owner_id'"),
        ("rows/stash.piece.jsonl", first_row(fabric_id=999_999), "not in the export"),
        ("rows/stash.piece.jsonl", first_row(length="long"), "has 'long' as its length"),
        ("rows/stash.piece.jsonl", first_row(width=1), "not sound"),
        ("rows/stash.piece.jsonl", lambda held: held + held, "Two rows of stash.piece"),
        ("rows/stash.piece.jsonl", lambda held: b"{", "is not JSON"),
        ("rows/stash.photo.jsonl", first_row(width=-1), "do not fit together"),
    ],
)
def test_what_is_not_as_it_must_be_leaves_everything_as_it_was(
    maren: User, tmp_path: Path, name: str, change: Callable[[bytes], bytes], sentence: str
) -> None:
    export_stash(owner=maren, path=tmp_path / "out.zip")
    gone(maren)
    later = make_owner("later")
    with pytest.raises(ArchiveError, match=sentence):
        import_stash(owner=later, path=changed(tmp_path / "out.zip", name, change))
    assert not Fabric.objects.exists()
    assert not Project.objects.exists()
    assert not Photo.objects.exists()
    # And the file as it was is still taken.
    import_stash(owner=later, path=tmp_path / "out.zip")


def test_a_file_that_was_changed_underway_is_refused(maren: User, tmp_path: Path) -> None:
    export_stash(owner=maren, path=tmp_path / "out.zip")
    other = changed(
        tmp_path / "out.zip", "rows/stash.tag.jsonl", first_row(name="other"), fits=False
    )
    with (
        pytest.raises(ArchiveError, match="not what was put there"),
        open_archive(other, most_bytes=10**9, sort=EXPORT) as archive,
    ):
        archive.verify()


def test_a_picture_that_is_none_is_refused(maren: User, tmp_path: Path) -> None:
    export_stash(owner=maren, path=tmp_path / "out.zip")
    key = Photo.objects.get().key.hex
    gone(maren)
    path = changed(tmp_path / "out.zip", f"photos/{key[:2]}/{key}.jpg", lambda held: b"MZ" + held)
    with pytest.raises(ArchiveError, match="is no picture"):
        import_stash(owner=make_owner("later"), path=path)
    assert not Photo.objects.exists()


def test_cloth_that_is_here_already_stays_alone(maren: User, tmp_path: Path) -> None:
    export_stash(owner=maren, path=tmp_path / "out.zip")
    with pytest.raises(ArchiveError, match=r"maren has .* here already"):
        import_stash(owner=maren, path=tmp_path / "out.zip")
    with pytest.raises(ArchiveError, match="belongs to somebody else here"):
        import_stash(owner=make_owner("later"), path=tmp_path / "out.zip")
    assert not Fabric.objects.filter(owner__username="later").exists()


def test_commands(maren: User, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "out.zip"
    call_command("export_stash", str(path), "--json")
    assert json.loads(capsys.readouterr().out)["photos"] == 1
    with pytest.raises(CommandError, match="There is a file"):
        call_command("export_stash", str(path))
    with pytest.raises(CommandError, match="is no export of Clothlight"):
        call_command("import_stash", __file__)
    with pytest.raises(CommandError, match="nobody called “nemo”"):
        call_command("export_stash", str(tmp_path / "x.zip"), "--owner", "nemo")
    gone(maren)
    make_owner("later")
    call_command("import_stash", str(path))
    assert "Imported: 8 fabrics, 2 pieces, 1 projects, 1 photos." in capsys.readouterr().out


def test_page_sends_the_file(maren: User, tmp_path: Path) -> None:
    client = PageClient()
    client.force_login(maren)
    answer = client.get(reverse("accounts:export"))
    sent = tmp_path / "sent.zip"
    sent.write_bytes(b"".join(answer.streaming_content))  # type: ignore[arg-type]
    export_stash(owner=maren, path=tmp_path / "out.zip")
    assert sent.read_bytes() == (tmp_path / "out.zip").read_bytes()
    assert "attachment" in answer["Content-Disposition"]


def test_the_shelf_as_a_table_is_read_as_a_table_of_elsewhere(maren: User, tmp_path: Path) -> None:
    """A line a piece, in the person’s units; guards of cells come off again."""
    for number, name in enumerate(NAMES):
        make_piece(Fabric.objects.get(name=name), width=(40 + number) * INCH, length=INCH * 27 // 2)
    export_stash(owner=maren, path=tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "out.zip") as packed:
        text = packed.read("tables/cloth.csv").decode("utf-8-sig")
    listing = Listing(owner=maren, kind=ListingKind.TABLE, text=text, reading={"units": "in"})
    read = read_listing(listing)
    assert [
        (line.text, line.problems, line.lacks) for line in read.lines if not line.is_ready
    ] == []
    told = sorted(
        (line.facts["name"], line.facts["width"], line.facts["length"]) for line in read.lines
    )
    pieces = Piece.objects.owned_by(maren).on_shelf()
    assert told == sorted((piece.fabric.name, piece.width, piece.length) for piece in pieces)
