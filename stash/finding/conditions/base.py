"""What every condition is: a mask over the columns, with what was typed for it and its label."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from stash.colour.words import LEAST_FIT
from stash.finding.columns.arrays import Columns

__all__ = ["Condition", "Fits", "Mask"]

Mask = NDArray[np.bool_]
Fits = NDArray[np.float64]
_MOST_ANSWERS = 60


@dataclass(frozen=True, kw_only=True)
class Condition:
    source: str
    label: str

    #: The order that these words are answered in, of ORDERS; empty where they ask for none.
    order: ClassVar[str] = ""
    #: Whether it asks how the cloth looks, which a bare photo only estimates.
    is_of_looks: ClassVar[bool] = False

    def keeps(self, columns: Columns) -> Mask:
        """Return the mask of fabrics for which the condition holds."""
        raise NotImplementedError

    def fits(self, columns: Columns) -> Fits | None:
        """Return how well each fabric answers, 0 to 1, where there is more than yes and no.

        NaN answers by the word of the person alone, to no degree.
        """
        return None

    def answer(self, columns: Columns) -> tuple[Mask, Fits | None]:
        """Return what is kept and how well it fits, worked out at once."""
        fits = self.fits(columns)
        if fits is None:
            return self.keeps(columns), None
        return np.asarray((fits >= LEAST_FIT) | np.isnan(fits)), fits

    def answered(self, columns: Columns) -> tuple[Mask, Fits | None]:
        """The answer, worked out once on these columns: pages ask for the same again and again."""
        if self not in columns.answers:
            if len(columns.answers) > _MOST_ANSWERS:
                columns.answers.clear()
            columns.answers[self] = self.answer(columns)
        mask, fits = columns.answers[self]
        return mask, fits

    def unknown(self, columns: Columns) -> Mask:
        """Return the fabrics of which nobody can say whether the condition holds."""
        return np.zeros(len(columns), dtype=bool)

    def may(self, columns: Columns) -> Mask:
        """Return the fabrics for which it holds or, as far as an estimate reaches, may hold."""
        return self.answered(columns)[0]

    def instead(self, columns: Columns) -> tuple[tuple[str, Mask], ...]:
        """Return other meanings of the same words: what such fabrics have, and which they are."""
        return ()

    def by_name(self, columns: Columns) -> Mask | None:
        """Return the fabrics found by a name rather than by what the words say, if any can be."""
        return None
