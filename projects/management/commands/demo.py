"""Serve an invented sewing room in a folder of its own."""

import shutil
from contextlib import closing
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.db import connections

from stash.accounts.demo import DEMO_NAME, DEMO_PASSWORD
from stash.config import reached, serving
from stash.keeping.identity import is_in_use
from stash.system.locks import InUseError, hold

LOADING, LOADED = "loading\n", "loaded\n"


class Command(BaseCommand):
    help = "Look around in an invented sewing room; your own stash is not touched."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        serving.add_arguments(parser)
        parser.add_argument("--fresh", action="store_true", help="throw changes away, start over")

    def handle(self, *args: Any, port: int | None, lan: bool, fresh: bool, **options: Any) -> None:
        if not settings.DEMO:
            raise CommandError("Start the demo as: python3 manage.py demo")
        host = options.get("host")
        listener = reached.listen(port=port, lan=lan, host=host, next_free=port is None)
        try:
            self._load_once(settings.STASH_DATA, fresh=fresh)
        except InUseError as error:
            raise CommandError("The demo is running already; end that one first.") from error
        self.stdout.write(f"Demo account: {DEMO_NAME}, password: {DEMO_PASSWORD}")
        opens = bool(options.get("open"))
        serving.serve(listener, lan=lan, say=self.stdout.write, backs_up=False, opens=opens)

    def _load_once(self, folder: Path, *, fresh: bool) -> None:
        """Load the scenario unless it is there whole; what an interruption left is redone."""
        marker = folder / "demo"
        state = marker.read_text() if marker.exists() else None
        if state is None and ((folder / "stash.sqlite3").exists() or is_in_use()):
            raise CommandError(f"{folder} holds a stash that is not the demo; it stays untouched.")
        if state == LOADED and not fresh:
            serving.prepare(self.stdout.write, backs_up=False)
            return
        with hold(folder, wait=False):
            if not fresh and marker.exists() and marker.read_text() == LOADED:
                return  # another start was faster
            marker.write_text(LOADING)
            self._clear(folder)
            from projects.demo.load import begin_shots, load_demo

            # Painted and read while the database is prepared.
            with closing(begin_shots()) as shots:
                serving.prepare(self.stdout.write, backs_up=False)
                load_demo(report=self.stdout.write, shots=shots)
            marker.write_text(LOADED)

    def _clear(self, folder: Path) -> None:
        connections.close_all()
        for name in ("stash.sqlite3", "stash.sqlite3-wal", "stash.sqlite3-shm"):
            (folder / name).unlink(missing_ok=True)
        shutil.rmtree(settings.PHOTO_DIR, ignore_errors=True)
