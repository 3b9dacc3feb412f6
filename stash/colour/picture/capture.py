"""Exposure data of a photo: what puts photos of one sitting on one scale, and nothing private.

Places, serial numbers, maker and model names are not kept; `camera` is a one-way mark that only
tells whether two photos came from the same kind of camera.
"""

import hashlib
import re
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from PIL import Image

_EXIF_IFD = 0x8769
_MAKE, _MODEL, _ORIENTATION = 0x010F, 0x0110, 0x0112
_TIME, _EXPOSURE, _F_NUMBER, _ISO, _FLASH, _WHITE_BALANCE = (
    0x9003,
    0x829A,
    0x829D,
    0x8827,
    0x9209,
    0xA403,
)
_EXIF_TIME = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)")


@dataclass(frozen=True, kw_only=True)
class Capture:
    """Exposure data; a field is None where the file does not say.

    taken: local time of the camera, "2026-05-04T10:11:12". exposure_time in seconds.
    white_balance: "auto" or "manual".
    """

    taken: str | None = None
    exposure_time: float | None = None
    f_number: float | None = None
    iso: float | None = None
    white_balance: str | None = None
    flash: bool | None = None
    camera: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types."""
        return asdict(self)

    @property
    def moment(self) -> datetime | None:
        """When it was taken; None where `taken` is not said or is a day that no calendar has."""
        try:
            return datetime.fromisoformat(self.taken) if self.taken else None
        except ValueError:
            return None

    @classmethod
    def from_dict(cls, stored: dict[str, Any]) -> "Capture":
        """Return the capture that `to_dict` described."""
        return cls(**stored)


def read_exif(exif: Image.Exif) -> tuple[Capture | None, int]:
    """Return exposure data and the orientation of a photo.

    Parameters
    ----------
    exif : as Pillow read it

    Returns
    -------
    (exposure data, orientation 1 to 8): times in seconds; None where the file has no data, 1 where
    it has no orientation.

    Source
    ------
    Orientation and tags: the EXIF standard, from memory.
    """
    orientation = exif.get(_ORIENTATION)
    turn = orientation if isinstance(orientation, int) and 1 <= orientation <= 8 else 1
    detail = exif.get_ifd(_EXIF_IFD)
    flash = detail.get(_FLASH)
    capture = Capture(
        taken=_time(detail.get(_TIME)),
        exposure_time=_positive(detail.get(_EXPOSURE)),
        f_number=_positive(detail.get(_F_NUMBER)),
        iso=_positive(detail.get(_ISO)),
        white_balance={0: "auto", 1: "manual"}.get(detail.get(_WHITE_BALANCE, -1)),
        flash=bool(flash & 1) if isinstance(flash, int) else None,
        camera=_camera_mark(exif.get(_MAKE), exif.get(_MODEL)),
    )
    return (None if capture == Capture() else capture), turn


def _time(text: object) -> str | None:
    match = _EXIF_TIME.match(text) if isinstance(text, str) else None
    written = f"{match[1]}-{match[2]}-{match[3]}T{match[4]}" if match else None
    return written if Capture(taken=written).moment else None


def _positive(entry: object) -> float | None:
    if isinstance(entry, tuple) and entry:
        entry = entry[0]
    try:
        number = float(entry)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if 0 < number < 1e7 else None


def _camera_mark(make: object, model: object) -> str | None:
    if not (make or model):
        return None
    return hashlib.sha256(f"{make}\0{model}".encode()).hexdigest()[:12]
