"""What JSON documents hold: fields as typed values, and lengths as plain numbers.

A field that does not fit is refused with one sentence that quotes it. Bare lengths are in inches or
in centimetres, as the document says.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from math import isfinite
from typing import Any, TypeVar

from stash.lengths import CM, INCH, LengthError, Unit, inches_or_cm, parse_length
from stash.text import quoted

__all__ = ["DocumentError", "Fields", "number_in"]

_Choice = TypeVar("_Choice", bound=str)
_LONGEST_TEXT = 100_000
_MOST_ITEMS = 5_000


class DocumentError(ValueError):
    """A document that asks nothing that can be answered; the message is one sentence."""


class Fields:
    """One object of a document; bare lengths are in ``units``.

    ``what`` names it in sentences as it stands in the middle of one: "the document", "piece 3".
    """

    def __init__(self, what: str, given: object, known: Collection[str], units: Unit) -> None:
        if not isinstance(given, Mapping):
            raise DocumentError(
                f"{_capital(what)} is {_short(given)}; an object with named fields is needed."
            )
        for key in given:
            if key not in known:
                raise DocumentError(
                    f"{_capital(what)} has the unknown field {quoted(key)}; known are"
                    f" {', '.join(sorted(known))}."
                )
        self.what = what
        self.units = units
        self._given: dict[str, Any] = {str(key): entry for key, entry in given.items()}

    def __contains__(self, field: str) -> bool:
        """Whether the field is there and says something."""
        return self._given.get(field) is not None

    def holds_object(self, field: str) -> bool:
        """Whether the field is an object with fields of its own."""
        return isinstance(self._given.get(field), Mapping)

    def text(
        self,
        field: str,
        default: str | None = None,
        *,
        most: int = _LONGEST_TEXT,
        as_written: bool = False,
    ) -> str:
        """Return a text; without a default it must be there and not be blank.

        It comes without the blanks around it, unless there is a default or ``as_written`` is set.
        """
        given = self._given.get(field)
        if given is None and default is not None:
            return default
        if not isinstance(given, str) or (default is None and not given.strip()):
            raise self._wrong(field, given, "a text is needed")
        if len(given) > most:
            raise self._wrong(field, given, f"at most {most} characters are accepted")
        return given if default is not None or as_written else given.strip()

    def choice(self, field: str, choices: Collection[_Choice], default: _Choice) -> _Choice:
        given = self._given.get(field)
        if given is None:
            return default
        for choice in choices:
            if given == choice:
                return choice
        listed = ", ".join(f'"{choice}"' for choice in choices)
        raise self._wrong(field, given, f"one of {listed} is needed")

    def flag(self, field: str, *, default: bool) -> bool:
        given = self._given.get(field)
        if given is None:
            return default
        if not isinstance(given, bool):
            raise self._wrong(field, given, "true or false is needed")
        return given

    def flag_or_none(self, field: str) -> bool | None:
        return self.flag(field, default=False) if field in self else None

    def count(self, field: str, default: int, *, most: int) -> int:
        given = self._given.get(field)
        if given is None:
            return default
        if isinstance(given, bool) or not isinstance(given, int) or not 1 <= given <= most:
            raise self._wrong(field, given, f"a whole number from 1 to {most} is needed")
        return given

    def number(self, field: str, *, least: float, most: float) -> float | None:
        given = self._given.get(field)
        if given is None:
            return None
        if isinstance(given, bool) or not isinstance(given, int | float):
            raise self._wrong(field, given, f"a number from {least:g} to {most:g} is needed")
        if not least <= given <= most:
            raise self._wrong(field, given, f"a number from {least:g} to {most:g} is needed")
        return float(given)

    def share(self, field: str, default: Fraction, *, below: int = 1) -> Fraction:
        """Return a share such as 0.03 or "3 %", exactly."""
        given = self._given.get(field)
        if given is None:
            return default
        try:
            if isinstance(given, bool) or not isinstance(given, int | float | str):
                raise ValueError
            text = str(given).strip()
            exact = Fraction(text.rstrip("% ")) / (100 if text.endswith("%") else 1)
        except (ValueError, ZeroDivisionError):
            raise self._wrong(field, given, "a share such as 0.03 or “3 %” is needed") from None
        if not 0 <= exact < below:
            raise self._wrong(field, given, f"a share from 0 to below {100 * below} % is needed")
        return exact

    def length(self, field: str, default: int | None = None, *, zero: bool = False) -> int:
        """Return a length in length units; without a default it must be there."""
        given = self._given.get(field)
        if given is None and default is not None:
            return default
        return self._length(field, given, zero=zero)

    def two_lengths(self, field: str, *, zero: bool = False) -> tuple[int, int] | None:
        given = self._given.get(field)
        if given is None:
            return None
        if not isinstance(given, list | tuple) or len(given) != 2:
            raise self._wrong(field, given, "two lengths are needed, such as [60, 80]")
        across, along = (self._length(field, value, zero=zero) for value in given)
        return across, along

    def lengths(self, field: str, *, most: int) -> tuple[int, ...]:
        return tuple(
            self._length(field, entry, zero=True) for entry in self.items(field, most=most)
        )

    def inside(self, field: str, known: Collection[str]) -> Fields:
        """Return an object in this one; an empty one where there is none."""
        return Fields(f"“{field}” of {self.what}", self._given.get(field) or {}, known, self.units)

    def items(self, field: str, *, most: int = _MOST_ITEMS) -> list[Any]:
        given = self._given.get(field)
        if given is None:
            return []
        if not isinstance(given, list | tuple):
            raise self._wrong(field, given, "a list is needed")
        if len(given) > most:
            raise DocumentError(
                f"“{field}” of {self.what} has {len(given)} entries; up to {most} are accepted."
            )
        return list(given)

    def texts(self, field: str) -> tuple[str, ...]:
        found = self.items(field)
        for value in found:
            if not isinstance(value, str) or not value.strip():
                raise self._wrong(field, value, "a text is needed for each entry")
        return tuple(value.strip() for value in found)

    def counts_by_name(self, field: str, *, most: int) -> dict[str, int]:
        given = self._given.get(field)
        if given is None:
            return {}
        if not isinstance(given, Mapping):
            raise self._wrong(field, given, "an object of names and whole numbers is needed")
        fields = Fields(f"“{field}” of {self.what}", given, given.keys(), self.units)
        return {str(name): fields.count(str(name), 1, most=most) for name in given}

    def objects(
        self, field: str, each: str, known: Collection[str], *, most: int
    ) -> Iterator[Fields]:
        """Yield the objects of a list, named by ``each`` and their number."""
        for number, given in enumerate(self.items(field, most=most), 1):
            yield Fields(f"{each} {number}", given, known, self.units)

    def _length(self, field: str, given: object, *, zero: bool) -> int:
        example = "a length such as 2.5 or “2 1/2” is needed"
        if isinstance(given, bool) or not isinstance(given, int | float | str):
            raise self._wrong(field, given, example)
        if isinstance(given, str):
            try:
                return parse_length(given, default_unit=self.units, allow_zero=zero)
            except LengthError as error:
                raise DocumentError(f"“{field}” of {self.what}: {error}") from None
        if isinstance(given, float) and not isfinite(given):
            raise self._wrong(field, given, example)
        if given < 0 or (given == 0 and not zero):
            raise self._wrong(field, given, "it must be above zero")
        return int(Fraction(str(given)) * _unit_of(self.units) + Fraction(1, 2))

    def lacks(self, field: str, needed: str) -> DocumentError:
        """Return the refusal of an object without the field."""
        return DocumentError(f"{_capital(self.what)} has no “{field}”; {needed}.")

    def _wrong(self, field: str, given: object, needed: str) -> DocumentError:
        if field not in self._given:
            return self.lacks(field, needed)
        return DocumentError(f"“{field}” of {self.what} is {_short(given)}; {needed}.")


def number_in(length: int, units: Unit) -> int | float:
    """Return a length as a number of inches or centimetres.

    Parameters
    ----------
    length : length units
    units : "cm", or else inches

    Returns
    -------
    A whole number where it is one, else ten decimals, which hold every length unit in centimetres
    and every 1/64 in exactly.

    Examples
    --------
    >>> number_in(7 * INCH // 2, "in"), number_in(1, "cm")
    (3.5, 0.0003125)
    """
    exact = Fraction(length, _unit_of(units))
    if exact.denominator == 1:
        return exact.numerator
    # 10 decimals hold 3.125 micrometres in centimetres exactly and 1/64 in as well.
    return float(round(Decimal(exact.numerator) / Decimal(exact.denominator), 10))


def _unit_of(units: Unit) -> int:
    return CM if inches_or_cm(units) == "cm" else INCH


def _capital(what: str) -> str:
    """Return what something is called at the beginning of a sentence."""
    return what[:1].upper() + what[1:]


def _short(given: object) -> str:
    if isinstance(given, str):
        return quoted(given)
    text = json.dumps(given, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else text[:57] + "..."
