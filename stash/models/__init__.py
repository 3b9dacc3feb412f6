"""What the stash knows: fabrics, their pieces, places, photos and the ledger of movements."""

from stash.models.change import Change
from stash.models.fabric import Fabric, Tag
from stash.models.identity import StashIdentity
from stash.models.intake import Draft, ShopTrip
from stash.models.listing import Listing
from stash.models.movement import Movement
from stash.models.people.account import SetUpLink, SignInFailure
from stash.models.people.budget import YearBudget
from stash.models.people.guest_link import GuestLink
from stash.models.people.preferences import Preferences
from stash.models.people.saved_search import SavedSearch
from stash.models.people.spent_key import SpentKey
from stash.models.phone_trial import PhoneTrial, TrialPhoto
from stash.models.photo import Photo
from stash.models.piece import Piece
from stash.models.place import Place
from stash.models.shelf_clock import ShelfClock

__all__ = [
    "Change",
    "Draft",
    "Fabric",
    "GuestLink",
    "Listing",
    "Movement",
    "PhoneTrial",
    "Photo",
    "Piece",
    "Place",
    "Preferences",
    "SavedSearch",
    "SetUpLink",
    "ShelfClock",
    "ShopTrip",
    "SignInFailure",
    "SpentKey",
    "StashIdentity",
    "Tag",
    "TrialPhoto",
    "YearBudget",
]
