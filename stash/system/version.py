"""Which release of Clothlight this is."""

import tomllib
from functools import cache
from pathlib import Path

__all__ = ["release"]


@cache
def release() -> str:
    """Return the version number that pyproject.toml gives."""
    with (Path(__file__).resolve().parent.parent.parent / "pyproject.toml").open("rb") as file:
        return str(tomllib.load(file)["project"]["version"])
