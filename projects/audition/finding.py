"""Fabrics that might be laid on a table, by words."""

from __future__ import annotations

from projects.models import Audition
from stash.finding.answers import search_words
from stash.models import Fabric

__all__ = ["to_lay"]

_MOST_SHOWN = 12


def to_lay(audition: Audition, words: str) -> list[Fabric]:
    """Return up to twelve fabrics that answer to the words and do not lie on the table, dark first.

    A fabric lies on the table when each arrangement has it.
    """
    laid = [
        set(audition.laid.filter(arrangement=number).values_list("fabric", flat=True))
        for number in {1, *audition.laid.values_list("arrangement", flat=True)}
    ]
    lying = set.intersection(*laid)
    keys = search_words(audition.owner, words, usual="dark").keys
    wanted = [key for key in keys if key not in lying][:_MOST_SHOWN]
    stash = Fabric.objects.owned_by(audition.owner).in_stash().select_related("main_photo")
    shown = stash.in_bulk(wanted)
    return [shown[key] for key in wanted if key in shown]
