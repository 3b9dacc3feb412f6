"""What the serve and demo commands share: get the database ready, listen, serve, end cleanly."""

import ipaddress
import logging
import os
import signal
import socket
from collections.abc import Callable
from contextlib import closing, nullcontext, suppress
from typing import Any

import segno
from django.conf import settings
from django.core.management import CommandError, CommandParser, call_command
from django.core.wsgi import get_wsgi_application
from django.db import DatabaseError, connection, connections
from django.db.migrations.executor import MigrationExecutor

from stash.config.listening import create_server
from stash.keeping import identity, state, swap
from stash.keeping.backups import daily
from stash.keeping.backups.backup import BackupError, make_backup
from stash.keeping.refusals import NotReadyError
from stash.system.locks import hold
from stash.system.memory import share_heaps
from stash.system.version import release

DEFAULT_PORT = 8000
THREADS = 8
PORTS_TO_TRY = 50
_UNROUTED = "192.0.2.1"  # RFC 5737, for documentation: asks for a route, sends nothing

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


def listen(*, port: int | None, lan: bool, next_free: bool = False) -> socket.socket:
    """Return a socket bound to loopback, or with lan to every network; a sentence if taken."""
    if lan and settings.DEBUG:
        raise CommandError("STASH_DEBUG shows secrets in its error pages; it rules out --lan.")
    if lan and settings.HTTPS:
        raise CommandError("With STASH_HTTPS the proxy faces the network; leave --lan out.")
    first = DEFAULT_PORT if port is None else port
    if not 1 <= first <= 65535:
        raise CommandError(f"Port {first} does not exist; choose one from 1024 to 65535.")
    last = min(first + PORTS_TO_TRY, 65535) if next_free else first
    for candidate in range(first, last + 1):
        try:
            return _bound(candidate, "0.0.0.0" if lan else "127.0.0.1")  # noqa: S104  (--lan)
        except PermissionError as error:
            raise CommandError(
                f"Port {candidate} is kept for the system; choose one above 1023 with --port."
            ) from error
        except OSError:
            continue
    raise CommandError(
        f"Port {first} is taken by another program (or another start of this one). "
        f"Choose another, for example --port {first + 1}."
    )


def serve(
    listener: socket.socket, *, lan: bool, say: Say, path: str = "", backs_up: bool = True
) -> None:
    """Serve until Ctrl-C, with a backup a day. The path is added to the addresses shown."""
    share_heaps()
    port = listener.getsockname()[1]
    network = network_addresses() if lan else []
    if lan:
        name = socket.gethostname().lower()
        settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, *network, name, f"{name}.local"]
    application = get_wsgi_application()
    proxy: dict[str, Any] = {}
    if settings.HTTPS:
        proxy = {
            "trusted_proxy": "127.0.0.1",
            "trusted_proxy_headers": "x-forwarded-for x-forwarded-proto x-forwarded-host",
        }
    with closing(listener), hold(settings.STASH_DATA, shared=True):
        server = create_server(
            application,
            listener,
            threads=THREADS,
            ident=None,
            max_request_body_size=settings.REQUEST_MAX_BYTES,
            **proxy,
        )
        connections.close_all()  # a restore may have exchanged what was open
        for line in addresses(port, network, path):
            say(line)
        signal.signal(signal.SIGTERM, _end)
        with daily.every_day() if backs_up else nullcontext():
            server.run()
        server.close()
    connections.close_all()
    say("\nClothlight has ended.")


def addresses(port: int, network: list[str], path: str) -> list[str]:
    """Return the lines that say where the site is, with a QR code for the first network one."""
    here = f"http://127.0.0.1:{port}/{path}"
    if settings.HTTPS:
        name = settings.ALLOWED_HOSTS[-1] if len(settings.ALLOWED_HOSTS) > 3 else "localhost"
        here = f"https://{name}/{path} through a proxy in front of 127.0.0.1:{port}"
    lines = ["", f"Clothlight is ready: {here}"]
    for address in network:
        lines.append(f"On your network:     http://{address}:{port}/{path}")
    if network:
        lines += ["For the phone:", qr_code(f"http://{network[0]}:{port}/{path}")]
    lines.append("Ctrl-C ends it.")
    return lines


def qr_code(url: str) -> str:
    """Return the address as a QR code made of block characters, for a terminal."""
    from io import StringIO

    drawn = StringIO()
    segno.make(url, micro=False).terminal(out=drawn, compact=True)
    return drawn.getvalue().rstrip("\n")


def network_addresses() -> list[str]:
    """Return this machine's IPv4 addresses as others on the network see them, likeliest first."""
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect((_UNROUTED, 9))
        found.append(probe.getsockname()[0])
    with suppress(OSError):
        found += socket.gethostbyname_ex(socket.gethostname())[2]
    usable = [text for text in found if not ipaddress.ip_address(text).is_loopback]
    return list(dict.fromkeys(usable))


def _bound(port: int, host: str) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name != "nt":
            # A restart right after Ctrl-C must not wait for old connections to time out.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
        listener.listen(128)
    except BaseException:
        listener.close()
        raise
    return listener


def _end(signum: int, frame: object) -> None:
    raise SystemExit(0)
