"""Fit the table of stash/colour/words/tables/hues.py again, and print it.

Run from the top folder: python -m tests.benchmarks.colour_words.fit_hues > TABLE
Deterministic: same data, same table. Uses only the tuning half (tests/colour_words/judging.py).

A name asks for its head word; "blue green" asks for green 0.6 and blue 0.4, "bluish green" for
green 0.75 and blue 0.25. An ISCC-NBS name counts once by its centroid and once more by colours
spread over its block (blocks.py), because cloth is mostly as muted as those and the survey's
colours, seen on screens, are mostly vivid. The fit minimises the mean cross-entropy plus RIDGE
times the squares of all coefficients but the constants. Features, ridge and weights were chosen
by ten-fold cross-validation inside the tuning half.
"""

import sys

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from stash.colour.words import HUE_WORDS
from stash.colour.words.hues import hue_features
from tests.benchmarks.colour_words.blocks import block_colours
from tests.colour_words.judging import ISCC_NBS, XKCD, Named, labs_of, read_names

RIDGE = 3e-5


def wanted_shares(colour: Named) -> NDArray[np.float64]:
    shares = np.zeros(len(HUE_WORDS))
    shares[HUE_WORDS.index(colour.head)] = 1.0
    second, part = (colour.beside, 0.4) if colour.beside else (colour.adjective, 0.25)
    if second and second != colour.head:
        shares *= 1 - part
        shares[HUE_WORDS.index(second)] += part
    return shares


def fit(
    terms: NDArray[np.float64], shares: NDArray[np.float64], weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the coefficients, shape (terms, words), of the ridge multinomial logistic model."""
    weights = weights[:, None] / weights.sum()

    def loss(flat: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        table = flat.reshape(terms.shape[1], shares.shape[1])
        scores = terms @ table
        scores -= scores.max(axis=1, keepdims=True)
        total = np.exp(scores).sum(axis=1, keepdims=True)
        penalised = np.vstack([np.zeros_like(table[:1]), table[1:]])
        entropy = -float((weights * shares * (scores - np.log(total))).sum())
        slope = terms.T @ (weights * (np.exp(scores) / total - shares)) + 2 * RIDGE * penalised
        return entropy + RIDGE * float((penalised**2).sum()), slope.ravel()

    start = np.zeros(terms.shape[1] * shares.shape[1])
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 5000})
    return np.asarray(found.x.reshape(terms.shape[1], shares.shape[1]))


def fitted_table(survey: list[Named], system: list[Named]) -> NDArray[np.float64]:
    """Return the coefficients fitted to names of the survey and of ISCC-NBS with its blocks."""
    named = survey + system
    shares_of = {colour.name: wanted_shares(colour) for colour in system}
    labs, shares = [labs_of(named)], [np.array([wanted_shares(colour) for colour in named])]
    weights = [np.ones(len(named))]
    for name, inside in block_colours(set(shares_of)):
        labs.append(inside)
        shares.append(np.tile(shares_of[name], (len(inside), 1)))
        weights.append(np.full(len(inside), 1 / len(inside)))
    return fit(hue_features(np.vstack(labs)), np.vstack(shares), np.concatenate(weights))


def main() -> None:
    survey = [colour for colour in read_names(XKCD) if colour.tunes]
    system = [colour for colour in read_names(ISCC_NBS) if colour.tunes]
    table = fitted_table(survey, system)
    write = sys.stdout.write
    write(
        '"""The fitted table of the hue words, one row a term of `hues.hue_features`.\n\n'
        "Columns are HUE_WORDS. Fitted by tests/benchmarks/colour_words/fit_hues.py to the tuning\n"
        f"halves of two published sets: {len(survey)} names of the xkcd colour survey (2010, CC0)\n"
        f"and {len(system)} designations of the ISCC-NBS system (NBS Special Publication 440,\n"
        'public domain).\n"""\n\nimport numpy as np\n\nCOEFFICIENTS = np.array(\n    [\n'
    )
    for row in table:
        write("        [" + ", ".join(f"{number + 0.0:.2f}" for number in row) + "],\n")
    write("    ]\n)\n")


if __name__ == "__main__":
    main()
