"""What a test of a phone found, in plain words."""

from __future__ import annotations

import pytest

from stash.colour.phone_trial import Finding
from stash.photos.phone.telling import sentences, up


def a_finding(**changed: object) -> Finding:
    return Finding.from_dict(
        {
            "photos": 12,
            "spread": 0.2,
            "freedom": 9.0,
            "widest": "",
            "steady": 0.41,
            "shift": None,
            "bias": None,
            "pairs": 0,
            "unexplained": 0.0,
            "half_width": 0.41,
            **changed,
        }
    )


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, "within 0.6 of each other in 9 of 10 cases, by 12 photos"),
        ({"widest": "dark"}, "The photos of the dark cloth disagree more than the others"),
        ({"shift": 0.9}, "reads 0.9 lighter than filling the picture: its value moves with what"),
        ({"shift": 4.0}, "more than phones do by themselves: open both photos and look whether"),
        (
            {"shift": -0.2},
            "reads 0.2 darker than filling the picture, which is no more than two photos",
        ),
        ({"bias": 0.7, "pairs": 3, "unexplained": 0.31}, "the rest, 0.4, is added to the ±"),
        ({"bias": -0.1, "pairs": 1}, "in 1 photo, the photo card reads 0.1 darker, which chance"),
    ],
)
def test_result_is_told_in_plain_words(changed: dict[str, object], words: str) -> None:
    assert words in " ".join(sentences(a_finding(**changed)))


def test_half_widths_are_shown_rounded_up() -> None:
    assert [up(number) for number in (0.3, 0.31, 0.0, 1.2000000001)] == ["0.3", "0.4", "0.0", "1.2"]
