"""A painter of invented fabrics and of the photos a phone would take of them."""

from .paint import paint
from .recipe import PaintedCloth, Recipe

__all__ = ["PaintedCloth", "Recipe", "paint"]
