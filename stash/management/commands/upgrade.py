"""Bring a stash to this version: backup, tables, check."""

from __future__ import annotations

import sys
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from stash.config import serving
from stash.keeping import state, swap
from stash.keeping.backups.backup import BackupError, make_backup
from stash.keeping.checks.check import find_breaches
from stash.keeping.naming import database_name
from stash.system.locks import InUseError, hold
from stash.system.version import release


class Command(BaseCommand):
    help = (
        "After the program was replaced by a newer one: back the stash up, bring its tables to "
        "this version, check it, and tell how to go back. Stop the site first."
    )
    requires_system_checks = []

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with hold(settings.STASH_DATA, wait=False):
                self._upgrade()
        except InUseError as error:
            raise CommandError("The site is running; end it first (Ctrl-C).") from error

    def _upgrade(self) -> None:
        if swap.is_begun():
            raise CommandError(
                "A restore was interrupted: start python3 manage.py serve once, which finishes it."
            )
        if not state.refuse_unusable():
            raise CommandError(
                f"There is no stash in {database_name()} yet: start python3 manage.py serve first."
            )
        try:
            made = make_backup(before=release())
        except BackupError as error:
            raise CommandError(f"{error} Nothing was changed.") from error
        self.stdout.write(f"Backed up: {made.path}")
        go_back = (
            "To go back: put the earlier program in place, then "
            f"python3 manage.py restore '{made.path}'"
        )
        try:
            serving.prepare(self.stdout.write, backs_up=False)
        except Exception as error:  # a migration may fail in any way, and each needs the way back
            reason = " ".join(str(error).split()) or type(error).__name__
            raise CommandError(
                f"The stash could not be brought to version {release()}: {reason.rstrip('.')}. "
                f"Part of it may be changed, so do not use it as it is. {go_back}"
            ) from error
        breaches = find_breaches()
        for breach in breaches:
            self.stdout.write(f"Not as it must be: {breach.sentence}")
        self.stdout.write(f"The stash is at version {release()}. {go_back}")
        if breaches:
            sys.exit(1)
