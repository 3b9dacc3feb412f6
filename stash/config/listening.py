"""Waitress, with patience that ends: slow clients wait in front of the threads, and then go.

Waitress reads requests in one loop and hands only whole ones to its threads. What shuts everybody
out is the number of open connections: at its limit none is accepted any more, and one byte now
and then keeps a connection open for ever. So here a request must arrive at a least pace, an idle
connection is closed after a while, and one address has a limited number of connections. Who comes
last gets in: a connection that waits for its client makes room.

A proxy speaks for many people and only has the limit of the site. Ages are taken
from a clock that nobody can set.
"""

from __future__ import annotations

import socket
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic
from typing import Any

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher
from waitress.utilities import Error

__all__ = ["Patience", "create_server"]

_MEGABYTE = 1024 * 1024
_SECONDS_BETWEEN_LOOKS = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Patience:
    """What clients may take. A browser opens six connections for a page."""

    of_one_address: int = 48
    in_all: int = 400
    #: What a request may take on top of its bytes at the least pace.
    seconds: float = 30.0
    #: Bytes a second; a phone on weak wifi is twenty times as fast.
    least_pace: int = 4096
    idle_seconds: float = 60.0

    def lasts(self, *, received: int, seconds: float) -> bool:
        """Whether a request may go on that has sent so many bytes in so many seconds."""
        return seconds <= self.seconds + received / self.least_pace


def create_server(
    application: Callable[..., Any],
    listener: socket.socket,
    *,
    patience: Patience | None = None,
    speaks_for_many: Callable[[str], bool] = lambda address: False,
    **adjustments: Any,
) -> TcpWSGIServer:
    """Return a server on a bound socket; the adjustments are waitress's own.

    speaks_for_many: whether an address is that of a proxy.
    """
    adj = Adjustments(
        sockets=[listener],
        asyncore_use_poll=True,  # select() knows no more than 1024 files
        # Photos leave from memory: a full disk has no room for an answer that waits.
        outbuf_overflow=4 * _MEGABYTE,
        clear_untrusted_proxy_headers=False,  # the application judges them, by more than one proxy
        **adjustments,
    )
    dispatcher = ThreadedTaskDispatcher()
    dispatcher.set_thread_count(adj.threads)
    return PatientServer(
        application,
        patience=patience or Patience(),
        speaks_for_many=speaks_for_many,
        map={},
        _sock=listener,
        dispatcher=dispatcher,
        adj=adj,
        bind_socket=False,
        sockinfo=(listener.family, listener.type, listener.proto, listener.getsockname()),
    )


class _NoRoom(Error):
    code = 507
    reason = "Insufficient Storage"


class PatientParser(HTTPRequestParser):
    """Answers where a large body finds no room on the disk to wait until it is whole."""

    def received(self, data: bytes) -> int:
        try:
            return int(super().received(data))
        except OSError:
            sentence = "The disk of the computer that runs this site is full. Nothing was saved."
            self.error = _NoRoom(sentence)
            self.completed = True
            return len(data)


class PatientChannel(HTTPChannel):
    """One connection, which knows since when it waits for its client."""

    parser_class = PatientParser

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self.moved_at = monotonic()
        self.began_at: float | None = None  # the request that is arriving
        self.taken = 0
        super().__init__(*args, **kwargs)

    def received(self, data: bytes) -> bool:
        self.moved_at = monotonic()
        if self.began_at is None:
            self.began_at = self.moved_at
        self.taken += len(data)
        went_on = bool(super().received(data))
        if self.request is None:
            self.began_at, self.taken = None, 0
        return went_on

    def _flush_some(self, do_close: bool = True) -> bool:
        sent = bool(super()._flush_some(do_close=do_close))
        if sent:
            self.moved_at = monotonic()
        return sent

    @property
    def waits(self) -> bool:
        """Whether nothing is being done for this client, and nothing is left to send."""
        return not self.requests and not self.total_outbufs_len and not self.will_close

    @property
    def waiting_since(self) -> float:
        return self.moved_at if self.began_at is None else self.began_at

    def is_over(self, patience: Patience, now: float) -> bool:
        """Whether the client has been waited for long enough."""
        if self.total_outbufs_len or (self.began_at is None and not self.requests):
            return now - self.moved_at > patience.idle_seconds
        if self.began_at is None or self.requests:
            return False
        return not patience.lasts(received=self.taken, seconds=now - self.began_at)


class PatientServer(TcpWSGIServer):
    channel_class = PatientChannel

    def __init__(
        self, *args: Any, patience: Patience, speaks_for_many: Callable[[str], bool], **kwargs: Any
    ) -> None:
        self.patience = patience
        self.speaks_for_many = speaks_for_many
        self._next_look = monotonic()
        super().__init__(*args, **kwargs)

    def readable(self) -> bool:
        """Always: who is too many is sent away, so the queue of the system never fills up."""
        now = monotonic()
        if now >= self._next_look:
            self._next_look = now + _SECONDS_BETWEEN_LOOKS
            self.maintenance(now)
        return bool(self.accepting)

    def maintenance(self, now: float) -> None:
        for channel in self.active_channels.values():
            if channel.is_over(self.patience, now):
                channel.will_close = True

    def handle_accept(self) -> None:
        try:
            accepted = self.accept()
            if accepted is None:
                return
            client, address = accepted
            self.set_socket_options(client)
        except OSError:
            return  # gone before it was looked at
        if self._has_room_for(address[0]):
            self.channel_class(self, client, self.fix_addr(address), self.adj, map=self._map)
        else:
            client.close()

    def _has_room_for(self, address: str) -> bool:
        """Whether one more may come from there; a connection that only waits makes room."""
        counts = Counter(channel.addr[0] for channel in self.active_channels.values())
        if not self.speaks_for_many(address) and counts[address] >= self.patience.of_one_address:
            crowded = address
        elif counts.total() >= self.patience.in_all:
            crowded = counts.most_common(1)[0][0]
        else:
            return True
        waiting = [
            channel
            for channel in self.active_channels.values()
            if channel.waits and channel.addr[0] == crowded
        ]
        if not waiting:
            return False
        # Idle ones first: nothing is lost with them.
        min(
            waiting, key=lambda channel: (channel.began_at is not None, channel.waiting_since)
        ).handle_close()
        return True
