"""Files that are no backup, or no longer: each is refused in a sentence and leaves no trace."""

from __future__ import annotations

import hashlib
import io
import json
import stat
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection

from stash.keeping import identity
from stash.keeping.backups import archive, rows
from stash.keeping.backups.archive import ArchiveError, open_archive
from stash.keeping.backups.backup import make_backup
from stash.models import Tag
from tests.builders import make_fabric, make_owner, make_piece, make_place
from tests.keeping.conftest import add_ready
from tests.keeping.elsewhere import (
    Home,
    Server,
    at,
    digest,
    here,
    make_tables,
    manage,
    restore_here,
    schemas_left,
    tree,
)
from tests.photos.pictures import cloth_photo, stored_photo

pytestmark = pytest.mark.usefixtures("elsewhere")

_sound: list[bytes] = []


def sound() -> bytes:
    """The sound backup that all the others are made of."""
    return _sound[-1]


@pytest.fixture(scope="module")
def victim(empty: Path, server: Server | None, tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A stash in use, of which there is a backup."""
    home = Home(data=tmp_path_factory.mktemp("victim"), url=server.make() if server else "")
    if home.url:
        add_ready(home.url, tmp_path_factory.mktemp("scratch"))
    else:
        (home.data / "stash.sqlite3").write_bytes(empty.read_bytes())
    with at(home):
        if home.url:
            make_tables()
        identity.join()
        owner = make_owner()
        fabric = make_fabric(owner)
        fabric.tags.add(Tag.objects.create(owner=owner, name="blue"))
        stored_photo(owner, fabric=fabric)
        stored_photo(owner, cloth_photo((9, 90, 90)))
        make_piece(fabric, place=make_place(owner))
        _sound.append(make_backup().path.read_bytes())
    return home


def changed(change: Callable[[dict[str, bytes]], None], *, fits: bool = True) -> bytes:
    """A sound backup with other contents; the manifest fits them unless told otherwise."""
    with zipfile.ZipFile(io.BytesIO(sound())) as packed:
        held = {name: packed.read(name) for name in packed.namelist()}
    change(held)
    if fits and "manifest.json" in held:
        told = json.loads(held["manifest.json"])
        told["entries"] = {
            name: {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
            for name, content in held.items()
            if name != "manifest.json"
        }
        held["manifest.json"] = json.dumps(told).encode()
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in held.items():
            packed.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return made.getvalue()


def with_row(label: str, **columns: Any) -> bytes:
    """The first row of a table says something else."""

    def change(held: dict[str, bytes]) -> None:
        name = f"rows/{label}.jsonl"
        first, *others = held[name].splitlines()
        row = json.loads(first) | columns
        row = {key: content for key, content in row.items() if content is not _GONE}
        held[name] = b"\n".join([json.dumps(row).encode(), *others])

    return changed(change)


_GONE = object()


def with_manifest(**facts: Any) -> bytes:
    def change(held: dict[str, bytes]) -> None:
        held["manifest.json"] = json.dumps(json.loads(held["manifest.json"]) | facts).encode()

    return changed(change, fits="entries" not in facts)


def with_entry(name: str, content: bytes = b"{}") -> bytes:
    return changed(lambda held: held.update({name: content}))


def with_info(change: Callable[[zipfile.ZipInfo], None]) -> bytes:
    """One more entry whose header was tampered with."""
    made = io.BytesIO(sound())
    with zipfile.ZipFile(made, "a") as packed:
        info = zipfile.ZipInfo("photos/ab/" + "ab" * 16 + ".jpg")
        change(info)
        packed.writestr(info, b"elsewhere")
    return made.getvalue()


def twice(name: str) -> bytes:
    made = io.BytesIO(sound())
    with zipfile.ZipFile(made, "a") as packed, pytest.warns(UserWarning, match="Duplicate name"):
        packed.writestr(name, b"{}")
    return made.getvalue()


def case_twin() -> bytes:
    made = io.BytesIO(sound())
    with zipfile.ZipFile(made, "a") as packed:
        packed.writestr("Manifest.json", b"{}")
    return made.getvalue()


def link() -> bytes:
    def point_away(info: zipfile.ZipInfo) -> None:
        info.external_attr = (stat.S_IFLNK | 0o777) << 16

    return with_info(point_away)


def encrypted() -> bytes:
    """The bit of the central directory that says so."""
    content = bytearray(sound())
    at = content.rindex(b"PK\x01\x02")
    content[at + 8] |= 1
    return bytes(content)


def bomb() -> bytes:
    made = io.BytesIO(sound())
    with zipfile.ZipFile(made, "a", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("photos/ab/" + "ab" * 16 + ".jpg", bytes(20_000_000))
    return made.getvalue()


def overlapping() -> bytes:
    """Two entries of the directory lead to the same bytes, as in CVE-2024-0450."""
    content = bytearray(sound())
    first = content.index(b"PK\x01\x02")
    second = content.index(b"PK\x01\x02", first + 1)
    third = content.index(b"PK\x01\x02", second + 1)
    content[third + 42 : third + 46] = content[second + 42 : second + 46]
    return bytes(content)


def flipped() -> bytes:
    with zipfile.ZipFile(io.BytesIO(sound())) as packed:
        info = max(packed.infolist(), key=lambda item: item.compress_size)
    content = bytearray(sound())
    content[info.header_offset + 30 + len(info.filename) + info.compress_size // 2] ^= 0xFF
    return bytes(content)


def wrong_hash() -> bytes:
    def change(held: dict[str, bytes]) -> None:
        held["rows/stash.tag.jsonl"] = held["rows/stash.tag.jsonl"].replace(b"blue", b"glue")

    return changed(change, fits=False)


def no_picture() -> bytes:
    def change(held: dict[str, bytes]) -> None:
        (name, *_) = [name for name in held if name.startswith("photos/")]
        held[name] = b"GIF89a" + bytes(40)

    return changed(change)


def other_picture() -> bytes:
    """A picture that is one, but not that of the row."""

    def change(held: dict[str, bytes]) -> None:
        first, other, *_ = [name for name in held if name.startswith("photos/")]
        held[first] = held[other]

    return changed(change)


def foreign_account() -> bytes:
    """A second person, whose fabric is on the first one's piece."""

    def change(held: dict[str, bytes]) -> None:
        person = json.loads(held["rows/auth.user.jsonl"].splitlines()[0])
        held["rows/auth.user.jsonl"] += json.dumps(
            person | {"id": 77, "username": "somebody"}
        ).encode()
        fabric = json.loads(held["rows/stash.fabric.jsonl"].splitlines()[0])
        held["rows/stash.fabric.jsonl"] = json.dumps(fabric | {"owner_id": 77}).encode()

    return changed(change)


HOSTILE: list[tuple[str, Callable[[], bytes], str]] = [
    ("traversal", lambda: with_entry("../outside.jsonl"), "'../outside.jsonl' in the file"),
    ("absolute", lambda: with_entry("/etc/passwd"), "'/etc/passwd' in the file is nothing"),
    ("backslash", lambda: with_entry("rows\\..\\x.jsonl"), "is nothing that a backup holds"),
    ("drive", lambda: with_entry("C:/x.jsonl"), "'C:/x.jsonl' in the file is nothing"),
    ("other file", lambda: with_entry("photos/ab/notes.txt"), "is nothing that a backup holds"),
    ("photo in a wrong folder", lambda: with_entry(f"photos/ab/{'cd' * 16}.jpg"), "is nothing"),
    ("link", link, "is a link"),
    ("duplicate", lambda: twice("rows/stash.tag.jsonl"), "two entries called"),
    ("case twin", case_twin, "two entries called 'Manifest.json'"),
    ("encrypted", encrypted, "is encrypted"),
    ("bomb", bomb, "unpacks to more than 200 times its size"),
    ("overlapping", overlapping, "lies over another|not what was put there|cannot be read"),
    ("damaged", flipped, "cannot be read|cannot be unpacked|not what was put there"),
    ("wrong hash", wrong_hash, "'rows/stash.tag.jsonl' in the backup is not what was put there"),
    ("cut off", lambda: sound()[:-100], "cut off on its way"),
    ("cut in half", lambda: sound()[: len(sound()) // 2], "cut off on its way"),
    ("no zip", lambda: b"Dear Olive", "is no backup of Clothlight"),
    ("empty", lambda: b"", "is no backup of Clothlight"),
    ("no manifest", lambda: changed(lambda held: held.pop("manifest.json")), "it has no manifest"),
    ("manifest of nonsense", lambda: changed(
        lambda held: held.update({"manifest.json": b"[]"}), fits=False), "cannot be understood"),
    ("entry that is not told of", lambda: with_manifest(entries={}), "is in it"),
    ("newer format", lambda: with_manifest(format=2), "of format 2, made by Clothlight"),
    ("newer schema", lambda: with_manifest(migrations=[["stash", "0999_later"]]),
     "follows stash 0999_later, which this version does not know"),
    ("unknown table", lambda: with_entry("rows/stash.secret.jsonl"), "no table of a stash"),
    ("unknown column", lambda: with_row("stash.tag", shade=1), "does not know the column 'shade'"),
    ("missing column", lambda: with_row("stash.tag", name=_GONE), "misses the column 'name'"),
    ("wrong type", lambda: with_row("stash.piece", length="long"), "'long' as its length"),
    ("half a length", lambda: with_row("stash.piece", length=1.5), "has 1.5 as its length"),
    ("too long", lambda: with_row("stash.tag", name="x" * 41), "as its name"),
    ("NUL", lambda: with_row("stash.tag", name="a\0b"), "as its name"),
    ("list for a name", lambda: with_row("stash.tag", name=["a"]), "as its name"),
    ("no JSON", lambda: changed(
        lambda held: held.update({"rows/stash.tag.jsonl": b"{blue"})), "Line 1 .* is not JSON"),
    ("no object", lambda: changed(
        lambda held: held.update({"rows/stash.tag.jsonl": b"[1]"})), "Line 1 .* is no row"),
    ("broken rule", lambda: with_row("stash.piece", length=-1), "not fit together|not sound"),
    ("lost reference", lambda: with_row("stash.piece", place_id=999), "do not fit together"),
    ("ledger that lies", lambda: with_row("stash.piece", length=1), "not fit together|not sound"),
    ("foreign account", foreign_account, "is not sound: .* belong to two people"),
    ("no picture", no_picture, "is no picture"),
    ("other picture", other_picture, "is not sound: .* not the one that was stored"),
]  # fmt: skip


#: Refused by the command itself also where reading the file in this process would tell.
BY_COMMAND = {"traversal", "wrong type"}


@pytest.fixture(scope="module", autouse=True)
def tables_known_once() -> Iterator[None]:
    """The tables of one schema are worked out once and not for each file."""
    known: dict[Any, Any] = {}
    really = rows.models_at

    def models_at(migrations: rows.Migrations) -> Any:
        key = tuple(sorted(migrations))
        if key not in known:
            known[key] = really(migrations)
        return known[key]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(rows, "models_at", models_at)
        yield


@pytest.mark.parametrize(
    ("name", "make", "sentence"), HOSTILE, ids=[name for name, _, _ in HOSTILE]
)
def test_hostile_file_is_refused_in_a_sentence_and_touches_nothing(
    victim: Home,
    empty: Path,
    tmp_path: Path,
    name: str,
    make: Callable[[], bytes],
    sentence: str,
) -> None:
    path = tmp_path / "given.zip"
    path.write_bytes(make())
    before = tree(victim.data)
    with at(victim):
        rows_before = digest()
        with pytest.raises(ArchiveError, match=sentence) as refusal:
            (by_command if name in BY_COMMAND else restore_here)(path, empty=empty)
        assert "\n" not in str(refusal.value)
        assert digest() == rows_before
        assert schemas_left() == []
    assert tree(victim.data) == before


def by_command(path: Path, *, empty: Path) -> None:
    ended = manage(here(), "restore", str(path))
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    sentence = ended.stderr.removeprefix("CommandError: ").strip()
    assert sentence.endswith(" Nothing was changed.")
    raise ArchiveError(sentence)


def test_nobody_becomes_staff_by_a_backup(
    victim: Home, nowhere: Callable[[str], Home], empty: Path, tmp_path: Path
) -> None:
    path = tmp_path / "given.zip"
    path.write_bytes(with_row("auth.user", is_staff=True, is_superuser=True))
    with at(nowhere(connection.vendor)):
        restore_here(path, empty=empty)
        person = User.objects.get()
        assert (person.is_staff, person.is_superuser) == (False, False)


@pytest.fixture
def sound_file(victim: Home, tmp_path: Path) -> Path:
    path = tmp_path / "sound.zip"
    path.write_bytes(sound())
    return path


def test_claims_are_added_up_before_anything_is_unpacked(sound_file: Path) -> None:
    with (
        pytest.raises(ArchiveError, match=r"claims to hold .* there is room for 0 MB"),
        open_archive(sound_file, most_bytes=1000),
    ):
        pytest.fail("it should not be opened")


def test_too_many_entries_are_refused(sound_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "MOST_ENTRIES", 3)
    with (
        pytest.raises(ArchiveError, match="a backup has 3 at most"),
        open_archive(sound_file, most_bytes=10**9),
    ):
        pytest.fail("it should not be opened")
