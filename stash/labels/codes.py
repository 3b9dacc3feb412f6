"""Codes that a phone's camera reads: QR Code, ISO/IEC 18004, drawn as one path."""

from __future__ import annotations

from dataclasses import dataclass

import segno

__all__ = ["Code", "code_of"]

#: Light modules round the code that a reader needs, as the standard asks for.
_QUIET = 4


@dataclass(frozen=True, kw_only=True)
class Code:
    """A drawn code: the side of its box and the path of its dark modules, one unit a module."""

    side: int
    path: str


def code_of(address: str) -> Code:
    """Return the code that leads to this address; a quarter of it may be scratched."""
    made = segno.make(address, error="q", micro=False, boost_error=False)
    steps = []
    for y, row in enumerate(made.matrix):
        for x, is_dark in enumerate(row):
            if is_dark:
                steps.append(f"M{x + _QUIET} {y + _QUIET}h1v1h-1z")
    return Code(side=len(made.matrix) + 2 * _QUIET, path="".join(steps))
