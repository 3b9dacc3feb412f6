"""What the stash knows: fabrics, their pieces, places, photos and the ledger of movements."""

from stash.models.account import SetUpLink, SignInFailure
from stash.models.fabric import Fabric, Tag
from stash.models.identity import StashIdentity
from stash.models.intake import Draft, ShopTrip
from stash.models.movement import Movement
from stash.models.people import Preferences
from stash.models.photo import Photo
from stash.models.piece import Piece
from stash.models.place import Place
from stash.models.saved_search import SavedSearch
from stash.models.shelf_clock import ShelfClock
from stash.models.spent_key import SpentKey

__all__ = [
    "Draft",
    "Fabric",
    "Movement",
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
]
