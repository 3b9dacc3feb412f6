"""Whole patterns: agreed to as they were shown, put into a project by one act, and taken back."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Max
from django.utils import timezone

from projects.models import Cut, Part, PastedPattern, Project, Role, UnreadLine
from projects.needs.patterns.values import Pattern, PatternPart
from projects.needs.patterns.words import name_key
from projects.planning.cut_lists.pasting import add_read, keep_unread, pattern_of
from stash.acts import act_of
from stash.lengths import Unit

__all__ = [
    "NEW",
    "NOT_TAKEN",
    "PatternError",
    "Places",
    "likely_places",
    "patterns_of",
    "take_back_pattern",
    "take_pattern",
]

NEW, NOT_TAKEN = "new", "not taken"
_KEPT = ("pk", "part", "kind", "count", "done", "width", "length", "turn")


class PatternError(ValueError):
    """The pattern cannot be taken, or taken back, as things are; the message says why."""


@dataclass(frozen=True, kw_only=True)
class Places:
    """Where a pattern goes, as somebody agreed to it.

    ``parts`` tells for each part of the pattern, by its place in it, the key of a part of the
    project, "new" or "not taken". ``others`` does so for the second fabric of the units on a line,
    by the line's number, where "new" is not among them but "=2" is: where part 2 of the pattern
    goes. ``struck`` are numbers of lines that ask for nothing.
    """

    parts: Mapping[int, str]
    others: Mapping[int, str]
    struck: Collection[int] = ()


def likely_places(project: Project, pattern: Pattern, default: Part | None = None) -> list[str]:
    """Where each part of a pattern most likely goes: to its namesake, or the only one like it."""
    parts = list(project.parts.filter(not_needed=False))
    by_name = {name_key(part.name): part for part in parts}
    taken: set[int] = set()
    places: list[str] = []
    for pattern_part in pattern.parts:
        found = by_name.get(name_key(pattern_part.title)) if pattern_part.title else default
        if found is None and pattern_part.title and pattern_part.role != Role.OTHER:
            alike = [part for part in parts if part.role == pattern_part.role and not part.title]
            found = alike[0] if len(alike) == 1 and alike[0].pk not in taken else None
        if found is not None:
            taken.add(found.pk)
        places.append(str(found.pk) if found is not None else NEW)
    return places


@act_of("project.owner_id")
def take_pattern(*, project: Project, text: str, places: Places, units: Unit) -> PastedPattern:
    """Put a pattern into the project: its cuts, its new parts, and its lines that are not read.

    Raises
    ------
    PatternError
        There is nothing in it, or a part that was chosen for it is not there any more.
    """
    pattern = pattern_of(project, text, units)
    if not any(line.needed for part in pattern.parts for line in part.understood):
        raise PatternError("Nothing in this text asks for cloth; put its lines right first.")
    before = {part.pk: part.not_needed for part in project.parts.all()}
    homes = {
        index: _home(project, part, places.parts.get(index, NEW))
        for index, part in enumerate(pattern.parts)
    }
    cuts: list[Cut] = []
    unread: list[UnreadLine] = []
    for index, pattern_part in enumerate(pattern.parts):
        home = homes[index]
        if home is None:
            continue
        for line in pattern_part.understood:
            other = _other(project, homes, places.others.get(line.number, ""))
            if len(line.roles) > 1 and other is not None:
                cuts += add_read(home, line, roles=line.roles[:1])
                cuts += add_read(other, line, roles=line.roles[1:])
            else:
                cuts += add_read(home, line)
        unread += keep_unread(home, pattern_part.unread, struck=places.struck)
    used = {home.pk: home for home in homes.values() if home is not None}
    used |= {cut.part_id: cut.part for cut in cuts}
    for part in used.values():
        if part.not_needed:
            part.not_needed = False
            part.save(update_fields=["not_needed"])
    now = {part.pk: part for part in project.parts.filter(pk__in=used)}
    return PastedPattern.objects.create(
        project=project,
        text=text,
        wrote={
            "cuts": _rows([cut.pk for cut in cuts]),
            "unread": [line.pk for line in unread],
            "parts": [key for key in now if key not in before],
            "needed": [key for key in now if before.get(key)],
        },
        summary=_summary(cuts, unread, len(used)),
    )


def _home(project: Project, part: PatternPart, place: str) -> Part | None:
    if place == NOT_TAKEN:
        return None
    if place != NEW:
        return _part(project, place)
    last = project.parts.aggregate(last=Max("position"), number=Max("number"))
    return Part.objects.create(
        project=project,
        role=part.role,
        title=part.title[:80] or "From the pattern",
        position=(last["last"] or 0) + 1,
    )


def _other(project: Project, homes: Mapping[int, Part | None], place: str) -> Part | None:
    if place.startswith("="):
        return homes.get(int(place[1:]))
    return _part(project, place) if place else None


def _part(project: Project, key: str) -> Part:
    found = project.parts.filter(pk=int(key)).first()
    if found is None:
        raise PatternError("A part that was chosen is not in the project any more; look again.")
    return found


def _rows(keys: Collection[int]) -> list[list[Any]]:
    return [list(row) for row in Cut.objects.filter(pk__in=keys).order_by("pk").values_list(*_KEPT)]


def _summary(cuts: Collection[Cut], unread: Collection[UnreadLine], parts: int) -> str:
    count = sum(cut.count for cut in cuts)
    sentence = f"{count} cut{'s' if count != 1 else ''} for {parts} part{'s' if parts != 1 else ''}"
    standing = sum(line.struck_at is None for line in unread)
    if standing:
        sentence += f", {standing} line{'s' if standing != 1 else ''} not read"
    return sentence


def patterns_of(project: Project) -> list[PastedPattern]:
    """The patterns that can be taken back, the last first."""
    return list(PastedPattern.objects.filter(project=project, undone_at=None)[:5])


@act_of("pasted.project.owner_id")
def take_back_pattern(*, pasted: PastedPattern) -> None:
    """Take out what the pattern put in; its new parts go where nothing else is in them.

    Raises
    ------
    PatternError
        It was taken back before, or a line of it was changed, cut or put right since.
    """
    pasted = PastedPattern.objects.select_for_update().get(pk=pasted.pk)
    wrote = pasted.wrote
    if pasted.undone_at is not None:
        raise PatternError("This was taken back before.")
    keys = [row[0] for row in wrote["cuts"]]
    lines = UnreadLine.objects.filter(pk__in=wrote["unread"])
    if _rows(keys) != wrote["cuts"] or lines.count() != len(wrote["unread"]):
        raise PatternError(
            "Lines of this pattern were changed, cut or put right since; take them out one by one."
        )
    Cut.objects.filter(pk__in=keys).delete()
    lines.delete()
    # Patterns of earlier days set the rule for their whole parts.
    Part.objects.filter(pk__in=wrote.get("centred", [])).update(centre_motif=False)
    Part.objects.filter(pk__in=wrote["needed"], cuts=None).update(not_needed=True)
    for part in Part.objects.filter(pk__in=wrote["parts"], cuts=None, unread_lines=None):
        if not (part.fabrics.exists() or part.promises.exists() or part.purchases.exists()):
            part.delete()
    pasted.undone_at = timezone.now()
    pasted.save(update_fields=["undone_at"])
