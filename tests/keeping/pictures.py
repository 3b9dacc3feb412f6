"""Photos that nobody looks at: a row and a file with its hash, without the work of reading one."""

import hashlib
import secrets

from django.contrib.auth.models import User

from stash.models import Photo
from stash.photos import store as photo_store

__all__ = ["plain_photo"]


def plain_photo(owner: User, data: bytes = b"") -> Photo:
    """Return a stored photo with these bytes, or with some that no other has."""
    data = data or secrets.token_bytes(32)
    photo = Photo(owner=owner, sha256=hashlib.sha256(data).hexdigest(), width=1, height=1)
    photo_store.write_file(photo, data)
    photo.save()
    return photo
