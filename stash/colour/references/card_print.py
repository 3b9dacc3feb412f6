"""How a printer prints the photo card: what is not known of it, and what a calibration found out.

Five numbers describe a print: luminance of the bare paper and of solid black (perfect diffuser
= 1), gain of the finest screen (150 lines an inch) at half coverage, the share of the gain that
follows the width of the lines rather than their crowding, and gain at twice the pitch against it.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stash.colour.references.editions import FIRST, Edition

FloatArray = NDArray[np.floating[Any]]

_NUMBERS = 5
_FINEST = 25.4 / 150  # pitch in mm that the gain is told at


class CardPrintError(ValueError):
    """The stored numbers describe no print; the message quotes them."""


@dataclass(frozen=True, kw_only=True)
class CardPrint:
    """One print of the card: the five numbers, how sure they are, and what they were found by.

    numbers, deviations: five each, in the order of this module's head; deviations are standard.
    found_by: "colour chart" or "grey card"; empty for a print that nobody calibrated.
    """

    numbers: tuple[float, ...]
    deviations: tuple[float, ...]
    found_by: str = ""

    def __post_init__(self) -> None:
        both = np.array([*self.numbers, *self.deviations], dtype=np.float64)
        if self.found_by not in ("", "colour chart", "grey card"):
            raise CardPrintError(
                f"A print is not calibrated by “{self.found_by}”; calibrate again."
            )
        is_whole = len(self.numbers) == len(self.deviations) == _NUMBERS
        if not is_whole or not np.isfinite(both).all():
            raise CardPrintError(
                f"{self.numbers} with {self.deviations} is no print of the card; calibrate again."
            )
        paper, black = self.numbers[:2]
        if not 0 <= black < paper <= 1.2 or min(self.deviations) <= 0:
            raise CardPrintError(
                f"A print with paper {paper:g} and black {black:g} cannot be; calibrate again."
            )

    @property
    def is_calibrated(self) -> bool:
        """Whether it was measured, rather than assumed."""
        return bool(self.found_by)

    def to_dict(self) -> dict[str, Any]:
        """Return a dict of JSON types; `from_dict` gives an equal print back."""
        stored = asdict(self)
        return {name: list(n) if isinstance(n, tuple) else n for name, n in stored.items()}

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "CardPrint":
        """Return the print that `to_dict` described."""
        return cls(
            numbers=tuple(float(number) for number in stored["numbers"]),
            deviations=tuple(float(number) for number in stored["deviations"]),
            found_by=str(stored["found_by"]),
        )


# Ranges of office printers and papers: common practice, no source.
ANY_PRINT = CardPrint(
    numbers=(0.853, 0.05, 0.28, 0.5, 0.62), deviations=(0.028, 0.02, 0.12, 0.3, 0.13)
)


def printed_luminance(numbers: FloatArray, edition: Edition = FIRST) -> FloatArray:
    """Return the luminance of a card's paper and patches for one print.

    Parameters
    ----------
    numbers : (5,), luminances and shares, in the order of this module's head
    edition : which drawing of the card

    Returns
    -------
    (1 + patches,), perfect diffuser = 1, paper first.

    Source
    ------
    The mixture of paper and ink: Murray and Davies (1936); gain of finer and coarser screens: own
    derivation.

    Examples
    --------
    >>> round(float(printed_luminance(np.array(ANY_PRINT.numbers))[0]), 3)
    0.853
    """
    paper, black, gain, share, ratio = numbers
    coverage = edition.coverage
    coarser = np.log2(edition.pitch / _FINEST)
    strength = np.where(np.isnan(coarser), 0.0, gain * ratio ** np.nan_to_num(coarser))
    crowding = 4 * coverage * (1 - coverage)
    covered = np.clip(coverage + strength * (share + (1 - share) * crowding), 0, 1)
    return np.asarray(paper * (1 - covered) + black * covered)
