"""The base of commands that work on a stash."""

from typing import Any

from django.core.management.base import BaseCommand

from stash.keeping import state

__all__ = ["StashCommand"]


class StashCommand(BaseCommand):
    """Says in a sentence when there is no stash yet, or none that this program can use."""

    requires_system_checks = []

    def execute(self, *args: Any, **options: Any) -> str | None:
        if self.wants_stash(**options):
            state.refuse_unready()
        return super().execute(*args, **options)

    def wants_stash(self, **options: Any) -> bool:
        """Whether these arguments ask anything of a stash."""
        return True
