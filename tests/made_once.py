"""What is the same for every test is worked out once in a process.

A photo's bytes, the print of the card and the views asked for decide all that is made of it
(`stash.colour.taking.take` has no other input), and most tests send the same few pictures. What a
client finds in the static folders is the same for each of the thousands of clients, too.
"""

import copy
import pickle
from collections import OrderedDict
from collections.abc import Mapping
from functools import wraps

from whitenoise.middleware import WhiteNoiseMiddleware

from stash.colour.references.card_print import CardPrint
from stash.colour.taking import Taken, View
from stash.photos.apart import reading as reading_apart

_MOST_PHOTOS = 64


def install() -> None:
    """Read each photo once, and look through the static folders once."""
    _remember_photos()
    _remember_static_files()


def _remember_photos() -> None:
    take = reading_apart.take
    known: OrderedDict[bytes, Taken] = OrderedDict()

    @wraps(take)
    def take_once(data: bytes, card_print: CardPrint, views: Mapping[str, View]) -> Taken:
        key = pickle.dumps((data, card_print, dict(views)))
        if key not in known:
            known[key] = take(data, card_print, views)
            if len(known) > _MOST_PHOTOS:
                known.popitem(last=False)
        return copy.deepcopy(known[key])  # nobody changes what the next test is given

    reading_apart.take = take_once


def _remember_static_files() -> None:
    find = WhiteNoiseMiddleware.add_files_from_finders
    known: dict[str, object] = {}

    @wraps(find)
    def find_once(self: WhiteNoiseMiddleware) -> None:
        if not known:
            find(self)
            known.update(self.files)
        self.files.update(known)

    WhiteNoiseMiddleware.add_files_from_finders = find_once
