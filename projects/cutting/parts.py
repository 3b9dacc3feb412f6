"""Values that go into and come out of planning all parts of a project at once."""

from __future__ import annotations

from dataclasses import dataclass, field

from projects.cutting.aims import Aim
from projects.cutting.shapes import Cut, Plan


@dataclass(frozen=True, kw_only=True)
class PartNeed:
    """One part: its cuts, and the pieces it may be cut from with what each costs.

    pieces: (piece name, cost); cost 0 is a perfect match, larger is less wanted (hard limits
    are left out of the list). most_pieces limits how many pieces the part may mix,
    most_fabrics how many fabrics (Piece.fabric), most_lots how many fabrics and lots
    (Piece.lot). upright: pieces on which none of its cuts may be turned.
    """

    name: str
    cuts: tuple[Cut, ...]
    pieces: tuple[tuple[str, int], ...]
    most_pieces: int | None = None
    most_fabrics: int | None = None
    most_lots: int | None = None
    upright: frozenset[str] = frozenset()


@dataclass(frozen=True, kw_only=True)
class ShortTogether:
    """Parts that no cutting covers all together; one alone is short by itself."""

    parts: tuple[str, ...]
    proof: str
    sentence: str


@dataclass(frozen=True, kw_only=True)
class JointAnswer:
    """covered and left name parts; serves lists (part, piece, index) of the assignment.

    most: no assignment covers more parts than this; proven_short are short by themselves,
    short_together lists groups that no cutting covers all together. used is the length used
    over all plans, area the cloth that they use. is_last: no step of the search comes after it.
    stopped_by_clock: the outer stop ended some of the search.
    """

    covered: tuple[str, ...]
    left: tuple[str, ...]
    most: int
    plans: tuple[Plan, ...]
    serves: tuple[tuple[str, str, int], ...]
    used: int
    area: int
    sentence: str
    proven_short: tuple[str, ...] = field(default=())
    aims: tuple[Aim, ...] = field(default=())
    short_together: tuple[ShortTogether, ...] = field(default=())
    is_last: bool = True
    stopped_by_clock: bool = False
