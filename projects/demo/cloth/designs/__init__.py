"""The designs that the painter knows, by name. Each prints one repeat on a sheet."""

from collections.abc import Callable

from ..recipe import Recipe
from ..sheet import Sheet
from . import botanical, geometric, pictorial, plain, woven

DESIGNS: dict[str, Callable[[Sheet, Recipe], None]] = {
    **plain.DESIGNS,
    **woven.DESIGNS,
    **geometric.DESIGNS,
    **botanical.DESIGNS,
    **pictorial.DESIGNS,
}
