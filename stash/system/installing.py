"""What manage.py installs by, and what of it may go, by the standard library alone.

The constraints file names every package in one version with the hashes of its files. It has a line
"# covers SYSTEM PYTHON: GROUPS" for each place that it was made for, and a line "# group NAME"
above the packages of each group.
"""

from __future__ import annotations

import platform
import re
import shutil
import sys
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

__all__ = ["by_hash", "place", "thin_out"]

_SYSTEMS = {"linux": "linux", "darwin": "macos", "win32": "windows"}
_BULKY = ("colour", "numpy", "scipy")


def by_hash(
    constraints: str, wanted: Collection[str], extras: Mapping[str, Collection[str]]
) -> str | None:
    """Return the lines of the file that install these, or None where it does not cover them.

    wanted: pins such as numpy==2.4.6. extras: for each group beside base, what only it asks for.
    """
    try:
        head, *chunks = Path(constraints).read_text(encoding="utf-8").split("# group ")
    except OSError:
        return None
    groups = dict(chunk.split("\n", 1) for chunk in chunks)
    needed = ["base", *(name for name, pins in extras.items() if not set(pins).isdisjoint(wanted))]
    covered = re.search(f"^# covers {re.escape(place())}: (.*)$", head, re.MULTILINE)
    if covered is None or not set(needed) <= set(covered[1].split()) & set(groups):
        return None
    lines: dict[str, str] = {}  # a package of two groups is asked for once
    for name in needed:
        for entry in re.findall(r"^\S+==(?:.*\\\n)*.*\n", groups[name], re.MULTILINE):
            lines[entry.split()[0]] = entry
    return "".join(lines.values()) if set(map(_plain, wanted)) <= set(lines) else None


def place() -> str:
    """Return system and Python as the file names them, such as linux-x86_64 3.11."""
    system = _SYSTEMS.get(sys.platform, sys.platform)
    if system == "linux" and platform.libc_ver()[0] != "glibc":
        system = "musl"
    return f"{system}-{platform.machine().lower()} {sys.version_info[0]}.{sys.version_info[1]}"


def _plain(pin: str) -> str:
    """Return a pin with the name as indexes write it, without what stands in brackets."""
    name, version = pin.split("==")
    return f"{re.sub('[-_.]+', '-', name.split('[')[0]).lower()}=={version}"


def thin_out(venv: str) -> None:
    """Take away what packages bring along and nobody runs: their tests and reports, some 135 MB."""
    for packages in _site_packages(Path(venv)):
        shutil.rmtree(packages / "colour" / "htmlcov", ignore_errors=True)
        for name in _BULKY:
            for folder in [each for each in (packages / name).rglob("tests") if each.is_dir()]:
                shutil.rmtree(folder, ignore_errors=True)


def _site_packages(venv: Path) -> Iterable[Path]:
    return [*venv.glob("lib/python*/site-packages"), *venv.glob("Lib/site-packages")]
