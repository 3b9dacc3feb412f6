"""The seam check: what a practice piece of three says, and the measured size of a pinked pack."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from fractions import Fraction

from projects.needs.seams import SeamCheck, check_seam, middle_width, row_error, set_width
from projects.needs.sewing_rules import Sewing
from stash.catalogue import ledger
from stash.models import Movement, Piece
from stash.models.piece import Edge

__all__ = ["SeamFound", "check_practice", "measure_pack"]


@dataclass(frozen=True, kw_only=True)
class SeamFound:
    """What the practice piece says; lengths in units of ``stash.lengths``, exact.

    ``move`` is how far to move the guide, ``towards`` the needle or away from it. ``row`` is by
    how much a row of ``patches`` ends shorter (below 0: longer). ``middle`` and ``whole`` are
    what the two should measure. ``apart`` is how far the allowances differ that the middle and
    the whole tell, None when only one was measured.
    """

    check: SeamCheck
    strip: int
    middle: int
    whole: int
    move: Fraction
    towards: str
    patches: int
    row: Fraction
    apart: Fraction | None

    @property
    def ends_shorter(self) -> bool:
        """Whether the row ends before its planned end."""
        return self.row > 0

    @property
    def is_compared(self) -> bool:
        """Whether middle and whole were both measured."""
        return self.apart is not None


def check_practice(
    *,
    strip: int,
    middle: int | None,
    whole: int | None,
    patches: int,
    sewing: Sewing,
) -> SeamFound:
    """Return the true allowance of three strips or squares sewn together.

    Where both were measured, the whole decides: a slip of the ruler counts a quarter there and
    a half in the middle.

    Raises
    ------
    NeedsError
        Nothing was measured, or the measurement is impossible.
    """
    if whole is not None:
        check = check_seam(whole_set=whole, strip=strip, sewing=sewing)
    else:
        check = check_seam(middle=middle, strip=strip, sewing=sewing)
    apart = None
    if whole is not None and middle is not None:
        other = check_seam(middle=middle, strip=strip, sewing=sewing)
        apart = abs(check.allowance - other.allowance)
    return SeamFound(
        check=check,
        strip=strip,
        middle=middle_width(strip, sewing.seam),
        whole=set_width(strip, sewing.seam),
        move=abs(check.error),
        towards="towards the needle" if check.error > 0 else "away from the needle",
        patches=patches,
        row=row_error(patches, check.error),
        apart=apart,
    )


def measure_pack(*, piece: Piece, width: int, length: int, edge: str, act: uuid.UUID) -> Movement:
    """Give a pack its measured size; every plan uses it from then on.

    Raises
    ------
    LedgerError
        The ledger cannot book it.
    """
    how = Edge(edge).label if edge != Edge.STRAIGHT else "straight edges"
    return ledger.measure(
        piece=piece, width=width, length=length, edge=edge, act=act, note=f"seam check: {how}"
    )
