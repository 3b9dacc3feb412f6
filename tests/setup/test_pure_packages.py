"""The pure packages stay usable without the site."""

import subprocess
import sys

from tests.setup.pure import ROOT, pure_modules


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
