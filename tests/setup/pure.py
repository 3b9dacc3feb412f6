"""The pure packages and their modules."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent

PURE = (
    *("stash/lengths.py", "stash/measuring", "stash/colour"),
    *("projects/cutting", "projects/needs", "projects/quilt_design"),
)


def pure_modules() -> list[str]:
    """Return the dotted names of all modules of the pure packages."""
    files = [
        file
        for place in PURE
        for file in ([ROOT / place] if place.endswith(".py") else (ROOT / place).rglob("*.py"))
    ]
    names = [".".join(file.relative_to(ROOT).with_suffix("").parts) for file in files]
    return sorted(name.removesuffix(".__init__") for name in names)
