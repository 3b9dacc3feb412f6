"""What a file declares about how its picture was made, by the numbers of Exif (CIPA DC-008)."""

import pytest
from PIL import Image

from stash.colour.picture.declared import Declared
from stash.colour.picture.photo import decode_photo
from tests.colour.photo_corpus import enc, quad

FACTS = (
    ({}, Declared()),
    ({0xA401: 0}, Declared(is_custom_rendered=False)),
    ({0xA401: 1, 0xA406: 3}, Declared(is_custom_rendered=True, scene="night")),
    ({0xA460: 3}, Declared(is_composite=True)),
    ({0xA460: 0, 0xA406: 77}, Declared(scene="other")),
    ({0xA401: "odd", 0xA406: b"\xff", 0xA460: (1, 2)}, Declared()),
)


@pytest.mark.parametrize(("tags", "declared"), FACTS)
@pytest.mark.filterwarnings("ignore:.*EXIF.*")
def test_facts_are_read_and_come_back_from_json(
    tags: dict[int, object], declared: Declared
) -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8769).update(tags)
    picture = decode_photo(enc(quad(), "JPEG", exif=exif))
    assert picture.declared == declared
    assert not picture.is_linear
    assert Declared.from_dict(declared.to_dict()) == declared


def test_what_a_later_version_declares_is_passed_over() -> None:
    assert Declared.from_dict({"is_linear": True, "is_new": 1}) == Declared(is_linear=True)
