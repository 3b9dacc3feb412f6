"""The answer of every unit: cuts per fabric role, and what was assumed."""

from __future__ import annotations

from dataclasses import dataclass

from projects.needs.sewing_rules import NeededCut

__all__ = ["UnitNeed", "surplus_note"]


@dataclass(frozen=True, kw_only=True)
class UnitNeed:
    """Cuts for a wanted number of finished units.

    ``made`` is what the cuts give; more than ``wanted`` when a method makes pairs, fours or
    eights. ``width`` and ``length`` are the finished size of one unit. ``before_trimming`` is
    the side of the sewn unit before it is trimmed to finished size plus seams, rounded down,
    where the method leaves something to trim. ``assumptions`` are sentences for the page.
    """

    unit: str
    wanted: int
    made: int
    width: int
    length: int
    cuts: tuple[NeededCut, ...]
    assumptions: tuple[str, ...]
    before_trimming: int | None = None

    @property
    def surplus(self) -> int:
        """How many units more than wanted the cuts make."""
        return self.made - self.wanted

    @property
    def roles(self) -> tuple[str, ...]:
        """The fabric roles, in the order in which the cuts name them."""
        return tuple(dict.fromkeys(cut.role for cut in self.cuts))


def surplus_note(wanted: int, made: int, at_a_time: str) -> tuple[str, ...]:
    """Return the sentence about units made beyond those wanted, if there are any.

    Parameters
    ----------
    wanted, made : counts of units
    at_a_time : how they are made, in words

    Returns
    -------
    One sentence or none.

    Examples
    --------
    >>> surplus_note(22, 24, "four")
    ('Made four at a time: 24 units for 22 wanted, 2 extra.',)
    """
    if made == wanted:
        return ()
    return (
        f"Made {at_a_time} at a time: {made} units for {wanted} wanted, {made - wanted} extra.",
    )
