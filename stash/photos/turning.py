"""Turning a photo by a quarter: the picture is stored anew, what was set by hand turns with it."""

from __future__ import annotations

import hashlib
import uuid
from typing import Any, Literal

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from stash.acts import one_act
from stash.colour.picture.marks import Marks
from stash.colour.picture.region import Region
from stash.colour.similar import picture_hash
from stash.models import Photo
from stash.photos import store as photo_store
from stash.photos.acts import reread, stored_picture

__all__ = ["photo_turn", "turn", "turned_marks", "turned_region"]

Way = Literal["left", "right"]
_TURNED = ("key", "sha256", "picture_hash", "width", "height", "region", "marks", "reading")


def turned_region(region: dict[str, Any], way: Way) -> dict[str, Any]:
    """Return where an outline (fractions of the picture) lies after a quarter turn."""
    outline = Region.from_dict(region).outline
    return Region.outlined(_turned_point(corner, way) for corner in outline).to_dict()


def turned_marks(marks: dict[str, Any], way: Way) -> dict[str, Any]:
    """Return marks (points are fractions of the picture) after a quarter turn."""
    return {
        kind: [list(_turned_point(point, way)) for point in mark]
        if kind.endswith("_corners")
        else list(_turned_point(mark, way))
        if kind.endswith("_point")
        else mark
        for kind, mark in marks.items()
    }


def _turned_point(point: Any, way: Way) -> tuple[float, float]:
    x, y = point
    return (1 - y, x) if way == "right" else (y, 1 - x)


def turn(*, photo: Photo, way: Way) -> None:
    """Turn the stored picture by a quarter, and read it again.

    The new picture lies under a key of its own before the row says so; the old file is put aside
    afterwards. Raises PhotoFileMissing, StoreBusy and StoreFull; nothing is changed then.
    """
    with photo_store.decoding_turn():
        picture = stored_picture(photo).turned(-1 if way == "right" else 1)
        working, looks = picture.working_file(), picture_hash(picture)
    before = photo_store.name_of(photo)
    made = Photo(key=uuid.uuid4())
    photo_store.write_file(made, working)
    try:
        with one_act(photo.owner_id):
            row = Photo.objects.select_for_update().get(pk=photo.pk)
            row.key = made.key
            row.sha256 = hashlib.sha256(working).hexdigest()
            row.picture_hash = looks
            row.width, row.height = picture.size
            row.region = turned_region(row.region, way) if row.region else None
            row.marks = turned_marks(row.marks, way)
            if row.reading:
                read = turned_region(row.reading["region"], way)
                row.reading = {**row.reading, "region": read}
            row.save(update_fields=_TURNED)
    except BaseException:
        photo_store.drop_file(made)
        raise
    photo_store.forget_file(before)
    photo.refresh_from_db()
    reread(
        photo=photo,
        region=Region.from_dict(photo.region) if photo.region else None,
        marks=Marks.from_dict(photo.marks) if photo.marks else None,
        lender=photo.lender,
    )


@login_required
@require_POST
def photo_turn(request: HttpRequest, key: uuid.UUID) -> HttpResponse:
    """Turn a photo to the left or to the right."""
    photo = get_object_or_404(Photo.objects.owned_by(request.user), key=key)
    way: Way = "left" if request.POST.get("way") == "left" else "right"
    try:
        turn(photo=photo, way=way)
    except photo_store.PhotoFileMissing:
        messages.error(request, "The stored picture is missing, so it cannot be turned.")
    except photo_store.StoreBusy:
        messages.error(request, "Many photos are being read just now; look whether it is turned.")
    except photo_store.StoreFull:
        messages.error(request, "There is no room left to keep photos on the computer.")
    return redirect("stash:photo_reading", key=photo.key)
