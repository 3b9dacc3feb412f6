"""The answer for a part as it is saved: evidence, what is lacking or to buy, what was assumed.

Its plans are read apart (``saved_plan``), where they are wanted: most pages show none of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Self

__all__ = ["Assumptions", "Evidence", "SavedAnswer", "Since", "ToBuy", "UnreadableAnswerError"]


class UnreadableAnswerError(ValueError):
    """A document that is no answer; the message says why in one sentence."""


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """Why the verdict holds: in a sentence, by which proof, and what was tried for how long.

    ``looked`` is in seconds.
    """

    sentence: str = ""
    proof: str = ""
    tried: tuple[str, ...] = ()
    looked: float = 0


@dataclass(frozen=True, kw_only=True)
class Assumptions:
    """What was taken for granted of the cloth that was counted on.

    ``widths`` are its usable widths when cut, from narrow to wide; ``washed``: some of it is
    washed first; ``pinked``: some of it has pinked edges, which count as measured.
    """

    widths: tuple[int, ...] = ()
    washed: bool = False
    pinked: bool = False


@dataclass(frozen=True, kw_only=True)
class ToBuy:
    """Cloth to buy: usable width as bought, exact need, and in steps of the shop."""

    width: int
    to_buy: int
    rounded: int
    is_least: bool


@dataclass(frozen=True, kw_only=True)
class Since:
    """Names of pieces whose plans are other than before, newly there, or as before."""

    changed: tuple[str, ...] = ()
    opened: tuple[str, ...] = ()
    same: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SavedAnswer:
    """What was answered for a part, beside the verdict and the plans.

    ``short`` are cuts by number with how many find no place. ``too_wide`` is how wide bought cloth
    would be when it is cut, where a cut is wider. ``buy_also_for`` are other parts that the same
    purchase is meant for, ``together`` those that were answered at once.
    """

    evidence: Evidence = field(default_factory=Evidence)
    assumptions: Assumptions = field(default_factory=Assumptions)
    short: tuple[tuple[int, int], ...] = ()
    buy: ToBuy | None = None
    too_wide: int | None = None
    buy_also_for: tuple[int, ...] = ()
    together: tuple[int, ...] = ()
    since: Since | None = None

    @property
    def is_least(self) -> bool:
        """Whether no less could be bought, or nothing need be."""
        return self.buy is None or self.buy.is_least

    def to_document(self) -> dict[str, Any]:
        """Return plain values for the database; ``from_document`` gives the same answer back."""
        return {
            "sentence": self.evidence.sentence,
            "proof": self.evidence.proof,
            "tried": list(self.evidence.tried),
            "looked": self.evidence.looked,
            "widths": list(self.assumptions.widths),
            "washed": self.assumptions.washed,
            "pinked": self.assumptions.pinked,
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
                    sentence=document["sentence"],
                    proof=document["proof"],
                    tried=tuple(document["tried"]),
                    looked=float(document.get("looked", 0)),
                ),
                assumptions=Assumptions(
                    widths=tuple(document.get("widths", ())),
                    washed=bool(document.get("washed")),
                    pinked=bool(document.get("pinked")),
                ),
                short=tuple((row["cut"], row["missing"]) for row in document["short"]),
                buy=ToBuy(**document["buy"]) if document["buy"] else None,
                too_wide=document.get("too_wide"),
                buy_also_for=tuple(document["buy_also_for"]),
                together=tuple(document["together"]),
                since=_read_since(document.get("since")),
            )
        except KeyError as error:
            raise UnreadableAnswerError(f"A saved answer lacks {error}.") from error
        except (TypeError, ValueError, AttributeError) as error:
            raise UnreadableAnswerError(f"A saved answer has another shape: {error}.") from error


def _written_since(since: Since | None) -> dict[str, list[str]] | None:
    if since is None:
        return None
    return {"changed": list(since.changed), "opened": list(since.opened), "same": list(since.same)}


def _read_since(document: Mapping[str, Any] | None) -> Since | None:
    if document is None:
        return None
    return Since(
        changed=tuple(document["changed"]),
        opened=tuple(document["opened"]),
        same=tuple(document["same"]),
    )
