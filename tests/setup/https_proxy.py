"""A proxy with https in front of a site, on an address of its own that the site can tell.

It does what such proxies do: adds the address of who asked to X-Forwarded-For, behind what the
browser may have sent there, and says X-Forwarded-Proto.
"""

from __future__ import annotations

import http.client
import shutil
import ssl
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

NAME = "stash.test"
_HOP_BY_HOP = frozenset({"connection", "keep-alive", "transfer-encoding", "server", "date"})


@dataclass(frozen=True, kw_only=True)
class Proxy:
    """Where it listens, and the certificate by which it is known."""

    port: int
    certificate: Path

    def ask(
        self,
        method: str,
        path: str,
        body: bytes = b"",
        headers: dict[str, str] | None = None,
        *,
        source: str = "127.0.0.1",
    ) -> http.client.HTTPResponse:
        """Ask as a browser at this address does, by the name of the certificate."""
        context = ssl.create_default_context(cafile=str(self.certificate))
        connection = _ByName(self.port, context, source)
        connection.request(method, path, body, {"Host": NAME, **(headers or {})})
        answer = connection.getresponse()
        answer.text = answer.read().decode()  # type: ignore[attr-defined]
        connection.close()
        return answer


class _ByName(http.client.HTTPSConnection):
    """Goes to loopback, and expects the certificate of the name."""

    def __init__(self, port: int, context: ssl.SSLContext, source: str) -> None:
        super().__init__(NAME, port, context=context, timeout=120)
        self._tls, self._from = context, source

    def connect(self) -> None:
        import socket

        plain = socket.create_connection(("127.0.0.1", self.port), 120, (self._from, 0))
        self.sock = self._tls.wrap_socket(plain, server_hostname=NAME)


def make_certificate(folder: Path) -> tuple[Path, Path]:
    """Return a certificate for the name, signed by itself, and its key."""
    program = shutil.which("openssl")
    assert program, "openssl makes the certificate: apt install openssl"
    certificate, key = folder / "certificate.pem", folder / "key.pem"
    subprocess.run(
        [program, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1"]
        + ["-nodes", "-days", "2", "-subj", f"/CN={NAME}", "-addext", f"subjectAltName=DNS:{NAME}"]
        + ["-keyout", str(key), "-out", str(certificate)],
        check=True,
        capture_output=True,
    )
    return certificate, key


@contextmanager
def https_proxy(folder: Path, *, site_port: int, own_address: str) -> Iterator[Proxy]:
    certificate, key = make_certificate(folder)

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def pass_on(self) -> None:
            headers = {
                name: text for name, text in self.headers.items() if name.lower() not in _HOP_BY_HOP
            }
            sender = self.client_address[0]
            before = self.headers.get("X-Forwarded-For")
            headers["X-Forwarded-For"] = f"{before}, {sender}" if before else sender
            headers["X-Forwarded-Proto"] = "https"
            body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
            site = http.client.HTTPConnection(
                "127.0.0.1", site_port, timeout=120, source_address=(own_address, 0)
            )
            site.request(self.command, self.path, body, headers)
            answer = site.getresponse()
            content = answer.read()
            self.send_response(answer.status)
            for name, text in answer.getheaders():
                if name.lower() not in _HOP_BY_HOP | {"content-length"}:
                    self.send_header(name, text)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)
            site.close()

        do_GET = do_POST = do_HEAD = pass_on  # noqa: N815  (as the library calls them)

        def log_message(self, format: str, *args: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield Proxy(port=server.server_address[1], certificate=certificate)
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
