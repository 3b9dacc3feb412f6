"""The judge of kills and races tells a deed that is whole from one that is not."""

from __future__ import annotations

import pytest

from tests.reliability.deeds import Deed, wrongs

KEY, BOOKED = "one", {"cutting": 1, "cut": 1, "returned": 2}


@pytest.mark.parametrize(
    ("answer", "spent", "there", "text"),
    [
        ("done", [KEY], BOOKED, ""),
        ("repeated", [KEY], BOOKED, ""),
        ("refused", [], {}, ""),
        ("", [], {}, ""),
        ("", [KEY], BOOKED, ""),
        ("done", [], {}, "acknowledged and not there"),
        ("repeated", [], {}, "acknowledged and not there"),
        ("refused", [KEY], BOOKED, "refused and there"),
        ("done", [KEY], {"cutting": 1, "cut": 1, "returned": 1}, "half there"),
        ("done", [KEY], {"cutting": 1, "cut": 2, "returned": 2}, "half there"),
        ("", [KEY], {"cut": 1, "returned": 2}, "half there"),
        ("", [], {"cut": 1}, "half there"),
        ("", [KEY], {}, "half there"),
    ],
)
def test_deed_is_whole_or_not_there(
    answer: str, spent: list[str], there: dict[str, int], text: str
) -> None:
    deed = Deed("book", key=KEY, effect=BOOKED, answer=answer)
    told = {"breaches": [], "spent": spent, "effects": {KEY: there} if there else {}}
    found = wrongs([deed], told)
    assert len(found) == bool(text)
    assert all(sentence.startswith(text) for sentence in found)


def test_breach_of_the_stash_is_wrong_whatever_the_deeds() -> None:
    assert wrongs(
        [], {"breaches": ["Piece 3 is longer than its rows."], "spent": [], "effects": {}}
    )
