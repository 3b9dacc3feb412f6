"""The photo folder of this machine."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import FileSystemStorage

from stash.photos.storage.interface import Lying
from stash.system.files import make_folder, write_whole

__all__ = ["PhotoFolder"]


class PhotoFolder(FileSystemStorage):
    """Django's storage in ``PHOTO_DIR``, with files for their owner alone, whole or not there.

    It has no address: pictures are shown by the pages that ask whose they are.
    """

    # Asked each time: tests, and a stash that is built beside another, work in other folders.
    @property
    def base_location(self) -> Any:  # type: ignore[override]
        return settings.PHOTO_DIR

    @property
    def location(self) -> str:  # type: ignore[override]
        return os.path.abspath(settings.PHOTO_DIR)

    @property
    def where(self) -> str:
        return f"the photo folder {settings.PHOTO_DIR}"

    def url(self, name: str | None) -> str:
        raise NotImplementedError("a picture is shown by the page that asks whose it is")

    def get_available_name(self, name: str, max_length: int | None = None) -> str:
        """Names are made by the house and stay as they are."""
        return name

    def _save(self, name: str, content: Any) -> str:
        write_whole(Path(self.path(name)), content.read())
        return name

    def move(self, name: str, to: str) -> None:
        place = Path(self.path(to))
        make_folder(place.parent)
        os.rename(self.path(name), place)

    def pictures(self) -> Iterator[Lying]:
        yield from self._files(sorted(Path(self.location).glob("[0-9a-f][0-9a-f]")))

    def within(self, folder: str) -> Iterator[Lying]:
        yield from self._files([Path(self.path(folder))])

    def delete_all(self, folder: str) -> None:
        shutil.rmtree(self.path(folder))

    def _files(self, folders: list[Path]) -> Iterator[Lying]:
        """What goes meanwhile is left out."""
        for folder in folders:
            for path in sorted(folder.rglob("*")):
                try:
                    facts = path.stat()
                except FileNotFoundError:
                    continue
                if path.is_file():
                    name = path.relative_to(self.location).as_posix()
                    yield Lying(name=name, size=facts.st_size, modified=facts.st_mtime)
