"""Every page of the site as it is looked at: the list behind pictures and measures of pages.

A route without arguments is shown as it stands. What one with arguments is about is told by
USUALLY, or by a row of its own in ABOUT; a page that has more than one state has a row for each
further one in STATES. `tests/setup/test_pages_shown.py` refuses a route of which nothing tells it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib.auth.models import User
from django.db.models import Count
from django.urls import reverse

from projects.models import Audition, Part, Project, Purchase, SquareSet
from stash.models import Draft, Fabric, Listing, Photo, Piece, Place, ShopTrip, TrialPhoto
from tests.access.matrix import arguments_of

__all__ = ["ABOUT", "NO_PAGES", "STATES", "Shown", "about_of", "pages_shown"]


@dataclass(frozen=True)
class Shown:
    """One page in one state: the name of its picture, and its address with its question.

    is_paper: it is made to be printed, and as long as what is printed.
    """

    name: str
    address: str
    is_paper: bool = False


def _fabric(owner: User) -> Fabric | None:
    """The fabric with the most to show: photos and pieces."""
    counted = Fabric.objects.owned_by(owner).filter(removed_at=None, merged_into=None)
    counted = counted.annotate(there=Count("pieces", distinct=True))
    return counted.order_by("-there", "pk").first()


def _photo(owner: User) -> Photo | None:
    return Photo.objects.filter(owner=owner, fabric__isnull=False).order_by("pk").first()


def _piece(owner: User) -> Piece | None:
    return Piece.objects.on_shelf().filter(owner=owner).order_by("-length", "pk").first()


def _project(owner: User) -> Project | None:
    """The project with the most fabrics in it."""
    mine = Project.objects.filter(owner=owner, removed_at=None)
    return mine.annotate(cloth=Count("parts__fabrics")).order_by("-cloth", "pk").first()


def _drawn(owner: User) -> Project | None:
    mine = Project.objects.filter(owner=owner, removed_at=None, drawing__isnull=False)
    return mine.order_by("pk").first()


def _short(owner: User) -> Part | None:
    mine = Part.objects.filter(project__owner=owner, project__removed_at=None)
    return mine.filter(coverage__verdict="short").order_by("pk").first()


def _part(owner: User) -> Part | None:
    """The part with the most fabrics."""
    mine = Part.objects.filter(project__owner=owner, project__removed_at=None)
    return mine.annotate(cloth=Count("fabrics")).order_by("-cloth", "pk").first()


def _its_key(find: Callable[[User], Any], name: str = "pk") -> About:
    def about(owner: User) -> dict[str, Any] | None:
        found = find(owner)
        return None if found is None else {name: found.pk}

    return about


def _of_part(find: Callable[[User], Part | None]) -> About:
    def about(owner: User) -> dict[str, Any] | None:
        part = find(owner)
        return None if part is None else {"pk": part.project_id, "part": part.pk}

    return about


def _oldest(model: Any, **conditions: Any) -> About:
    def about(owner: User) -> dict[str, Any] | None:
        found = model.objects.filter(owner=owner, **conditions).order_by("pk").first()
        return None if found is None else {"pk": found.pk}

    return about


def _photo_key(owner: User) -> dict[str, Any] | None:
    photo = _photo(owner)
    return None if photo is None else {"key": photo.key}


def _shot_key(owner: User) -> dict[str, Any] | None:
    shot = TrialPhoto.objects.owned_by(owner).select_related("photo").order_by("pk").first()
    return None if shot is None else {"key": shot.photo.key}


def _history(owner: User) -> dict[str, Any] | None:
    fabric = _fabric(owner)
    return None if fabric is None else {"kind": "fabric", "pk": fabric.pk}


def _purchase(owner: User) -> dict[str, Any] | None:
    found = Purchase.objects.filter(part__project__owner=owner, piece=None).order_by("pk").first()
    return None if found is None else {"purchase": found.pk}


#: What a route with arguments is about; nothing where the stash has no such thing.
About = Callable[[User], dict[str, Any] | None]
ABOUT: Mapping[str, About] = {
    "projects:mend": _of_part(_short),
    "projects:put_on_shelf": _purchase,
    "projects:quilt": _its_key(_drawn),
    "projects:quilt_cut_list": _its_key(_drawn),
    "projects:quilt_paper": _its_key(_drawn),
    "stash:draft_by_eye": _oldest(Draft, removed_at=None, fabric=None),
    "stash:history": _history,
    "stash:listing": _oldest(Listing, removed_at=None),
    "stash:phone_shot": _shot_key,
    "stash:photo_reading": _photo_key,
    "stash:piece": _its_key(_piece),
    "stash:place_edit": _oldest(Place),
    "stash:trip": _oldest(ShopTrip),
}

#: The same for every other route of a room, by the names of its arguments; rooms that are not named
#: here are about projects.
USUALLY: Mapping[tuple[str, str], About] = {
    ("auditions", "pk"): _oldest(Audition, removed_at=None),
    ("projects", "pk"): _its_key(_project),
    ("projects", "part pk"): _of_part(_part),
    ("squares", "pk"): _oldest(SquareSet, removed_at=None),
    ("stash", "pk"): _its_key(_fabric),
}


def about_of(route: str) -> About | None:
    """What the route is about, if anything says so."""
    if route in ABOUT:
        return ABOUT[route]
    room, arguments = route.partition(":")[0], " ".join(sorted(arguments_of(route)))
    if not arguments:
        return _nothing
    return USUALLY.get((room, arguments)) or USUALLY.get(("projects", arguments))


def _nothing(owner: User) -> dict[str, Any]:
    return {}


#: What answers to GET and is no page to look at.
NO_PAGES = {
    "accounts:backup_newest": "a file",
    "accounts:export": "a file",
    "accounts:set_up": "its link works once and lies with whoever runs the site",
    "accounts:sign_in": "leads on whoever is signed in",
    "auditions:picture": "a picture",
    "auditions:screen": "asked for by other pages",
    "health": "for programs",
    "metrics": "for programs",
    "projects:answers": "a part of a page",
    "projects:beside": "leads to the project's page",
    "projects:beside_waits": "a part of a page",
    "projects:part_answer": "a part of a page",
    "projects:picture": "a part of a page",
    "projects:picture_jpg": "a picture",
    "projects:quilt_png": "a picture",
    "projects:quilt_preview": "a part of a page",
    "projects:quilt_svg": "a picture",
    "ready": "for programs",
    "squares:picture": "a picture",
    "stash:card_calibrate_by_hand": "after a photo of the card that was not read",
    "stash:bin": "leads to what is deleted",
    "stash:draft": "leads to its trip",
    "stash:fabric_bit": "a picture",
    "stash:fabric_seen": "a picture",
    "stash:fabric_tile": "a picture",
    "stash:guest": "its address is signed; see guests_see",
    "stash:guest_cloth": "a picture",
    "stash:guest_picture": "a picture",
    "stash:look": "for who looks after the site",
    "stash:manifest": "for the browser",
    "stash:map_picture": "a picture",
    "stash:photo": "a picture",
    "stash:photo_card_pdf": "to print",
    "stash:photo_frame_pdf": "to print",
    "stash:pocket_home": "for a phone without a network",
    "stash:pocket_saved": "a file",
    "stash:service_worker": "for the browser",
    "stash:shared_photos": "leads to its trip",
}


@dataclass(frozen=True)
class State:
    """A page with a question, or about something else than usual."""

    name: str
    route: str
    query: Mapping[str, str] | Callable[[User], Mapping[str, str]] | None = None
    about: About | None = None
    is_paper: bool = False

    def asked(self, owner: User) -> str:
        """The question behind the address."""
        query = self.query(owner) if callable(self.query) else self.query
        return f"?{urlencode(query)}" if query else ""


def _without_cloth(owner: User) -> Project | None:
    mine = Project.objects.filter(owner=owner, removed_at=None)
    return mine.annotate(cloth=Count("parts__fabrics")).order_by("cloth", "-pk").first()


def _no_photo(owner: User) -> Fabric | None:
    mine = Fabric.objects.owned_by(owner).filter(removed_at=None, main_photo=None)
    return mine.order_by("pk").first()


def _estimated(owner: User) -> Fabric | None:
    mine = Fabric.objects.owned_by(owner).filter(removed_at=None, reference="none")
    return mine.exclude(main_photo=None).order_by("pk").first()


def _with_one(owner: User) -> dict[str, str]:
    fabric = _fabric(owner)
    return {} if fabric is None else {"with": str(fabric.pk)}


def _all_of_a_place(owner: User) -> dict[str, str]:
    place = Place.objects.filter(owner=owner).order_by("pk").first()
    return {} if place is None else {"all_in": str(place.pk)}


def _labels_of_one(owner: User) -> dict[str, str]:
    fabric = _fabric(owner)
    return {} if fabric is None else {"fabric": str(fabric.pk)}


STATES = (
    State("shelf-dark-blue", "stash:shelf", {"words": "dark blue"}),
    State("shelf-grey", "stash:shelf", {"view": "grey"}),
    State("shelf-second-page", "stash:shelf", {"page": "2"}),
    State("shelf-nothing", "stash:shelf", {"words": "transparent wool"}),
    State("movements-of-a-kind", "stash:movements", {"kind": "cut"}),
    State("value-line-blue", "stash:value_line", {"words": "blue"}),
    State("goes-with-one", "stash:goes_with", _with_one),
    State("ticked-all-of-a-place", "stash:ticked", _all_of_a_place),
    State("labels-of-one", "stash:labels", _labels_of_one, is_paper=True),
    State("value-of-every-piece", "stash:value_report", {"pieces": "yes"}, is_paper=True),
    State("trip-as-a-list", "stash:trip", {"view": "list"}),
    State("fabrics-proposed", "projects:fabrics", {"ask": "yes"}),
    State("fabric-estimated", "stash:fabric", about=_its_key(_estimated)),
    State("fabric-without-photo", "stash:fabric", about=_its_key(_no_photo)),
    State("project-empty", "projects:project", about=_its_key(_without_cloth)),
    State("part-short", "projects:part", about=_of_part(_short)),
    State("what-if-short", "projects:what_if", about=_of_part(_short)),
)


def pages_shown(owner: User, routes: list[str]) -> list[Shown]:
    """Return each page of these routes that this person's stash can show, and its states."""
    found = []
    for route in routes:
        about = None if route in NO_PAGES else about_of(route)
        kwargs = about and about(owner)
        if kwargs is not None:
            found.append(Shown(_named(route), reverse(route, kwargs=kwargs)))
    for state in STATES:
        about = (state.about or about_of(state.route)) if state.route in routes else None
        kwargs = about and about(owner)
        if kwargs is not None:
            address = reverse(state.route, kwargs=kwargs) + state.asked(owner)
            found.append(Shown(state.name, address, state.is_paper))
    return found


def _named(route: str) -> str:
    return route.replace(":", "-").replace("_", "-")
