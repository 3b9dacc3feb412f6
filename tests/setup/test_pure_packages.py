"""The pure packages stay usable without the site."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
PURE = (
    *("stash/lengths.py", "stash/colour"),
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


def test_pure_packages_import_no_django_and_no_models() -> None:
    modules = pure_modules()
    assert {"stash.lengths", "stash.colour", "projects.cutting", "projects.needs"} <= set(modules)
    program = (
        "import importlib, sys\n"
        f"for name in {modules!r}: importlib.import_module(name)\n"
        "wrong = [n for n in sys.modules if n == 'django' or n.startswith('django.')\n"
        "         or n in ('stash.models', 'projects.models', 'stash.config')]\n"
        "assert not wrong, wrong\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_stash_never_imports_projects() -> None:
    wrong = [
        f"{file.relative_to(ROOT)}: {line.strip()}"
        for file in (ROOT / "stash").rglob("*.py")
        for line in file.read_text().splitlines()
        if line.strip().startswith(("import projects", "from projects"))
    ]
    assert wrong == []
