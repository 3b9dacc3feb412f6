"""“Do I own this?” from a photo without a card: at which place the fabric itself comes.

Each fabric of the demo is photographed once as the demo tells it, and once more bare: another
part of the print, turned by any angle, from 0.6 to 1.6 times as far, under a lamp or a cloudy
sky, brighter or darker. The second photos ask among all first ones. By colour alone, by print
alone and by both; prints and plain cloth apart, because plain cloth has only its colour.

Run: .venv/bin/python -m tests.benchmarks.colour.own_this [how many]
"""

import sys
from collections.abc import Sequence

import numpy as np

from projects.demo.cloth.paint import paint
from projects.demo.recipes import RECIPES
from stash.colour.appearance import Appearance
from stash.colour.picture.photo import decode_photo
from stash.colour.print_likeness import Gradients, print_gradients
from stash.colour.reading import read_picture
from stash.colour.shop_question import Known, Ranked, ranked
from tests.colour.shop_photos import second_photo


def known_of(key: str, read: Appearance, gradients: Gradients) -> Known:
    """Return a reading as the ranking knows it."""
    return Known(
        key=key,
        far=read.far,
        palette=read.palette,
        uncertainty=read.uncertainty,
        gradients=gradients,
    )


def place_of(key: str, order: Sequence[Ranked]) -> int:
    """Return at which place, counted from 1, the fabric comes; past the end where it is not."""
    keys = [ranking.key for ranking in order]
    return keys.index(key) + 1 if key in keys else len(keys) + 1


def main() -> None:
    """Print, for prints and for plain cloth, how often the fabric comes first and among three."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else len(RECIPES)
    rng = np.random.default_rng(12)
    shelf, asked = [], []
    for recipe in RECIPES[:most]:
        first = decode_photo(paint(recipe).photo)
        read = read_picture(first)
        shelf.append(known_of(recipe.name, read, print_gradients(first, read.region)))
        again = second_photo(recipe, rng)
        read = read_picture(again)
        asked.append(known_of(recipe.name, read, print_gradients(again, read.region)))
    places: dict[str, list[int]] = {"prints": [], "plain": []}
    for question in asked:
        kind = "prints" if question.gradients is not None and len(question.gradients) else "plain"
        order = ranked(question, shelf)
        places[kind].append(place_of(str(question.key), order))
        if places[kind][-1] > 3:
            sys.stdout.write(f"{question.key}: place {places[kind][-1]}, after {order[0].key}\n")
    for kind, found in places.items():
        if found:
            told = np.array(found)
            sys.stdout.write(
                f"{kind}: {len(found)} asked among {len(shelf)}, first {np.mean(told == 1):.3f}, "
                f"among three {np.mean(told <= 3):.3f}, worst {told.max()}\n"
            )


if __name__ == "__main__":
    main()
