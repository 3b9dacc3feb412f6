"""What a search can ask of a fabric: each condition is a mask over the columns.

``source`` is what the person typed for it, so that it can be taken out again; ``label`` is what
was understood.
"""

from stash.finding.conditions.base import Condition, Mask
from stash.finding.conditions.colours import LEAST_SHARE, Colour, HueBetween, WithColour, is_neutral
from stash.finding.conditions.facts import DirectionIs, ForProject, Named, ScaleIs, Washed, Word
from stash.finding.conditions.logic import AllOf, AnyOf, NameFirst, Not, Ordered
from stash.finding.conditions.pieces import (
    ABOUT_FREE_CLOTH,
    Amount,
    AmountAtMost,
    Available,
    Favourite,
    FormIs,
    FromShop,
    Holds,
    InPlace,
    NotPromised,
    Unused,
    Yields,
)
from stash.finding.conditions.value import SAME_VALUE, Measured, NearValue, Third, ValueBetween

__all__ = [
    "ABOUT_FREE_CLOTH",
    "LEAST_SHARE",
    "SAME_VALUE",
    "AllOf",
    "Amount",
    "AmountAtMost",
    "AnyOf",
    "Available",
    "Colour",
    "Condition",
    "DirectionIs",
    "Favourite",
    "ForProject",
    "FormIs",
    "FromShop",
    "Holds",
    "HueBetween",
    "InPlace",
    "Mask",
    "Measured",
    "NameFirst",
    "Named",
    "NearValue",
    "Not",
    "NotPromised",
    "Ordered",
    "ScaleIs",
    "Third",
    "Unused",
    "ValueBetween",
    "Washed",
    "WithColour",
    "Word",
    "Yields",
    "is_neutral",
]
