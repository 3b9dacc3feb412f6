"""Photos beside a window: how near the value comes to the truth where light falls off.

Paints demo fabrics, whose far colours are known, with the photo card in a corner; reads each once
in the light that falls off beside a window and once in the nearly even light of the demo.

    python -m tests.benchmarks.colour.window [--every 4]
"""

import argparse
from dataclasses import replace

import numpy as np

from projects.demo.cloth import Recipe, paint
from projects.demo.recipes import RECIPES, with_card
from stash.colour.picture.photo import decode_photo
from stash.colour.reading import read_picture
from tests.benchmarks.colour.accuracy import say


def measure(recipes: list[Recipe]) -> tuple[int, float, float, float]:
    """Return how many showed the card, mean and 95th percentile of |dL*|, share inside +-."""
    off, half = [], []
    for recipe in recipes:
        cloth = paint(recipe)
        appearance = read_picture(decode_photo(cloth.photo))
        if appearance.reference == "photo card":
            off.append(abs(appearance.far[0] - cloth.true_lab[0]))
            half.append(10 * appearance.uncertainty)
    inside = np.array(off) <= np.array(half)
    return len(off), float(np.mean(off)), float(np.quantile(off, 0.95)), float(inside.mean())


def main() -> None:
    """Print one line for each light."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--every", type=int, default=4, help="use every so many of the fabrics")
    every = parser.parse_args().every
    laid = [with_card(recipe) for recipe in RECIPES[::every] if recipe.scene != "pinked"]
    for name, evenly in (("beside a window", 0.0), ("nearly even", 0.75)):
        shown = measure([replace(sample, evenly=evenly) for sample in laid])
        say("{}: {} with card, dL* {:.2f} / {:.2f}, inside {:.0%}".format(name, *shown))


if __name__ == "__main__":
    main()
