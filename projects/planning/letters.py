"""The letter of every line of a project's cut lists: on the cut sheet and on the heaps alike."""

from __future__ import annotations

from string import ascii_uppercase

from projects.models import Cut

__all__ = ["letters_of"]


def letters_of(project: int) -> dict[int, str]:
    """Return a letter for each line of the project with this key, by the line's own key.

    A heap that was labelled keeps its letter: what is cut already counts, and so does what is
    not on the sheet of the day.
    """
    lines = Cut.objects.filter(part__project=project)
    ordered = lines.order_by("part__position", "part", "position", "pk").values_list(
        "pk", flat=True
    )
    return {key: _letter(place) for place, key in enumerate(ordered)}


def _letter(place: int) -> str:
    letters = len(ascii_uppercase)
    head = ascii_uppercase[place // letters - 1] if place >= letters else ""
    return head + ascii_uppercase[place % letters]
