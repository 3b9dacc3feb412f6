"""What the serve and demo commands share: get the database ready, listen, serve, end cleanly."""

import logging
import os
import signal
import socket
import webbrowser
from collections.abc import Callable
from contextlib import closing, nullcontext
from typing import Any

from django.conf import settings
from django.core.management import CommandParser, call_command
from django.db import DatabaseError, connection, connections
from django.db.migrations.executor import MigrationExecutor

from stash.config.listening import create_server
from stash.config.proxies import is_among
from stash.config.reached import DEFAULT_PORT, addresses, on_network, written
from stash.keeping import identity, state, swap
from stash.keeping.backups import daily
from stash.keeping.backups.backup import BackupError, make_backup
from stash.keeping.refusals import NotReadyError
from stash.system.locks import hold
from stash.system.memory import share_heaps
from stash.system.version import release

THREADS = 8

logger = logging.getLogger(__name__)

Say = Callable[[str], Any]


def add_arguments(parser: CommandParser) -> None:
    """Add the options of every command that serves."""
    parser.add_argument(
        "--port", type=int, default=None, help=f"port to listen on (default {DEFAULT_PORT})"
    )
    parser.add_argument(
        "--lan",
        action="store_true",
        help="also listen on the home network, and show a QR code for the phone",
    )
    parser.add_argument(
        "--host",
        default=None,
        metavar="ADDRESS",
        help="listen on this address of this computer: 0.0.0.0 is all of them, :: with IPv6",
    )
    parser.add_argument(
        "--open", action="store_true", help="open the site in this computer's browser"
    )


def prepare(say: Say, *, backs_up: bool = True) -> None:
    """Bring the database up to date. Two starts at the same moment take turns.

    Nothing is deleted here, and a stash is backed up before its tables are changed. Raises
    NotReadyError for a database that this program cannot use or that does not belong to the photo
    folder, and for a stash that cannot be backed up.
    """
    os.umask(0o077)
    with hold(settings.STASH_DATA / "secret-key"):
        if swap.finish():
            say("A restore that was interrupted is finished.")
        state.refuse_unusable()
        if connection.vendor == "sqlite":
            # Once, before anybody else connects: changing the journal of a busy file fails.
            with connection.cursor() as cursor:
                cursor.execute(f"PRAGMA journal_mode={settings.SQLITE_JOURNAL}")
        executor = MigrationExecutor(connection)
        plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
        if plan:
            if backs_up and any(app == "stash" for app, _ in executor.loader.applied_migrations):
                _back_up_before_changes(say)
            say("Preparing the database ...")
            call_command("migrate", interactive=False, verbosity=0)
        identity.ensure()
        if plan:
            identity.note_release()
        try:
            call_command("clearsessions")
        except DatabaseError:
            # Old sessions are refused whether or not they are cleared; a full disk can wait.
            logger.warning("old sessions could not be cleared", exc_info=True)


def _back_up_before_changes(say: Say) -> None:
    say("This version changes the database; making a backup first ...")
    try:
        say(f"Backed up: {make_backup(before=release()).path}")
    except BackupError as error:
        raise NotReadyError(
            f"{error} This version changes the database, and does so only with a backup. To go on "
            "without one: python3 manage.py serve --without-backup"
        ) from error


def serve(
    listener: socket.socket,
    *,
    lan: bool,
    say: Say,
    path: str = "",
    backs_up: bool = True,
    opens: bool = False,
) -> None:
    """Serve until Ctrl-C, with a backup a day. The path is added to the addresses shown."""
    share_heaps()
    host, port = listener.getsockname()[:2]
    network = on_network(host, lan=lan)
    if network and not settings.HTTPS:
        name = socket.gethostname().lower()
        written = [written(address) for address in network]
        settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, *written, name, f"{name}.local"]
    from stash.config.wsgi import application

    with closing(listener), hold(settings.STASH_DATA, shared=True):
        server = create_server(
            application,
            listener,
            threads=THREADS,
            ident=None,
            max_request_body_size=settings.REQUEST_MAX_BYTES,
            speaks_for_many=lambda address: is_among(address, settings.PROXIES),
        )
        connections.close_all()  # a restore may have exchanged what was open
        lines = addresses(port, network, path, host=host)
        for line in lines:
            say(line)
        if opens:
            webbrowser.open(lines[1].partition(": ")[2].partition(" ")[0])
        signal.signal(signal.SIGTERM, _end)
        with daily.every_day() if backs_up else nullcontext():
            server.run()
        server.close()
    connections.close_all()
    say("\nClothlight has ended.")


def _end(signum: int, frame: object) -> None:
    raise SystemExit(0)
