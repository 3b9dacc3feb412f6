"""Finders may fail at pictures that nobody thought of: they have then found nothing."""

import logging
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

import cv2

__all__ = ["FAULTS", "found_nothing_if_it_fails"]

P = ParamSpec("P")
T = TypeVar("T")

logger = logging.getLogger(__name__)

#: What finders throw at odd pictures; ValueError has LinAlgError with it.
FAULTS = (cv2.error, MemoryError, ValueError, ArithmeticError, IndexError)


def found_nothing_if_it_fails(
    nothing: T, *, looking_for: str
) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Make a function answer `nothing` where it fails with one of FAULTS; the log says why.

    Parameters
    ----------
    nothing : what the function answers where it finds nothing
    looking_for : what is looked for, in words for the log
    """

    def guard(look: Callable[P, T]) -> Callable[P, T]:
        @wraps(look)
        def guarded(*args: P.args, **kwargs: P.kwargs) -> T:
            try:
                return look(*args, **kwargs)
            except FAULTS:
                logger.warning("looking for %s failed", looking_for, exc_info=True)
                return nothing

        return guarded

    return guard
