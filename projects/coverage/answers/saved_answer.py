"""The answer for a part as it is saved: evidence, what is lacking or to buy, what was assumed.

Its plans are read apart (``saved_plan``), where they are wanted: most pages show none of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Self

from projects.cutting.shapes import SECOND_OF_WORK

__all__ = [
    "STOPPED",
    "Assumptions",
    "Evidence",
    "Hanging",
    "SavedAnswer",
    "Side",
    "Since",
    "ToBuy",
    "UnreadableAnswerError",
]

#: What commands say of an answer that the clock ended.
STOPPED = "Stopped by the clock, because the machine was busy: not the last word, ask again."


class UnreadableAnswerError(ValueError):
    """A document that is no answer; the message says why in one sentence."""


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """Why the verdict holds: in a sentence, by which proof, and what was tried with how much work.

    ``looked`` is work as the cutting package counts it. ``stopped_by_clock``: the machine was so
    busy that the clock ended the search before that; the answer is true and not the last word.
    ``is_first_look``: so far it was only asked whether the cloth does, not how best, nor what that
    hangs on, nor what to buy.
    """

    sentence: str = ""
    proof: str = ""
    tried: tuple[str, ...] = ()
    looked: int = 0
    stopped_by_clock: bool = False
    is_first_look: bool = False

    @property
    def seconds(self) -> float:
        """How long a quiet machine looks so much, in seconds."""
        return self.looked / SECOND_OF_WORK


@dataclass(frozen=True, kw_only=True)
class Side:
    """A width or a length that was counted on, and whether anybody measured it.

    ``shelf`` is the size as it lies, ``cut`` the size when cut. A length ``by_weight`` was worked
    out from what the piece weighs, and the least that it can be was counted on.
    """

    shelf: int
    cut: int
    measured: bool
    by_weight: bool = False


@dataclass(frozen=True, kw_only=True)
class Assumptions:
    """What was taken for granted of the cloth that was counted on.

    ``widths`` and ``lengths`` go from small to large. ``shrinkage`` are the per cent, across and
    along, that were taken off cloth that is washed first; ``washed``: some of it was washed before
    and shrinks no more; ``precut``: some of it is precut and not washed; ``pinked``: some of it has
    pinked edges, which count as measured.
    """

    widths: tuple[Side, ...] = ()
    lengths: tuple[Side, ...] = ()
    shrinkage: tuple[tuple[str, str], ...] = ()
    washed: bool = False
    precut: bool = False
    pinked: bool = False

    def to_document(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_document(cls, document: Mapping[str, Any]) -> Self:
        return cls(
            widths=tuple(_read_side(side) for side in document["widths"]),
            lengths=tuple(_read_side(side) for side in document["lengths"]),
            shrinkage=tuple(
                (_text(across), _text(along)) for across, along in document["shrinkage"]
            ),
            washed=bool(document["washed"]),
            precut=bool(document["precut"]),
            pinked=bool(document["pinked"]),
        )


@dataclass(frozen=True, kw_only=True)
class Hanging:
    """A side that nobody measured and that the verdict hangs on.

    ``side`` is "width" or "length", ``pieces`` are named with what was assumed of each on the
    shelf, ``tried`` is the size of the first of them at which the verdict was another, or could not
    be found again.
    """

    side: str
    pieces: tuple[tuple[str, int], ...]
    tried: int

    @property
    def sizes(self) -> tuple[int, ...]:
        return tuple(sorted({size for _, size in self.pieces}))


@dataclass(frozen=True, kw_only=True)
class ToBuy:
    """Cloth to buy: usable width as bought, exact need, and in steps of the shop.

    ``is_least``: nothing shorter would do; ``is_least_sold``: nothing shorter that a shop sells.
    """

    width: int
    to_buy: int
    rounded: int
    is_least: bool
    is_least_sold: bool = False

    @property
    def may_be_less(self) -> bool:
        """Whether a shorter length from the shop may do as well."""
        return not (self.is_least or self.is_least_sold)


@dataclass(frozen=True, kw_only=True)
class Since:
    """Names of pieces whose plans are other than before, newly there, or as before."""

    changed: tuple[str, ...] = ()
    opened: tuple[str, ...] = ()
    same: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SavedAnswer:
    """What was answered for a part, beside the verdict and the plans.

    ``short`` are cuts by number with how many find no place. ``hangs`` are sides that
    nobody measured and that the verdict is not certain without. ``too_wide`` is how wide bought
    cloth would be when it is cut, where a cut is wider. ``buy_also_for`` are other parts that the
    same purchase is meant for, ``together`` those that were answered at once.
    """

    evidence: Evidence = field(default_factory=Evidence)
    assumptions: Assumptions = field(default_factory=Assumptions)
    short: tuple[tuple[int, int], ...] = ()
    buy: ToBuy | None = None
    too_wide: int | None = None
    buy_also_for: tuple[int, ...] = ()
    together: tuple[int, ...] = ()
    hangs: tuple[Hanging, ...] = ()
    since: Since | None = None

    @property
    def is_least(self) -> bool:
        """Whether no less could be bought in a shop, or nothing need be."""
        return self.buy is None or not self.buy.may_be_less

    def to_document(self) -> dict[str, Any]:
        """Return plain values for the database; ``from_document`` gives the same answer back."""
        return {
            "sentence": self.evidence.sentence,
            "proof": self.evidence.proof,
            "tried": list(self.evidence.tried),
            "looked": self.evidence.looked,
            "stopped_by_clock": self.evidence.stopped_by_clock,
            "is_first_look": self.evidence.is_first_look,
            "assumed": self.assumptions.to_document(),
            "hangs": [asdict(hanging) for hanging in self.hangs],
            "short": [{"cut": cut, "missing": missing} for cut, missing in self.short],
            "buy": asdict(self.buy) if self.buy else None,
            "too_wide": self.too_wide,
            "buy_also_for": list(self.buy_also_for),
            "together": list(self.together),
            "since": _written_since(self.since),
        }

    @classmethod
    def from_document(cls, document: Mapping[str, Any]) -> Self:
        """Return the answer that ``to_document`` wrote, whatever else lies in the document.

        Raises
        ------
        UnreadableAnswerError
            Something is lacking or of another kind.
        """
        try:
            return cls(
                evidence=Evidence(
                    sentence=_text(document["sentence"]),
                    proof=_text(document["proof"]),
                    tried=_texts(document["tried"]),
                    looked=int(document.get("looked", 0)),
                    stopped_by_clock=bool(document.get("stopped_by_clock")),
                    is_first_look=bool(document.get("is_first_look")),
                ),
                # An answer of before it was said what was measured is asked again.
                assumptions=(
                    Assumptions.from_document(document["assumed"])
                    if "assumed" in document
                    else Assumptions()
                ),
                short=tuple(
                    (_number(row["cut"]), _number(row["missing"])) for row in document["short"]
                ),
                buy=_read_buy(document["buy"]),
                too_wide=None if (wide := document.get("too_wide")) is None else _number(wide),
                buy_also_for=_numbers(document["buy_also_for"]),
                together=_numbers(document["together"]),
                hangs=tuple(
                    Hanging(
                        side=_text(hanging["side"]),
                        pieces=tuple(
                            (_text(name), _number(size)) for name, size in hanging["pieces"]
                        ),
                        tried=_number(hanging["tried"]),
                    )
                    for hanging in document.get("hangs", ())
                ),
                since=_read_since(document.get("since")),
            )
        except KeyError as error:
            raise UnreadableAnswerError(f"A saved answer lacks {error}.") from error
        except (TypeError, ValueError, AttributeError) as error:
            raise UnreadableAnswerError(f"A saved answer has another shape: {error}.") from error


def _text(found: Any) -> str:
    if not isinstance(found, str):
        raise TypeError(f"{found!r} is no text")
    return found


def _texts(found: Any) -> tuple[str, ...]:
    return tuple(_text(value) for value in _list(found))


def _number(found: Any) -> int:
    # True is no length, although it is a whole number to Python.
    if type(found) is not int:
        raise TypeError(f"{found!r} is no whole number")
    return found


def _numbers(found: Any) -> tuple[int, ...]:
    return tuple(_number(value) for value in _list(found))


def _list(found: Any) -> list[Any] | tuple[Any, ...]:
    if not isinstance(found, list | tuple):
        raise TypeError(f"{found!r} is no list")
    return found


def _read_side(document: Mapping[str, Any]) -> Side:
    return Side(
        shelf=_number(document["shelf"]),
        cut=_number(document["cut"]),
        measured=bool(document["measured"]),
        by_weight=bool(document.get("by_weight")),
    )


def _read_buy(document: Any) -> ToBuy | None:
    if not document:
        return None
    buy = ToBuy(**document)
    for size in (buy.width, buy.to_buy, buy.rounded):
        _number(size)
    return buy


def _written_since(since: Since | None) -> dict[str, list[str]] | None:
    if since is None:
        return None
    return {"changed": list(since.changed), "opened": list(since.opened), "same": list(since.same)}


def _read_since(document: Mapping[str, Any] | None) -> Since | None:
    if document is None:
        return None
    return Since(
        changed=_texts(document["changed"]),
        opened=_texts(document["opened"]),
        same=_texts(document["same"]),
    )
