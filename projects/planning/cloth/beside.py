"""Cloth that does not do well beside other cloth in one quilt, told before it is cut.

Pure: what is known of each cloth goes in, sentences with their reasons come out. Every rule is
common practice, no source, unless one is named beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from stash.washing.care import FIBRE_REASONS

__all__ = ["LIGHT_FROM", "ClothFacts", "Warned", "brittle_word", "warnings_of"]

#: From this value on, of 0 to 10, cloth counts as light: the upper third, as in the lists.
LIGHT_FROM = 20 / 3

Washing = Literal["washed", "unwashed", "precut"]

_BRITTLE = re.compile(
    r"\b(brittle|fragile|frail|rotten|rotted|sun-rotted|shattered|perished|threadbare)\b", re.I
)
_MOST_NAMES = 4


@dataclass(frozen=True, kw_only=True)
class ClothFacts:
    """What of a cloth matters to its neighbours.

    ``value`` runs from 0 to 10; nothing where it was not read. ``washing`` is how its pieces come
    under the knife. ``brittle`` is the word that somebody wrote of its state.
    """

    key: int
    name: str
    bleeds: bool = False
    value: float | None = None
    washing: frozenset[Washing] = frozenset()
    fibres: frozenset[str] = frozenset()
    brittle: str = ""


@dataclass(frozen=True, kw_only=True)
class Warned:
    """A sentence with its reason, a few words for a small place, and the cloth that is meant."""

    kind: Literal["bleeds", "washing", "fibre", "brittle"]
    sentence: str
    short: str
    keys: frozenset[int]


def brittle_word(*texts: str) -> str:
    """The first word in these texts that says cloth does not hold, or nothing."""
    found = (_BRITTLE.search(text) for text in texts)
    return next((match[1].lower() for match in found if match), "")


def warnings_of(cloths: Sequence[ClothFacts]) -> tuple[Warned, ...]:
    """Everything that these cloths of one quilt should not meet without a thought."""
    return (*_bleeding(cloths), *_washing(cloths), *_fibres(cloths), *_brittle(cloths))


def _bleeding(cloths: Sequence[ClothFacts]) -> Iterable[Warned]:
    """That dye moves onto light cloth in the wash; reds, purples, navies and hand-dyes most."""
    for bleeder in cloths:
        others = [cloth for cloth in cloths if cloth.key != bleeder.key and not cloth.bleeds]
        light = [cloth for cloth in others if cloth.value is not None and cloth.value >= LIGHT_FROM]
        if not bleeder.bleeds or not light:
            continue
        yield Warned(
            kind="bleeds",
            sentence=(
                f"{bleeder.name} bleeds, and {_names(light)} {_is(light)} light: its dye may stain"
                " what lies beside it at the first wash. Wash it apart until the water stays clear"
                " and test it again, or choose other cloth."
            ),
            short=f"{bleeder.name} bleeds beside light {_names(light)}",
            keys=frozenset({bleeder.key, *(cloth.key for cloth in light)}),
        )


def _washing(cloths: Sequence[ClothFacts]) -> Iterable[Warned]:
    """That unwashed cloth shrinks at the quilt's first wash and washed cloth does not."""
    washed = [cloth for cloth in cloths if "washed" in cloth.washing]
    for state, what in (("unwashed", "cut unwashed"), ("precut", "a precut, which is not washed")):
        rest = [cloth for cloth in cloths if state in cloth.washing]
        if not washed or not rest:
            continue
        yield Warned(
            kind="washing",
            sentence=(
                f"{_names(washed)} {_is(washed)} washed before cutting and {_names(rest)}"
                f" {_is(rest)} {what}: the one shrinks at the quilt’s first wash and the other"
                " does not, so that seams between them pucker."
                + (" Wash all of it or none." if state == "unwashed" else "")
            ),
            short=f"washed {_names(washed)} beside unwashed {_names(rest)}",
            keys=frozenset(cloth.key for cloth in (*washed, *rest)),
        )


def _fibres(cloths: Sequence[ClothFacts]) -> Iterable[Warned]:
    """That fibres differ in how they wash, iron and wear; most quilts are of plant fibre."""
    known = [cloth for cloth in cloths if cloth.fibres]
    kinds = set().union(*(cloth.fibres for cloth in known))
    if len(kinds) < 2:
        return
    for kind in sorted(kinds - {"plant fibre"}):
        odd = [cloth for cloth in known if kind in cloth.fibres]
        others = [cloth for cloth in known if cloth.fibres != {kind} and cloth not in odd]
        beside = f"beside {_names(others)}" if others else "in part"
        yield Warned(
            kind="fibre",
            sentence=(
                f"{_names(odd)} {_is(odd)} {kind} {beside}: {FIBRE_REASONS[kind]}. Wash and press"
                " the quilt as the most delicate of its cloths asks."
            ),
            short=f"{_names(odd)} {_is(odd)} {kind} {beside}",
            keys=frozenset(cloth.key for cloth in (*odd, *others)),
        )


def _brittle(cloths: Sequence[ClothFacts]) -> Iterable[Warned]:
    """That weak cloth tears at the seam of sound cloth."""
    for cloth in cloths:
        if cloth.brittle:
            yield Warned(
                kind="brittle",
                sentence=(
                    f"{cloth.name} is noted as “{cloth.brittle}”: beside sound cloth it is the"
                    " first to tear at the seams. Pull a corner of it before the first cut; back"
                    " it or leave it out where it gives."
                ),
                short=f"{cloth.name} is noted as “{cloth.brittle}”",
                keys=frozenset({cloth.key}),
            )


def _names(cloths: Sequence[ClothFacts]) -> str:
    names = [cloth.name for cloth in cloths]
    if len(names) > _MOST_NAMES:
        names = [*names[: _MOST_NAMES - 1], f"{len(names) - _MOST_NAMES + 1} others"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _is(cloths: Sequence[ClothFacts]) -> str:
    return "is" if len(cloths) == 1 else "are"
