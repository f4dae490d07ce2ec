"""One page, shown to this machine's own browser: 127.0.0.1 only, GET and HEAD only, nothing but that page."""

from __future__ import annotations

import errno
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Final

from ..errors import DeviceError

ADDRESS: Final = "127.0.0.1"
PORT: Final = 8765
"""The usual port: always the same, since a browser keeps tables by address and port."""


class PageServer(ThreadingHTTPServer):
    """Answers with `page` and nothing else; only to requests that name this machine as their host."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, page: bytes, port: int) -> None:
        super().__init__((ADDRESS, port), _Answer)
        self.page = page
        number = self.server_address[1]
        self.url = f"http://{ADDRESS}:{number}/"
        self.hosts = (f"{ADDRESS}:{number}", f"localhost:{number}")

    def handle_error(self, request: object, client_address: object) -> None:
        """A browser that hangs up is no mistake to tell."""


class _Answer(BaseHTTPRequestHandler):
    server: PageServer
    protocol_version = "HTTP/1.1"
    timeout = 20
    server_version = "oaktag"
    sys_version = ""

    def do_GET(self) -> None:
        self._answer()

    def do_HEAD(self) -> None:
        self._answer()

    def _answer(self) -> None:
        if self.headers.get("Host", "").lower() not in self.server.hosts:
            self._send(403, b"This page is shown to this machine alone.\n", "text/plain; charset=utf-8")
        elif self.path != "/":
            self._send(404, b"There is one page here: /\n", "text/plain; charset=utf-8")
        else:
            self._send(200, self.server.page, "text/html; charset=utf-8")

    def _send(self, code: int, content: bytes, kind: str) -> None:
        self.send_response(code)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("X-Frame-Options", "DENY")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.send_header("Referrer-Policy", "no-referrer")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Other methods, and what is no HTTP, end here: told in a line, and the line is closed."""
        refused = 405 if code == 501 else code
        self.close_connection = True
        text = f"{refused}: only GET and HEAD of / are answered here.\n".encode()
        self.send_response(refused)
        if refused == 405:
            self.send_header("Allow", "GET, HEAD")
        self.send_header("Content-Type", "text/plain; charset=utf-8")
        self.send_header("Content-Length", str(len(text)))
        self.send_header("Connection", "close")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(text)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the name that the base class gives it
        """Nothing is logged."""


def open_server(page: bytes, port: int = PORT) -> PageServer:
    """A server that listens already; `port` 0 takes any that is free. Raises DeviceError where the port is taken."""
    try:
        return PageServer(page, port)
    except OSError as error:
        if error.errno in (errno.EADDRINUSE, errno.EACCES):
            why = "is in use" if error.errno == errno.EADDRINUSE else "may not be used by you"
            raise DeviceError(
                f"port {port} {why}. Give another with --port, such as --port {PORT + 1}, or stop what uses it."
            ) from error
        raise DeviceError(f"the page cannot be shown on {ADDRESS}: {error.strerror or error}.") from error


def serve(server: PageServer, tell: Callable[[str], None]) -> None:
    """Shows the page until the maker presses Ctrl-C."""
    tell(server.url)
    try:
        server.serve_forever(poll_interval=0.2)
    except KeyboardInterrupt:
        pass
    finally:
        server.server_close()
