"""Photos of a trip that were taken in one go: one reference measures them all."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from stash.colour.batch import exposure_of, is_same_sitting
from stash.colour.picture.capture import Capture
from stash.models import Draft, Photo, ShopTrip
from stash.photos.acts import reread
from stash.photos.store import PhotoFileMissing

__all__ = ["InOneLight", "Measured", "look", "measure"]

# Each takes about a second; the page asks again until none is left.
_AT_ONCE = 3


@dataclass(frozen=True, kw_only=True)
class Loan:
    """A card whose photo shows no reference, and the one that can lend it one."""

    draft: Draft
    lender: Draft


@dataclass(frozen=True, kw_only=True)
class InOneLight:
    """Which photos of a trip could be measured by the reference in another one."""

    loans: tuple[Loan, ...] = ()
    measured: tuple[Draft, ...] = ()
    without_data: int = 0
    elsewhere: int = 0
    has_lender: bool = False
    is_drifting: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to tell."""
        return not self.loans and not self.measured and not self.left_out

    @property
    def lenders(self) -> list[Draft]:
        """Each card that lends, once, in the order of the page."""
        return list({loan.lender.pk: loan.lender for loan in self.loans}.values())

    @property
    def left_out(self) -> int:
        return self.without_data + self.elsewhere


@dataclass(kw_only=True)
class Measured:
    """What became of one round of measuring."""

    photos: int = 0
    failed: list[Draft] = field(default_factory=list)
    left: int = 0


def look(trip: ShopTrip) -> InOneLight:
    """Return what the photos of a trip can lend each other; nothing is read or changed.

    A photo that was set by hand to be read bare borrows nothing. The best reference is the one
    with the smallest uncertainty, the first of equals.
    """
    drafts = list(
        Draft.objects.filter(trip=trip, removed_at=None).select_related("photo__fabric", "fabric")
    )
    read = [draft for draft in drafts if draft.photo.reading]
    lenders = sorted(
        (draft for draft in read if _can_lend(draft.photo)),
        key=lambda draft: _reading(draft.photo)["uncertainty"],
    )
    loans, without_data, elsewhere = [], 0, 0
    for draft in read:
        if not _wants_a_reference(draft.photo):
            continue
        lender = next(
            (photo_lender for photo_lender in lenders if _fits(photo_lender.photo, draft.photo)),
            None,
        )
        if lender is not None:
            loans.append(Loan(draft=draft, lender=lender))
        elif exposure_of(_capture(draft.photo)) is None:
            without_data += 1
        else:
            elsewhere += 1
    return InOneLight(
        loans=tuple(loans),
        measured=tuple(draft for draft in read if draft.photo.lender_id),
        without_data=without_data if lenders else 0,
        elsewhere=elsewhere if lenders else 0,
        has_lender=bool(lenders),
        is_drifting=any(_is_drifting(loan.lender.photo) for loan in loans),
    )


def measure(*, trip: ShopTrip) -> Measured:
    """Read the next few photos by the reference of another; the old readings stay beside.

    A photo that cannot be read again is told about and passed over. Raises StoreBusy.
    """
    loans = look(trip).loans
    done = Measured()
    for loan in loans:
        if done.photos == _AT_ONCE:
            break
        photo = loan.draft.photo
        try:
            reread(
                photo=photo,
                region=photo.region_by_hand,
                marks=photo.marks_by_hand,
                lender=loan.lender.photo,
            )
        except PhotoFileMissing:
            done.failed.append(loan.draft)
            continue
        if photo.lender_id is None:
            done.failed.append(loan.draft)
        else:
            done.photos += 1
    done.left = len(loans) - done.photos - len(done.failed)
    return done


def _reading(photo: Photo) -> dict[str, Any]:
    return photo.reading or {}


def _capture(photo: Photo) -> Capture | None:
    return Capture.from_dict(photo.capture) if photo.capture else None


def _can_lend(photo: Photo) -> bool:
    is_own = _reading(photo)["reference"] != "none" and photo.lender_id is None
    return is_own and exposure_of(_capture(photo)) is not None


def _wants_a_reference(photo: Photo) -> bool:
    return bool(_reading(photo)["reference"] == "none") and "ignore" not in photo.marks


def _fits(lender: Photo, borrower: Photo) -> bool:
    theirs, ours = _capture(lender), _capture(borrower)
    return exposure_of(ours) is not None and is_same_sitting(theirs, ours)


def _is_drifting(photo: Photo) -> bool:
    capture = _capture(photo)
    return capture is None or capture.white_balance != "manual"
