"""The colour-science library, imported only when a chart needs it: it takes half a second."""

import warnings
from functools import cache
from importlib import import_module
from types import ModuleType


@cache
def colour_science() -> ModuleType:
    """Return the imported colour-science library, without its remark that it cannot draw plots.

    Notes
    -----
    The first call takes half a second; call it only where a chart needs it.
    """
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message='"Matplotlib" related')
        return import_module("colour")
