"""Restoring: the same stash comes back, old ones come up to date, and hostile files are refused."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import stat
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from stash.config.environment import NAMES
from stash.keeping import archive, rows
from stash.keeping.archive import ArchiveError, open_archive
from stash.locks import hold

ROOT = Path(__file__).resolve().parent.parent.parent
#: A stash of every kind of row, backed up by the schema of stash 0003 and projects 0007.
FIRST = ROOT / "tests" / "data" / "backups" / "stash-0003-projects-0007.zip"

pytestmark = pytest.mark.skipif(
    connection.vendor != "sqlite", reason="runs on data folders of its own, with SQLite"
)


def manage(data: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {name: text for name, text in os.environ.items() if name not in NAMES}
    clean["DJANGO_SETTINGS_MODULE"] = "stash.config.settings"
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=clean | {"STASH_DATA": str(data)} | environment,
        capture_output=True,
        text=True,
        check=False,
    )


def tree(folder: Path) -> dict[str, str]:
    """Every file by its content."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def rows_in(path: Path) -> dict[str, bytes]:
    """The tables of a backup, without what each start may write: the keys of forms."""
    with zipfile.ZipFile(path) as packed:
        names = [name for name in packed.namelist() if name.startswith(("rows/", "photos/"))]
        return {name: packed.read(name) for name in names}


def back_up(data: Path) -> Path:
    ended = manage(data, "backup", "--json")
    assert ended.returncode == 0, ended.stderr
    return Path(json.loads(ended.stdout)["path"])


@pytest.fixture(scope="module")
def restored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folder that came of the first backup ever."""
    data = tmp_path_factory.mktemp("restored") / "data"
    ended = manage(data, "restore", str(FIRST))
    assert ended.returncode == 0, ended.stderr
    assert "Sign in as before (maren)." in ended.stdout
    return data


@pytest.fixture
def data(restored: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(restored, tmp_path / "data"))


def test_backup_of_the_first_schema_becomes_a_sound_stash_of_today(data: Path) -> None:
    ended = manage(data, "check_stash")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "The stash is sound: 1 fabrics, 2 pieces, 5 movements, 2 photos" in ended.stdout
    found = json.loads(manage(data, "find", "harbour", "--json").stdout)
    assert "Harbour Rain" in json.dumps(found)


def test_what_was_backed_up_comes_back_to_the_letter(data: Path, tmp_path: Path) -> None:
    first = back_up(data)
    other = tmp_path / "other"
    assert manage(other, "restore", str(first)).returncode == 0
    assert rows_in(back_up(other)) == rows_in(first)
    with zipfile.ZipFile(first) as packed:
        fabric = json.loads(packed.read("rows/stash.fabric.jsonl"))
    assert fabric["notes"] == "Bought for the ferry quilt — “blau”"


def test_old_stash_is_put_aside_and_can_come_back(data: Path) -> None:
    made = back_up(data)
    manage(data, "shell", "-c", "from stash.models import Tag; Tag.objects.all().delete()")
    before = tree(data)
    ended = manage(data, "restore", str(made))
    assert ended.returncode == 0, ended.stderr
    (aside,) = (data / "put-aside").glob("before-restore-*")
    was = {name: digest for name, digest in before.items() if name.startswith("photos/")}
    assert was.items() <= tree(aside).items()
    assert tree(aside)["stash.sqlite3"]
    assert "put-aside/before-restore-" in ended.stdout


def test_running_site_is_not_exchanged_under_its_feet(data: Path) -> None:
    before = tree(data)
    with hold(data, shared=True):
        ended = manage(data, "restore", str(FIRST))
    assert ended.returncode == 1
    assert "The site is running; end it first" in ended.stderr
    assert tree(data) == before


@pytest.mark.parametrize("moment", range(5))
def test_kill_in_the_exchange_leaves_one_of_the_two_stashes(data: Path, moment: int) -> None:
    """The program ends at each of the moves; the next start finishes what was begun."""
    made = back_up(data)
    manage(data, "shell", "-c", "from stash.models import Tag; Tag.objects.all().delete()")
    killer = (
        "import os, sys; from stash.keeping import swap; from pathlib import Path\n"
        "moves = iter(range(99))\n"
        "really = os.replace\n"
        "def replace(*paths):\n"
        f"    if (Path({str(data)!r}) / swap.JOURNAL).exists() and next(moves) == {moment}:\n"
        "        os.kill(os.getpid(), 9)\n"
        "    really(*paths)\n"
        "os.replace = replace\n"
        "from stash.keeping.restore import restore\n"
        f"restore(Path({str(made)!r}))\n"
    )
    ended = manage(data, "shell", "-c", killer)
    was_killed = ended.returncode == -9
    assert was_killed or ended.returncode == 0, ended.stderr
    if was_killed:
        refused = manage(data, "check_stash")
        assert "A restore was interrupted" in refused.stderr
        finishing = "from stash import serving; serving.prepare(print)"
        ended = manage(data, "shell", "-c", finishing)
        assert "A restore that was interrupted is finished." in ended.stdout, ended.stderr
    sound = manage(data, "check_stash")
    assert sound.returncode == 0, sound.stdout + sound.stderr
    assert rows_in(back_up(data)) == rows_in(made)


# --- files that are no backup ---


def changed(change: Callable[[dict[str, bytes]], None], *, fits: bool = True) -> bytes:
    """The first backup with other contents; the manifest fits them unless told otherwise."""
    with zipfile.ZipFile(FIRST) as packed:
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
    made = io.BytesIO(FIRST.read_bytes())
    with zipfile.ZipFile(made, "a") as packed:
        info = zipfile.ZipInfo("photos/ab/" + "ab" * 16 + ".jpg")
        change(info)
        packed.writestr(info, b"elsewhere")
    return made.getvalue()


def twice(name: str) -> bytes:
    made = io.BytesIO(FIRST.read_bytes())
    with zipfile.ZipFile(made, "a") as packed, pytest.warns(UserWarning, match="Duplicate name"):
        packed.writestr(name, b"{}")
    return made.getvalue()


def case_twin() -> bytes:
    made = io.BytesIO(FIRST.read_bytes())
    with zipfile.ZipFile(made, "a") as packed:
        packed.writestr("Manifest.json", b"{}")
    return made.getvalue()


def link() -> bytes:
    def point_away(info: zipfile.ZipInfo) -> None:
        info.external_attr = (stat.S_IFLNK | 0o777) << 16

    return with_info(point_away)


def encrypted() -> bytes:
    """The bit of the central directory that says so."""
    content = bytearray(FIRST.read_bytes())
    at = content.rindex(b"PK\x01\x02")
    content[at + 8] |= 1
    return bytes(content)


def bomb() -> bytes:
    made = io.BytesIO(FIRST.read_bytes())
    with zipfile.ZipFile(made, "a", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("photos/ab/" + "ab" * 16 + ".jpg", bytes(20_000_000))
    return made.getvalue()


def overlapping() -> bytes:
    """Two entries of the directory lead to the same bytes, as in CVE-2024-0450."""
    content = bytearray(FIRST.read_bytes())
    first = content.index(b"PK\x01\x02")
    second = content.index(b"PK\x01\x02", first + 1)
    third = content.index(b"PK\x01\x02", second + 1)
    content[third + 42 : third + 46] = content[second + 42 : second + 46]
    return bytes(content)


def flipped() -> bytes:
    with zipfile.ZipFile(FIRST) as packed:
        info = max(packed.infolist(), key=lambda one: one.compress_size)
    content = bytearray(FIRST.read_bytes())
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
        one, other, *_ = [name for name in held if name.startswith("photos/")]
        held[one] = held[other]

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
    ("cut off", lambda: FIRST.read_bytes()[:-100], "cut off on its way"),
    ("cut in half", lambda: FIRST.read_bytes()[:13_000], "cut off on its way"),
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


@pytest.fixture(scope="module")
def victim(restored: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(restored, tmp_path_factory.mktemp("victim") / "data"))


#: Refused by the command itself also where reading the file in this process would tell.
BY_COMMAND = {"traversal", "damaged", "wrong type"}


@pytest.mark.parametrize(
    ("name", "make", "sentence"), HOSTILE, ids=[name for name, _, _ in HOSTILE]
)
def test_hostile_file_is_refused_in_a_sentence_and_touches_nothing(
    victim: Path, tmp_path: Path, name: str, make: Callable[[], bytes], sentence: str
) -> None:
    path = tmp_path / "given.zip"
    path.write_bytes(make())
    before = tree(victim)
    with pytest.raises(ArchiveError, match=sentence) as refusal:
        restore_here(victim, path, by_command=name in BY_COMMAND)
    assert "Traceback" not in str(refusal.value)
    assert "\n" not in str(refusal.value)
    assert tree(victim) == before


def restore_here(data: Path, path: Path, *, by_command: bool) -> None:
    """As the command does; what can be told without a database is read here, which is faster."""
    if not by_command:
        try:
            with open_archive(path, most_bytes=10**9) as opened:
                opened.verify()
                known = rows.models_at(opened.manifest["migrations"])
                rows.check(known, {label: opened.rows(label) for label in opened.labels()})
        except rows.RowError as error:
            raise ArchiveError(str(error)) from error
    ended = manage(data, "restore", str(path))
    assert "Traceback" not in ended.stderr
    if ended.returncode != 0:
        raise ArchiveError(ended.stderr.removeprefix("CommandError: ").strip())


def test_nobody_becomes_staff_by_a_backup(tmp_path: Path) -> None:
    path = tmp_path / "given.zip"
    path.write_bytes(with_row("auth.user", is_staff=True, is_superuser=True))
    assert manage(tmp_path / "data", "restore", str(path)).returncode == 0
    asking = "from django.contrib.auth.models import User; u = User.objects.get()\n"
    ended = manage(tmp_path / "data", "shell", "-c", asking + "print(u.is_staff, u.is_superuser)")
    assert ended.stdout.split()[-2:] == ["False", "False"]


def test_claims_are_added_up_before_anything_is_unpacked() -> None:
    with (
        pytest.raises(ArchiveError, match=r"claims to hold .* there is room for 0 MB"),
        open_archive(FIRST, most_bytes=1000),
    ):
        pytest.fail("it should not be opened")


def test_too_many_entries_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "MOST_ENTRIES", 3)
    with (
        pytest.raises(ArchiveError, match="a backup has 3 at most"),
        open_archive(FIRST, most_bytes=10**9),
    ):
        pytest.fail("it should not be opened")


def test_upgrade_backs_up_checks_and_tells_the_way_back(data: Path) -> None:
    ended = manage(data, "upgrade")
    assert ended.returncode == 0, ended.stderr
    made = next((data / "backups").glob("clothlight-*.zip"))
    assert f"restore '{made}'" in ended.stdout


def test_start_that_changes_the_tables_backs_up_first(tmp_path: Path) -> None:
    data = tmp_path / "data"
    assert manage(data, "restore", str(FIRST)).returncode == 0
    back = "migrate", "stash", "0005", "-v0"
    assert manage(data, *back).returncode == 0
    preparing = "from stash import serving; serving.prepare(print)"
    ended = manage(data, "shell", "-c", preparing)
    assert "This version changes the database; making a backup first" in ended.stdout, ended.stderr
    (made,) = (data / "backups").glob("clothlight-*.zip")
    with open_archive(made, most_bytes=10**9) as opened:
        assert ("stash", "0005_spent_keys") in opened.manifest["migrations"]
        assert ("stash", "0006_order_of_recording") not in opened.manifest["migrations"]


def test_start_without_room_for_a_backup_changes_nothing(tmp_path: Path) -> None:
    data = tmp_path / "data"
    assert manage(data, "restore", str(FIRST)).returncode == 0
    manage(data, "migrate", "stash", "0005", "-v0")
    preparing = (
        "from stash import serving\nfrom stash.keeping import backup\n"
        "backup._SPARE_BYTES = 10**18\nserving.prepare(print)"
    )
    ended = manage(data, "shell", "-c", preparing)
    assert "--without-backup" in ended.stdout + ended.stderr
    shown = manage(data, "showmigrations", "stash").stdout
    assert "[ ] 0006" in shown
