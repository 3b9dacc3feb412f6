"""Photos that come in a file from anywhere."""

from __future__ import annotations

import io

from PIL import Image

from stash.keeping.backups.archive import ArchiveError

__all__ = ["refuse_no_picture"]

_MOST_PIXELS = 50_000_000


def refuse_no_picture(key: str, data: bytes, *, where: str) -> None:
    """Judge a picture as uploads are: by opening it, whatever its name says; raises ArchiveError.

    ``where`` is the word for the file that it came in.
    """
    try:
        with Image.open(io.BytesIO(data), formats=["JPEG"]) as picture:
            width, height = picture.size
            if width * height > _MOST_PIXELS:
                raise ArchiveError(
                    f"The photo {key} in the {where} is too large: {width}x{height}."
                )
            picture.draft("RGB", (64, 64))
            picture.load()
    except ArchiveError:
        raise
    except Exception as error:  # Pillow raises whatever a broken file leads it to
        raise ArchiveError(f"The photo {key} in the {where} is no picture.") from error
