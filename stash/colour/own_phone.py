"""What a tested phone makes of a reading: never a narrower interval, and a sentence on it."""

from dataclasses import dataclass, replace
from datetime import date

from stash.colour.appearance import Appearance

__all__ = ["UNKNOWN_CAMERA", "PhoneInterval", "with_phone"]

_WIDENED = (
    "Tested with your phone on {day}: its photos of one cloth disagree by more than this reading"
    " alone would say, so its ± counts."
)
_HELD = "Tested with your phone on {day}: its photos agree within what is stated."
UNKNOWN_CAMERA = (
    "The photo does not say which camera took it, so the test of your phone was not used; send"
    " photos as the camera made them."
)


@dataclass(frozen=True, kw_only=True)
class PhoneInterval:
    """What the values of one phone are good for.

    half_width: of the 90 % interval, in value steps. tested: the day of the test.
    """

    half_width: float
    tested: date


def with_phone(appearance: Appearance, phone: PhoneInterval) -> Appearance:
    """Return a reading of a photo of a tested phone.

    Parameters
    ----------
    appearance : as read from the photo alone
    phone : the phone that took it

    Returns
    -------
    The same with half a 90 % interval of at least the phone's, and a sentence at the end of its
    notes; an estimate gets no sentence, because the test was made with a reference.

    Promise
    -------
    Never narrower than before. What the photo alone says and what the phone does are not added:
    repeated photos show again most of what the first allows for (light, tone curve). Where a
    third to nine tenths of the error was shared by all photos, which no repetition shows, the
    larger of both held at least 91 of 100 values, and adding them only made well-behaved phones
    wider (`tests.benchmarks.colour.phone_trial`).

    Source
    ------
    Own derivation.
    """
    if appearance.is_estimate:
        return replace(appearance, uncertainty=max(appearance.uncertainty, phone.half_width))
    is_wider = phone.half_width > appearance.uncertainty
    sentence = _WIDENED if is_wider else _HELD
    day = f"{phone.tested.day} {phone.tested:%B %Y}"
    return replace(
        appearance,
        uncertainty=max(appearance.uncertainty, phone.half_width),
        notes=(*appearance.notes, sentence.format(day=day)),
    )
