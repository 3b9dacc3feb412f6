"""A stash of any size with invented cloth, to see how finding fares with many fabrics."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any

import numpy as np
from django.contrib.auth.models import User
from django.db import transaction

from stash.colour.words import describe_many
from stash.lengths import INCH, YARD
from stash.management.stash_command import StashCommand
from stash.models import Fabric, Movement, Piece, Place
from stash.models.movement import Kind

_SEED = 2026
_BATCH = 5_000
_PIECES_PER_FABRIC = 1.3
_FIRST = "Harbour Orchard Meadow Lantern Quarry Bramble Willow Saltmarsh Ember Thistle Kestrel Loft"
_SECOND = "Rain Dots Leaves Stripe Check Sprigs Waves Vines Crosshatch Petals Pebbles Plain"
_FIBRES = ("cotton", "cotton", "cotton", "cotton", "linen", "cotton and linen", "flannel cotton")
_SHOPS = ("", "Corner shop", "Market stall", "Mill sale", "Swap table")
# (form, width, length, how often); lengths of yardage are drawn in eighths of a yard.
_FORMS = (
    ("yardage", 42 * INCH, YARD, 0.56),
    ("fat quarter", 21 * INCH, 18 * INCH, 0.24),
    ("fat eighth", 21 * INCH, 9 * INCH, 0.06),
    ("square", 5 * INCH, 5 * INCH, 0.05),
    ("strip", 42 * INCH, 5 * INCH // 2, 0.04),
    ("scrap", 9 * INCH, 7 * INCH, 0.05),
)


class Command(StashCommand):
    help = "Add many invented fabrics to a person's stash; the same call always adds the same."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("owner", help="whose stash; the account must exist")
        parser.add_argument("--fabrics", type=int, default=100_000, help="how many (100000)")

    def handle(self, *args: Any, **options: Any) -> None:
        owner = User.objects.filter(username=options["owner"]).first()
        if owner is None:
            self.stderr.write(f"Nobody here is called “{options['owner']}”.")
            sys.exit(2)
        if not 1 <= options["fabrics"] <= 1_000_000:
            self.stderr.write(f"{options['fabrics']} fabrics? Say a number from 1 to 1000000.")
            sys.exit(2)
        pieces = fill(owner, options["fabrics"])
        self.stdout.write(f"Added {options['fabrics']} fabrics and {pieces} pieces.")


@transaction.atomic
def fill(owner: Any, count: int) -> int:
    """Add fabrics with pieces and their ledger rows; return how many pieces there are."""
    random = np.random.default_rng(_SEED)
    places = [
        Place.objects.get_or_create(owner=owner, inside=None, name=f"Rack {number}")[0]
        for number in range(1, 25)
    ]
    made = 0
    for start in range(0, count, _BATCH):
        size = min(_BATCH, count - start)
        fabrics = Fabric.objects.bulk_create(_fabrics(owner, random, start, size))
        pieces = Piece.objects.bulk_create(_pieces(fabrics, places, random))
        Movement.objects.bulk_create(_acquired(piece) for piece in pieces)
        made += len(pieces)
    return made


def _colours(random: np.random.Generator, size: int) -> np.ndarray[Any, Any]:
    """Cloth colours: many are soft, few are full, and the hues are not evenly kept."""
    lightness = np.clip(random.normal(55, 22, size), 6, 96)
    most = 1 - np.abs(lightness - 55) / 60
    chroma = random.gamma(1.8, 13, size).clip(0, 90) * most
    hue = np.deg2rad(random.choice([20, 60, 95, 150, 250, 300], size) + random.normal(0, 22, size))
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=1)


def _fabrics(owner: Any, random: np.random.Generator, start: int, size: int) -> Iterator[Fabric]:
    far = _colours(random, size)
    words = describe_many(far)
    accents = far[:, None] + random.normal(0, 12, (size, 3, 3))
    accents[..., 0] = accents[..., 0].clip(3, 97)
    first, second = _FIRST.split(), _SECOND.split()
    for i in range(size):
        number = start + i
        lab = [round(float(part), 3) for part in far[i]]
        prints = second[number // len(first) % len(second)]
        fibre = _FIBRES[number % len(_FIBRES)]
        name = f"{first[number % len(first)]} {prints} {number // 144 + 1}"
        fabric = Fabric(
            owner=owner,
            name=name,
            fibre=fibre,
            print_words=prints.lower(),
            direction="one-way"
            if prints == "Vines"
            else "stripe"
            if prints == "Stripe"
            else "none",
            prewashed=(None, True, False)[number % 3],
            far_l=lab[0],
            far_a=lab[1],
            far_b=lab[2],
            near_l=lab[0],
            near_a=lab[1],
            near_b=lab[2],
            value=lab[0] / 10,
            value_uncertainty=0.8,
            reference="none" if number % 2 else "grey card",
            palette=_palette(lab, accents[i][: number % 4]),
            colour_name=words[i].name,
        )
        fabric.search_text = fabric.folded_words()
        yield fabric


def _palette(lab: list[float], accents: Any) -> list[dict[str, Any]]:
    share = 0.12
    rest = [
        {"lab": [round(float(part), 3) for part in accent], "share": share} for accent in accents
    ]
    return [{"lab": lab, "share": 1 - share * len(rest)}, *rest]


def _pieces(
    fabrics: list[Fabric], places: list[Place], random: np.random.Generator
) -> Iterator[Piece]:
    counts = 1 + random.poisson(_PIECES_PER_FABRIC - 1, len(fabrics))
    kinds = random.choice(len(_FORMS), int(counts.sum()), p=[form[3] for form in _FORMS])
    at = 0
    for fabric, count in zip(fabrics, counts, strict=True):
        for _ in range(count):
            form, width, length, _share = _FORMS[kinds[at]]
            at += 1
            copies = 1
            if form == "yardage":
                width = (40 + at % 5) * INCH
                length = YARD // 8 * (1 + int(random.gamma(2, 4)))
            elif form in ("square", "strip"):
                copies = 1 + at % 40
            yield Piece(
                owner_id=fabric.owner_id,
                fabric=fabric,
                form=form,
                width=width,
                length=length,
                count=copies,
                place=places[at % len(places)],
                favourite=at % 50 == 0,
                bought_where=_SHOPS[at % len(_SHOPS)],
            )


def _acquired(piece: Piece) -> Movement:
    return Movement(
        owner_id=piece.owner_id,
        piece=piece,
        kind=Kind.ACQUIRED,
        width_delta=piece.width,
        length_delta=piece.length,
        count_delta=piece.count,
    )
