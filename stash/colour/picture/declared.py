"""What a file says about how its picture was made: what a reading may take for granted of it.

Only facts that open standards give a place to, and nothing private: no names, places or numbers.
"""

from dataclasses import asdict, dataclass
from typing import Any

from PIL import Image

__all__ = ["Declared", "read_declared"]

_EXIF_IFD = 0x8769
_CUSTOM_RENDERED, _SCENE, _COMPOSITE = 0xA401, 0xA406, 0xA460
_SCENES = {0: "standard", 1: "landscape", 2: "portrait", 3: "night"}
_OTHER = "other"


@dataclass(frozen=True, kw_only=True)
class Declared:
    """Facts that the file declares; None where it does not say.

    is_linear: pixels are proportional to light, no tone curve was applied (raw files).
    gain_map: None without one; "used" where the picture is the HDR rendition that it gives, "left"
    where the picture is the base rendition.
    transfer: "PQ" or "HLG" for pictures coded for HDR screens (ITU-R BT.2100).
    is_custom_rendered: Exif CustomRendered; a process beyond the usual one, such as several
    exposures in one. is_composite: Exif CompositeImage; made of several pictures.
    scene: Exif SceneCaptureType; "standard", "landscape", "portrait", "night", or "other" for what
    the standard leaves open.
    """

    is_linear: bool = False
    gain_map: str | None = None
    transfer: str | None = None
    is_custom_rendered: bool | None = None
    is_composite: bool | None = None
    scene: str | None = None

    @property
    def has_gain_map(self) -> bool:
        """Whether the file carries a gain map that can be read."""
        return self.gain_map is not None

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types with the facts that differ from a file that says nothing."""
        silent = Declared()
        return {name: fact for name, fact in asdict(self).items() if fact != getattr(silent, name)}

    @classmethod
    def from_dict(cls, stored: dict[str, Any]) -> "Declared":
        """Return the facts that `to_dict` described; what is not known here is passed over."""
        return cls(**{name: stored[name] for name in cls.__dataclass_fields__ if name in stored})


def read_declared(exif: Image.Exif) -> Declared:
    """Return what Exif data says about how a picture was made.

    Parameters
    ----------
    exif : as Pillow read it

    Returns
    -------
    Only what Exif declares; whole numbers that the standard does not list count as “other”.

    Source
    ------
    Exif 2.32 (CIPA DC-008): CustomRendered, SceneCaptureType, CompositeImage; from memory.
    """
    detail = exif.get_ifd(_EXIF_IFD)
    custom, scene, composite = (
        number if isinstance(number := detail.get(tag), int) else None
        for tag in (_CUSTOM_RENDERED, _SCENE, _COMPOSITE)
    )
    return Declared(
        is_custom_rendered=None if custom is None else custom != 0,
        is_composite={1: False, 2: True, 3: True}.get(-1 if composite is None else composite),
        scene=None if scene is None else _SCENES.get(scene, _OTHER),
    )
