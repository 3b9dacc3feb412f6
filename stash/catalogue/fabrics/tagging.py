"""The tags of many fabrics at once: links, words and history in few queries."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping, Sequence

from django.db import models

from stash.journal.changes import AT_ONCE
from stash.models import Change, Fabric, Tag

__all__ = ["put_tags_back", "set_tags", "tags_of"]


def tags_of(fabrics: Sequence[Fabric]) -> dict[int, set[int]]:
    """The keys of the tags of each fabric, by its key."""
    found: dict[int, set[int]] = {fabric.pk: set() for fabric in fabrics}
    for keys in _portions(list(found)):
        links = Fabric.tags.through.objects.filter(fabric__in=keys)
        for fabric, tag in links.values_list("fabric", "tag"):
            found[fabric].add(tag)
    return found


def set_tags(
    fabrics: Sequence[Fabric], wanted: Mapping[int, set[int]], *, act: uuid.UUID, note: str
) -> int:
    """Let each fabric have these tags, by key, and keep what it had; for use inside an act.

    Returns how many had others before.
    """
    before = tags_of(fabrics)
    changed = [fabric for fabric in fabrics if wanted[fabric.pk] != before[fabric.pk]]
    _link(changed, before, wanted)
    Change.objects.bulk_create(
        [
            Change(
                owner_id=fabric.owner_id,
                act=act,
                table="stash.fabric",
                row=fabric.pk,
                before={"tags": sorted(before[fabric.pk])},
                after={"tags": sorted(wanted[fabric.pk])},
                note=note,
            )
            for fabric in changed
        ],
        batch_size=AT_ONCE,
    )
    return len(changed)


def put_tags_back(rows: Mapping[int, models.Model], changes: Sequence[Change]) -> bool:
    """Give fabrics the tags that they had before changes of nothing else; else do nothing."""
    if any(set(change.before) != {"tags"} for change in changes):
        return False
    fabrics = [row for change in changes if isinstance(row := rows[change.row], Fabric)]
    named = {key for change in changes for key in change.before["tags"]}
    there = set(Tag.objects.filter(pk__in=named).values_list("pk", flat=True))
    wanted = {change.row: there & set(change.before["tags"]) for change in changes}
    _link(fabrics, tags_of(fabrics), wanted)
    return True


def _link(
    fabrics: Sequence[Fabric], before: Mapping[int, set[int]], wanted: Mapping[int, set[int]]
) -> None:
    through = Fabric.tags.through
    for tag in sorted({tag for fabric in fabrics for tag in before[fabric.pk]}):
        gone = [row.pk for row in fabrics if tag in before[row.pk] - wanted[row.pk]]
        for keys in _portions(gone):
            through.objects.filter(tag=tag, fabric__in=keys).delete()
    through.objects.bulk_create(
        [
            through(fabric_id=fabric.pk, tag_id=tag)
            for fabric in fabrics
            for tag in sorted(wanted[fabric.pk] - before[fabric.pk])
        ],
        batch_size=AT_ONCE,
    )
    named = {tag for fabric in fabrics for tag in wanted[fabric.pk]}
    names = dict(Tag.objects.filter(pk__in=named).order_by("name", "pk").values_list("pk", "name"))
    for fabric in fabrics:
        mine = [name for key, name in names.items() if key in wanted[fabric.pk]]
        fabric.search_text = fabric.folded_words(mine)
    # Through the queryset of fabrics, which ticks the shelf's clock.
    Fabric.objects.bulk_update(fabrics, ["search_text"], batch_size=200)


def _portions(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(keys), AT_ONCE):
        yield keys[start : start + AT_ONCE]
