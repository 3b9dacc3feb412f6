"""What a photo's file declared stays with the stored picture, for every later reading."""

import io

from django.contrib.auth.models import User
from PIL import Image

from stash.colour.picture.declared import Declared
from stash.photos import acts as photos
from tests.builders import make_fabric


def test_what_the_file_declared_is_there_for_the_next_reading(owner: User) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA401] = 1
    buffer = io.BytesIO()
    Image.new("RGB", (300, 200), (90, 120, 60)).save(buffer, "JPEG", exif=exif)
    photo = photos.add_to_fabric(owner=owner, fabric=make_fabric(owner), data=buffer.getvalue())
    photo.refresh_from_db()
    assert photos.stored_picture(photo).declared == Declared(is_custom_rendered=True)
