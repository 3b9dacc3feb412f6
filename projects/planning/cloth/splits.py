"""Several fabrics in one part: how many of its cuts come from each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import gcd

from projects.models import Cut, Part
from stash.acts import act_of

__all__ = [
    "add_to_done",
    "cuts_by_fabric",
    "deal",
    "set_split",
    "shares_of",
    "turns_by",
    "turns_of",
]


def shares_of(part: Part) -> dict[int, int]:
    """The share of each chosen fabric by its number; none where the cloth decides."""
    chosen = sorted(fabric.pk for fabric in part.fabrics.all())
    shares = {number: int(part.split.get(str(number), 0)) for number in chosen}
    return shares if len(chosen) > 1 and any(shares.values()) else {}


def deal(counts: Sequence[int], shares: Sequence[int]) -> list[list[int]]:
    """Give each of so many in turn to whom most is owed, over all lines together.

    ``deal([3, 3], [2, 1])`` is ``[[2, 1], [2, 1]]``: for each line, how many each receives. Where
    the shares add up to all counts, each receives just its share. Ties go to the first.
    """
    whole = sum(shares)
    given = [0] * len(shares)
    number = 0
    found = []
    for count in counts:
        line = [0] * len(shares)
        for _ in range(count):
            number += 1
            owed = [share * number - whole * had for share, had in zip(shares, given, strict=True)]
            place = owed.index(max(owed))
            given[place] += 1
            line[place] += 1
        found.append(line)
    return found


def cuts_by_fabric(part: Part, cuts: Sequence[Cut]) -> list[dict[int, int]]:
    """For each line, how many are still to be cut from each fabric; empty where cloth decides.

    What is cut already counts for the fabric it came from; where that is not known, for the one
    that has most left.
    """
    shares = shares_of(part)
    if not shares:
        return [{} for _ in cuts]
    dealt = deal([cut.count for cut in cuts], list(shares.values()))
    return [
        _left(cut, dict(zip(shares, line, strict=True)))
        for cut, line in zip(cuts, dealt, strict=True)
    ]


def _left(cut: Cut, wanted: dict[int, int]) -> dict[int, int]:
    left = dict(wanted)
    done = cut.done
    for key, count in cut.done_of.items():
        taken = min(count, done, left.get(int(key), 0))
        if taken > 0:
            left[int(key)] -= taken
            done -= taken
    for _ in range(done):
        most = max(left, key=lambda number: (left[number], -number))
        left[most] -= 1
    return {number: count for number, count in left.items() if count > 0}


def add_to_done(cut: int, by_fabric: Mapping[int, int]) -> None:
    """Note from which fabric cuts came, within the act that cuts them or takes that back."""
    row = Cut.objects.filter(pk=cut).first()
    if row is not None:
        counts = {int(fabric): count for fabric, count in row.done_of.items()}
        for fabric, count in by_fabric.items():
            counts[fabric] = counts.get(fabric, 0) + count
        row.done_of = {str(fabric): count for fabric, count in counts.items() if count > 0}
        row.save(update_fields=["done_of"])


def turns_of(part: Part) -> list[int]:
    """The chosen fabrics in the order in which a drawing gives its patches to them, over again."""
    shares = shares_of(part)
    if not shares:
        return [fabric.pk for fabric in part.fabrics.all()]
    return turns_by(shares)


def turns_by(shares: Mapping[int, int]) -> list[int]:
    """The keys in turn, as evenly mixed as their shares, each above zero, allow."""
    divisor = gcd(*shares.values())
    each = [share // divisor for share in shares.values()]
    numbers = list(shares)
    return [numbers[line.index(1)] for line in deal([1] * sum(each), each)]


@act_of("part.project.owner_id")
def set_split(*, part: Part, shares: Mapping[int, int]) -> None:
    """Say how many of the part's cuts come from each fabric; nothing lets the cloth decide."""
    part.split = {str(number): share for number, share in shares.items() if share > 0}
    part.save(update_fields=["split"])
