"""Serve the person's own stash."""

from typing import Any

from django.core.management import BaseCommand, CommandParser

from stash.accounts import set_up
from stash.config import reached, serving


class Command(BaseCommand):
    help = "Serve your stash. The first start prints a link that creates your account."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        serving.add_arguments(parser)
        parser.add_argument(
            "--without-backup",
            action="store_true",
            help="make no backups, not even before this version changes the database",
        )

    def handle(self, *args: Any, port: int | None, lan: bool, **options: Any) -> None:
        backs_up = not options.get("without_backup")
        listener = reached.listen(port=port, lan=lan, host=options.get("host"))
        serving.prepare(self.stdout.write, backs_up=backs_up)
        self.check(databases=["default"])
        token = set_up.open_token()
        if token is not None:
            self.stdout.write(
                "Nobody has an account yet. The address below makes the first one and works once."
            )
        path = "" if token is None else f"account/set-up/{token}/"
        serving.serve(
            listener,
            lan=lan,
            say=self.stdout.write,
            path=path,
            backs_up=backs_up,
            opens=bool(options.get("open")),
        )
