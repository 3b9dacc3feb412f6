"""What a change does to how light a quilt is: a part in other cloth, a border in another width."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from projects.quilt_design.drawing.patch import Cloth
from projects.quilt_design.forecast.forecast import Forecast
from projects.quilt_design.forecast.mixing import cloths_of, mixed, spread

__all__ = ["Change", "change"]


@dataclass(frozen=True, kw_only=True)
class Change:
    """Two forecasts of one quilt, and what the step from one to the other does.

    difference: in value, positive when the quilt becomes lighter; None where one has no value.
    uncertainty: half width of its 90 % interval; a cloth that stays moves both alike, so it is
    smaller than that of the two values.
    """

    before: Forecast
    after: Forecast
    difference: float | None
    uncertainty: float | None
    sentence: str


def change(before: Forecast, after: Forecast, cloths: Mapping[str, Cloth]) -> Change:
    """Return what lies between two forecasts that were made with the same cloths.

    Parameters
    ----------
    before, after : of one quilt
    cloths : by key; those that either forecast counts

    Returns
    -------
    The difference in value (0 to 10 scale), positive when the quilt becomes lighter, with the half
    width of its 90 % interval; both None where one has no value.

    Raises
    ------
    SeeingError
        A forecast counts a cloth that is not among the cloths; the message names it.

    Promise
    -------
    A cloth that stays moves both alike, so the interval is narrower than that of two separate
    forecasts.

    Source
    ------
    Own derivation.
    """
    if before.value is None or after.value is None:
        return Change(
            before=before,
            after=after,
            difference=None,
            uncertainty=None,
            sentence="There is nothing to compare until both have a fabric.",
        )
    old = {cloth.key: cloth.share for cloth in before.cloths}
    new = {cloth.key: cloth.share for cloth in after.cloths}
    used = cloths_of([*old, *(key for key in new if key not in old)], cloths)
    alone, _ = spread(lambda moved: mixed(new, moved) - mixed(old, moved), used)
    difference = after.value - before.value
    return Change(
        before=before,
        after=after,
        difference=difference,
        uncertainty=alone,
        sentence=_change_sentence(difference, alone),
    )


def _change_sentence(difference: float, uncertainty: float) -> str:
    if abs(difference) < 0.05:
        return "The quilt stays as light as it was."
    word = "lighter" if difference > 0 else "darker"
    told = f"The quilt becomes {abs(difference):.1f} {word} (± {uncertainty:.1f})"
    if abs(difference) <= uncertainty:
        return f"{told}, which is less than can be told from the photos."
    return f"{told}."
