"""Odd, broken and hostile photo files of every kind, made here, each with what must come of it.

They add to the corpus of `tests.colour.photo_corpus`. A file is made when it is asked for, and
`is_quick` says that this takes no large picture.
"""

from __future__ import annotations

from tests.reliability.photo_files.cases import EITHER, READ, REFUSED, Case
from tests.reliability.photo_files.changed import mutants
from tests.reliability.photo_files.claims import claims, cut, other_formats, proportions
from tests.reliability.photo_files.jpeg import bad_exif, jpegs, turned
from tests.reliability.photo_files.limits import bombs, limits
from tests.reliability.photo_files.png import bad_pngs, pngs
from tests.reliability.photo_files.profiles import profiles
from tests.reliability.photo_files.webp_heif import heifs, webps

__all__ = ["EITHER", "READ", "REFUSED", "Case", "all_cases", "mutants"]


def all_cases() -> tuple[Case, ...]:
    """Return every file, none of them made yet."""
    cases = (
        *jpegs(),
        *turned(),
        *bad_exif(),
        *profiles(),
        *pngs(),
        *bad_pngs(),
        *webps(),
        *heifs(),
        *other_formats(),
        *claims(),
        *proportions(),
        *cut(),
        *limits(),
        *bombs(),
    )
    names = [case.name for case in cases]
    assert len(names) == len(set(names)), "two files have one name"
    return cases
