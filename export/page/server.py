"""The live loop: serves the preview page on this machine alone, and rebuilds it on every save."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

HOST = "127.0.0.1"
POLL = 0.1
"""Seconds between looks at the files."""

IDLE, MOST_CONNECTIONS = 30.0, 40
"""Seconds after which a silent connection is closed, and how many there may be."""

BEAT = 15.0
"""Seconds after which a silent listener gets a sign of life."""


@dataclass(frozen=True)
class Built:
    """What is shown. page : made only when it is asked for; models : of it; changed : says what is
    other than at the last time, worked out only when it is said.
    """

    page: Callable[[], bytes]
    models: list[dict[str, Any]]
    changed: Callable[[], str]


Build = Callable[[], Built]
"""Builds what is shown."""


class Live:
    """The last good page and models, what is wrong now, and counts that every change raises."""

    def __init__(self, build: Build, say: Callable[[str], None] = lambda text: None) -> None:
        """Take what builds, and where to say what was rebuilt and what is wrong."""
        self._build = build
        self._say = say
        self.page: Callable[[], bytes] = bytes
        self.models = b"[]"
        self.trouble = ""
        self.count = 0
        self.told = ""  # what the last rebuild changed, and how often that was told
        self.tellings = 0
        self.changed = threading.Condition()

    def rebuild(self) -> str:
        """Build anew and return what to say of it; on an error keep what was good."""
        from palewright.model.basis.errors import PalewrightError

        start = time.monotonic()
        try:
            built = self._build()
        except PalewrightError as error:
            return self._tell(str(error))
        except Exception as error:  # the loop must live on: the next save may mend it
            return self._tell(f"cannot be built, by a fault of this program: {_words(error)}")
        with self.changed:
            self.page, self.models = built.page, json.dumps(built.models).encode()
            self.trouble = ""
            self.count += 1
            self.changed.notify_all()
        taken = time.monotonic() - start
        try:
            changed = built.changed()
        except Exception as error:  # as above: what is shown is built
            changed = f"what changed cannot be told: {_words(error)}"
        with self.changed:
            self.told = changed
            self.tellings += 1
            self.changed.notify_all()
        return f"built in {taken:.1f} s: {changed}"

    def _tell(self, trouble: str) -> str:
        with self.changed:
            self.trouble = trouble
            self.count += 1
            self.changed.notify_all()
        return f"{trouble}\nthe page keeps what was good"

    def watch(self, paths: Callable[[], list[Path]], stop: threading.Event) -> None:
        """Rebuild whenever one of the files changes, until told to stop."""
        seen = begun = None
        while True:
            try:
                now = _stamps(paths())
                # an empty file is a save that has only begun, unless it stays so
                changed = seen is not None and now != seen
                if changed and now != begun and _any_empty(now):
                    begun = now
                elif changed:
                    self._say(self.rebuild())
                    seen = now
                else:
                    seen = now
            except Exception as error:  # as in `rebuild`
                said = f"cannot be watched: {_words(error)}"
                if said != self.trouble:  # once, not at every look
                    self._say(self._tell(said))
            if stop.wait(POLL):
                return


def _words(error: Exception) -> str:
    return f"{type(error).__name__}: {' '.join(str(error).split())[:300]}"


def _stamps(paths: list[Path]) -> dict[str, tuple[int, int] | None]:
    stamps: dict[str, tuple[int, int] | None] = {}
    for path in paths:
        try:
            stat = path.stat()
            stamps[str(path)] = (stat.st_mtime_ns, stat.st_size)
        except (OSError, ValueError):  # or no file name at all
            stamps[str(path)] = None
    return stamps


def _any_empty(stamps: dict[str, tuple[int, int] | None]) -> bool:
    return any(stamp is not None and stamp[1] == 0 for stamp in stamps.values())


class _Server(ThreadingHTTPServer):
    """A server of what is live, bound to the loopback address."""

    daemon_threads = True

    def __init__(self, live: Live, port: int) -> None:
        super().__init__((HOST, port), _Handler)
        self.live = live
        self.free = threading.Semaphore(MOST_CONNECTIONS)

    def process_request(self, request: Any, client_address: Any) -> None:
        """Answer in a thread of its own, or not at all where too many are answered already."""
        if not self.free.acquire(blocking=False):
            self.shutdown_request(request)
            return
        super().process_request(request, client_address)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Answer, and make room for another."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self.free.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say nothing of connections that break off."""

    @property
    def hosts(self) -> set[str]:
        """The names by which this server may be asked."""
        number = int(self.socket.getsockname()[1])
        return {f"{HOST}:{number}", f"localhost:{number}"}


class _Handler(BaseHTTPRequestHandler):
    """Answers three addresses and no file."""

    protocol_version = "HTTP/1.1"
    server: _Server
    timeout = IDLE

    def do_GET(self) -> None:
        live = self.server.live
        if not self._own():
            self._send(403, b"only pages of this server may ask\n", "text/plain")
        elif self.path == "/":
            self._page(live)
        elif self.path == "/model.json":
            self._send(200, live.models, "application/json")
        elif self.path == "/events":
            self._events(live)
        else:
            self._send(404, b"not here\n", "text/plain")

    def _page(self, live: Live) -> None:
        try:
            page = live.page()
        except Exception as error:  # the page is made when it is asked for
            self._send(500, f"no page: {_words(error)}\n".encode(), "text/plain; charset=utf-8")
            return
        self._send(200, page, "text/html; charset=utf-8")

    def _own(self) -> bool:
        hosts = self.server.hosts
        origin = self.headers.get("Origin")
        return self.headers.get("Host") in hosts and (
            origin is None or origin in {f"http://{host}" for host in hosts}
        )

    def _send(self, status: int, body: bytes, kind: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        self.wfile.write(body)

    def _events(self, live: Live) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/event-stream")
        self.send_header("Cache-Control", "no-store")
        self.send_header("Connection", "close")
        self.end_headers()
        try:
            self._tell_changes(live)
        except OSError:
            return  # the page is closed

    def _tell_changes(self, live: Live) -> None:
        """Send an event for each change, and a sign of life in between, while the page listens."""
        with live.changed:
            count, trouble, tellings = live.count, live.trouble, live.tellings
        if trouble:
            self._event("trouble", trouble)
        last = time.monotonic()
        while True:
            with live.changed:
                known = (count, tellings)
                live.changed.wait_for(
                    lambda: (live.count, live.tellings) != known,  # noqa: B023
                    timeout=BEAT,
                )
                new, trouble = live.count != count, live.trouble
                told = live.told if live.tellings != tellings else ""
                count, tellings = live.count, live.tellings
            if new:
                self._event("trouble" if trouble else "model", trouble)
            if told:
                self._event("changed", told)
            if new or told:
                last = time.monotonic()
            elif time.monotonic() - last >= BEAT:
                self.wfile.write(b": still here\n\n")
                self.wfile.flush()
                last = time.monotonic()

    def _event(self, name: str, data: str) -> None:
        self.wfile.write(f"event: {name}\ndata: {json.dumps(data)}\n\n".encode())
        self.wfile.flush()

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing of requests."""


def server_of(live: Live, port: int) -> ThreadingHTTPServer:
    """Return the server, bound to the loopback address; port 0 takes a free one.

    It answers three addresses and no file. A request that another site's page makes this browser
    send (by a name that resolves here, or from another origin) is refused.
    """
    return _Server(live, port)
