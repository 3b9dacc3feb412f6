"""The file of a backup: one zip with a manifest, rows by table, and photos.

- ``manifest.json``: format, version of the program, when it was made, the migrations that the
  rows follow, the identity of the stash, and size and SHA-256 of every other entry;
- ``rows/<app>.<model>.jsonl``: one JSON object a line, column by column, of any database;
- ``photos/ab/ab….jpg``: the working pictures as they lie in the photo folder.

The secret key is not in it, nor sessions: after a restore everybody signs in again.

An export of one person's stash is built alike; a `Sort` tells the two apart.

`open_archive` trusts nothing: it is how a file from anywhere is read.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

__all__ = [
    "BACKUP",
    "FORMAT",
    "MANIFEST",
    "Archive",
    "ArchiveError",
    "Entry",
    "Sort",
    "open_archive",
    "photo_entry",
    "rows_entry",
]

FORMAT = 1
MANIFEST = "manifest.json"
MOST_ENTRIES = 200_000
MOST_RATIO = 200
#: Smaller entries may be packed as tightly as they like.
_TIGHT_BYTES = 1024 * 1024
_MANIFEST_BYTES = 64 * 1024 * 1024
_BLOCK = 1024 * 1024
_LOCAL_HEADER = 30

_ROWS = re.compile(r"rows/([a-z_]+\.[a-z_]+)\.jsonl")
_PHOTO = re.compile(r"photos/([0-9a-f]{2})/(\1[0-9a-f]{30})\.jpg")


class ArchiveError(Exception):
    """This is no file that can be used; the message says why in one sentence."""


@dataclass(frozen=True, kw_only=True)
class Sort:
    """What a file is: the word for it, its list of contents, its format, and what else it holds."""

    word: str
    manifest: str
    format: int
    also: re.Pattern[str] | None = None

    @property
    def a_word(self) -> str:
        return f"an {self.word}" if self.word[0] in "aeiou" else f"a {self.word}"

    def holds(self, name: str) -> bool:
        """Whether an entry of this name belongs in it."""
        patterns = [_ROWS, _PHOTO, *([self.also] if self.also else [])]
        return name == self.manifest or any(pattern.fullmatch(name) for pattern in patterns)


BACKUP = Sort(word="backup", manifest=MANIFEST, format=FORMAT)


@dataclass(frozen=True, kw_only=True)
class Entry:
    """What the manifest says of one entry."""

    size: int
    sha256: str


def rows_entry(label: str) -> str:
    return f"rows/{label}.jsonl"


def photo_entry(key: str) -> str:
    return f"photos/{key[:2]}/{key}.jpg"


class Archive:
    """An opened file whose names and sizes were found harmless; contents are checked on reading.

    Attributes
    ----------
    manifest : what it says of itself, with the types that it must have
    entries : by name, without the manifest
    """

    def __init__(
        self, path: Path, packed: zipfile.ZipFile, most_bytes: int, sort: Sort = BACKUP
    ) -> None:
        self.path = path
        self.sort = sort
        self._packed = packed
        infos = packed.infolist()
        _refuse_names(infos, sort)
        _refuse_sizes(infos, most_bytes, sort)
        self._infos = {info.filename: info for info in infos}
        if sort.manifest not in self._infos:
            raise ArchiveError(
                f"{path.name} is no {sort.word} of Clothlight: it has no {sort.manifest}."
            )
        self.manifest = _manifest(self._content(sort.manifest, _MANIFEST_BYTES), sort)
        self.entries = self.manifest_entries()

    def manifest_entries(self) -> dict[str, Entry]:
        told = {
            name: Entry(size=entry["size"], sha256=entry["sha256"])
            for name, entry in self.manifest["entries"].items()
        }
        there = self._infos.keys() - {self.sort.manifest}
        if there != told.keys():
            name = min(there ^ told.keys())
            where = "not in it" if name in told else "in it"
            raise ArchiveError(
                f"The list of contents does not fit the {self.sort.word}: {name!r} is {where}."
            )
        return told

    def labels(self) -> list[str]:
        """The models of which there are rows."""
        return sorted(match[1] for name in self.entries if (match := _ROWS.fullmatch(name)))

    def photo_keys(self) -> list[str]:
        return sorted(match[2] for name in self.entries if (match := _PHOTO.fullmatch(name)))

    def rows(self, label: str) -> Iterator[dict[str, Any]]:
        """Yield the rows of a model; raises ArchiveError at the first that is no row."""
        name = rows_entry(label)
        for number, line in enumerate(self._lines(name), start=1):
            try:
                row = json.loads(line)
            except (ValueError, RecursionError) as error:
                raise ArchiveError(f"Line {number} of {name!r} is not JSON.") from error
            if not isinstance(row, dict):
                raise ArchiveError(f"Line {number} of {name!r} is no row: {line[:40]!r}.")
            yield row

    def copy(self, name: str, into: IO[bytes] | None) -> None:
        """Read an entry to its end, compare it with the manifest, and write it if asked.

        Raises ArchiveError for what is longer, shorter or other than the manifest says.
        """
        told = self.entries[name]
        digest, size = hashlib.sha256(), 0
        for block in self._blocks(name):
            size += len(block)
            if size > told.size:
                break
            digest.update(block)
            if into is not None:
                into.write(block)
        if size != told.size or digest.hexdigest() != told.sha256:
            raise ArchiveError(
                f"{name!r} in the {self.sort.word} is not what was put there: the file was "
                "changed or damaged."
            )

    def verify(self) -> None:
        """Read every entry and compare it with the manifest; raises ArchiveError."""
        for name in self.entries:
            self.copy(name, None)

    def _lines(self, name: str) -> Iterator[bytes]:
        self.copy(name, None)
        # Read to the end at once: a reader who stops half way leaves no file open.
        content = b"".join(self._blocks(name))
        yield from (line for line in content.split(b"\n") if line)

    def _content(self, name: str, most: int) -> bytes:
        if self._infos[name].file_size > most:
            raise ArchiveError(f"{name!r} in the {self.sort.word} is too large to be true.")
        return b"".join(self._blocks(name))

    def _blocks(self, name: str) -> Iterator[bytes]:
        """Never more than the entry claims to hold, whatever it unpacks to."""
        left = self._infos[name].file_size
        try:
            with self._packed.open(name) as file:
                while left > 0 and (block := file.read(min(_BLOCK, left))):
                    left -= len(block)
                    yield block
        except (zipfile.BadZipFile, EOFError, OSError, RuntimeError, ValueError) as error:
            raise ArchiveError(
                f"{name!r} in the {self.sort.word} cannot be read: {error}."
            ) from error
        except Exception as error:  # zlib.error and what other packings raise
            raise ArchiveError(
                f"{name!r} in the {self.sort.word} cannot be unpacked: {error}."
            ) from error


@contextmanager
def open_archive(path: Path, *, most_bytes: int, sort: Sort = BACKUP) -> Iterator[Archive]:
    """Open a file whose contents unpack to at most so many bytes; raises ArchiveError."""
    try:
        packed = zipfile.ZipFile(path)
    except FileNotFoundError as error:
        raise ArchiveError(f"There is no file {str(path)!r}.") from error
    except OSError as error:
        raise ArchiveError(f"{str(path)!r} cannot be read: {error.strerror}.") from error
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise ArchiveError(
            f"{path.name} is no {sort.word} of Clothlight, or was cut off on its way: {error}."
        ) from error
    with packed:
        yield Archive(path, packed, most_bytes, sort)


def _refuse_names(infos: list[zipfile.ZipInfo], sort: Sort) -> None:
    """Only names that such a file has are let through, so that none leads anywhere else."""
    if len(infos) > MOST_ENTRIES:
        raise ArchiveError(
            f"The file has {len(infos)} entries; {sort.a_word} has {MOST_ENTRIES} at most."
        )
    seen: set[str] = set()
    for info in infos:
        name = info.filename
        if name.casefold() in seen:
            raise ArchiveError(f"The file has two entries called {name!r}.")
        seen.add(name.casefold())
        if stat.S_ISLNK(info.external_attr >> 16):
            raise ArchiveError(f"{name!r} in the file is a link; {sort.a_word} has none.")
        if info.flag_bits & 0x1:
            raise ArchiveError(f"{name!r} in the file is encrypted; {sort.a_word} is not.")
        # orig_filename is the name before Python cut it at a NUL or changed its slashes.
        if not sort.holds(name) or info.orig_filename != name:
            raise ArchiveError(
                f"{info.orig_filename!r} in the file is nothing that {sort.a_word} holds."
            )


def _refuse_sizes(infos: list[zipfile.ZipInfo], most_bytes: int, sort: Sort) -> None:
    claimed = sum(info.file_size for info in infos)
    if claimed > most_bytes:
        raise ArchiveError(
            f"The file claims to hold {claimed / 1e6:,.0f} MB; there is room for "
            f"{most_bytes / 1e6:,.0f} MB (half of what is free)."
        )
    for info in infos:
        if info.file_size > max(_TIGHT_BYTES, MOST_RATIO * info.compress_size):
            raise ArchiveError(
                f"{info.filename!r} unpacks to more than {MOST_RATIO} times its size, as nothing "
                f"in {sort.a_word} does."
            )
    end = 0
    for info in sorted(infos, key=lambda info: info.header_offset):
        if info.header_offset < end:
            raise ArchiveError(f"{info.filename!r} lies over another entry of the file.")
        end = info.header_offset + _LOCAL_HEADER + info.compress_size


def _manifest(content: bytes, sort: Sort) -> dict[str, Any]:
    """Return the manifest if everything in it has the type that it must have."""
    try:
        told = json.loads(content)
        made = {
            "format": int(told["format"]),
            "program": str(told["program"]),
            "made_at": str(told["made_at"]),
            "migrations": [(str(app), str(name)) for app, name in told["migrations"]],
            "missing": [str(key) for key in told["missing"]],
            "entries": {
                str(name): {"size": int(entry["size"]), "sha256": str(entry["sha256"])}
                for name, entry in told["entries"].items()
            },
        }
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise ArchiveError(
            f"The {sort.manifest} of the {sort.word} cannot be understood."
        ) from error
    if made["format"] != sort.format:
        raise ArchiveError(
            f"The {sort.word} is of format {made['format']}, made by Clothlight "
            f"{made['program']}; this version reads format {sort.format}."
        )
    return made
