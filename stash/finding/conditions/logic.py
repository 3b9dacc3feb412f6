"""Conditions made of conditions: not, any of, all of, by name first; and words for an order."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np

from stash.finding.columns.arrays import Columns
from stash.finding.conditions.base import Condition, Fits, Mask

__all__ = ["AllOf", "AnyOf", "NameFirst", "Not", "Ordered"]


@dataclass(frozen=True, kw_only=True)
class Not(Condition):
    """What the condition does not hold for; not what nobody can say it of."""

    condition: Condition

    @property
    def is_of_looks(self) -> bool:  # type: ignore[override]
        return self.condition.is_of_looks

    def keeps(self, columns: Columns) -> Mask:
        kept, _ = self.condition.answered(columns)
        return ~kept & ~self.condition.unknown(columns)

    def unknown(self, columns: Columns) -> Mask:
        return self.condition.unknown(columns)

    def may(self, columns: Columns) -> Mask:
        return self.answered(columns)[0]


@dataclass(frozen=True, kw_only=True)
class _Several(Condition):
    conditions: tuple[Condition, ...]

    @property
    def order(self) -> str:  # type: ignore[override]
        return next((part.order for part in self.conditions if part.order), "")

    @property
    def is_of_looks(self) -> bool:  # type: ignore[override]
        return any(part.is_of_looks for part in self.conditions)

    def keeps(self, columns: Columns) -> Mask:
        return self.answer(columns)[0]

    def fits(self, columns: Columns) -> Fits | None:
        return self.answer(columns)[1]

    def unknown(self, columns: Columns) -> Mask:
        return _any([part.unknown(columns) for part in self.conditions])

    def _answers(self, columns: Columns) -> tuple[list[Mask], list[Fits | None]]:
        answers = [part.answered(columns) for part in self.conditions]
        return [kept for kept, _ in answers], [fit for _, fit in answers]


@dataclass(frozen=True, kw_only=True)
class AnyOf(_Several):
    """At least one of the conditions holds; a fabric fits by the best of them."""

    def answer(self, columns: Columns) -> tuple[Mask, Fits | None]:
        masks, fits = self._answers(columns)
        known = [
            kept.astype(float) if fit is None else np.where(kept, fit, 0.0)
            for kept, fit in zip(masks, fits, strict=True)
        ]
        some = any(fit is not None for fit in fits)
        return _any(masks), np.max(known, axis=0) if some else None

    def may(self, columns: Columns) -> Mask:
        return _any([part.may(columns) for part in self.conditions])


@dataclass(frozen=True, kw_only=True)
class AllOf(_Several):
    """Every one of the conditions holds."""

    def answer(self, columns: Columns) -> tuple[Mask, Fits | None]:
        masks, fits = self._answers(columns)
        known = [fit for fit in fits if fit is not None]
        return _all(masks), np.prod(known, axis=0) if known else None

    def may(self, columns: Columns) -> Mask:
        return _all([part.may(columns) for part in self.conditions])


@dataclass(frozen=True, kw_only=True)
class NameFirst(Condition):
    """Words that are (part of) a name here, and mean something, too: found by either."""

    name: Condition
    otherwise: tuple[Condition, ...]

    @property
    def order(self) -> str:  # type: ignore[override]
        return self._meant.order

    @property
    def is_of_looks(self) -> bool:  # type: ignore[override]
        return self._meant.is_of_looks

    @property
    def _meant(self) -> AllOf:
        return AllOf(source=self.source, label=self.label, conditions=self.otherwise)

    def keeps(self, columns: Columns) -> Mask:
        return self.answer(columns)[0]

    def answer(self, columns: Columns) -> tuple[Mask, Fits | None]:
        kept, fit = self._meant.answered(columns)
        return kept | self.name.answered(columns)[0], fit

    def may(self, columns: Columns) -> Mask:
        return self._meant.may(columns) | self.name.answered(columns)[0]

    def by_name(self, columns: Columns) -> Mask:
        return self.name.answered(columns)[0]


@dataclass(frozen=True, kw_only=True)
class Ordered(Condition):
    """Keeps everything and says in which order: “darkest”."""

    asked: str

    @property
    def order(self) -> str:  # type: ignore[override]
        return self.asked

    def keeps(self, columns: Columns) -> Mask:
        return np.ones(len(columns), dtype=bool)


def _any(masks: list[Any]) -> Mask:
    return np.asarray(reduce(np.logical_or, masks))


def _all(masks: list[Any]) -> Mask:
    return np.asarray(reduce(np.logical_and, masks))
