"""What is done to a fabric itself; the cloth it has on the shelf is the ledger's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from stash.acts import act_of, key_of_act
from stash.journal.changes import change
from stash.models import Fabric, Photo, Tag

__all__ = [
    "describe_fabric",
    "set_value_by_hand",
]


@act_of("fabric.owner_id")
def describe_fabric(*, fabric: Fabric, facts: Mapping[str, Any], tag_names: Sequence[str]) -> None:
    """Save what the person says about the fabric, tags included."""
    if facts.get("bleed", fabric.bleed) != Fabric.objects.values_list("bleed").get(pk=fabric.pk)[0]:
        # The grade of a test that no longer holds goes with it.
        facts = {**facts, "bleed_grade": "", "bleed_span": "", "bleed_tested_on": None}
    tags = [Tag.objects.get_or_create(owner_id=fabric.owner_id, name=name)[0] for name in tag_names]
    change(fabric, act=key_of_act(), **facts, tags=tags)


@act_of("fabric.owner_id")
def set_value_by_hand(
    *, fabric: Fabric, lightness: float | None, uncertainty: float | None = None
) -> None:
    """Place the value by eye, or with None go back to what the photo says."""
    photo: Photo | None = fabric.main_photo
    reading = photo.reading if lightness is None and photo and photo.reading else {}
    change(
        fabric,
        act=key_of_act(),
        value=reading.get("value") if lightness is None else lightness,
        value_uncertainty=reading.get("uncertainty") if lightness is None else uncertainty,
        value_by_hand=lightness is not None,
    )
