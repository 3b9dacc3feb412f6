"""How many cuts of one size a fabric's pieces yield, for finding: only a plan is believed."""

from __future__ import annotations

from functools import lru_cache

__all__ = ["pieces_cover"]

# Cloth that a plan is not found for so soon is not promised to anybody in a search.
_SECONDS = 0.5


@lru_cache(maxsize=4096)
def pieces_cover(
    pieces: tuple[tuple[int, int, int], ...], width: int, length: int, count: int
) -> bool:
    """Whether a checked plan cuts this many rectangles, turned as needed, from the pieces.

    pieces are (width, length, count). A count beyond what a cut list may hold is not covered.
    """
    from projects.cutting.coverage import plan_cuts
    from projects.cutting.shapes import Cut, CuttingError, Limits, Piece

    try:
        answer = plan_cuts(
            [
                Piece(name=f"piece {i}", width=across, length=along, count=how_many)
                for i, (across, along, how_many) in enumerate(pieces, start=1)
            ],
            [Cut(name="cut", width=width, length=length, count=count, turn=True)],
            limits=Limits(seconds=_SECONDS),
        )
    except CuttingError:
        return False
    return answer.verdict == "covered"
