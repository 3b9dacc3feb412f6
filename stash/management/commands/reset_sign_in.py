"""Forget failed sign-ins, for somebody who is locked out."""

from typing import Any

from stash.accounts import throttle
from stash.management.stash_command import StashCommand


class Command(StashCommand):
    help = "Forget all failed sign-ins, so that nobody has to wait (passwords stay as they are)."

    def handle(self, *args: Any, **options: Any) -> None:
        dropped = throttle.reset()
        self.stdout.write(f"Forgotten: {dropped} count{'' if dropped == 1 else 's'} of failures.")
