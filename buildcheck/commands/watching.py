"""`report --watch`: the report of a spec in a browser, made again at each saved edit.

A thread for each request answers from the newest state; the main thread watches the file. Everything is on 127.0.0.1,
behind a token in the address.
"""

from __future__ import annotations

import json
import secrets
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import NamedTuple
from urllib.parse import parse_qs, urlsplit

from buildcheck.commands.stamps import Stamp, stamp

HOST = "127.0.0.1"
PAUSE = 0.04
"""Seconds from one look at the file to the next; a file that changed is read once it has not changed for as long."""

PATIENCE = 20.0
"""Seconds after which a request for something newer is answered even if there is nothing."""


class State(NamedTuple):
    """The state that the browser is shown: `number` rises with each change of it, `page` with each new page.

    `says` is the outcome in a sentence; `slips` are the mistakes for which the spec as it is saved now is refused; the
    page is then still that of the last good one.
    """

    number: int = 0
    page: int = 0
    says: str = ""
    slips: tuple[str, ...] = ()


class Watched:
    """The newest page of a spec, for threads that wait for a newer one."""

    def __init__(self) -> None:
        self.state = State()
        self.html = b""
        self._changed = threading.Condition()

    def tell(self, *, says: str = "", slips: tuple[str, ...] = (), html: str | None = None) -> None:
        """Show something new; without `html` the page stays."""
        with self._changed:
            if html is not None:
                self.html = html.encode()
            page = self.state.page + (html is not None)
            self.state = State(self.state.number + 1, page, says, slips)
            self._changed.notify_all()

    def newer(self, than: int, patience: float = PATIENCE) -> State:
        """The newest state; one that is newer than a number, if there is one before patience ends."""
        with self._changed:
            self._changed.wait_for(lambda: self.state.number > than, patience)
            return self.state


def server(watched: Watched) -> tuple[ThreadingHTTPServer, str]:
    """A server of the watched page on a free port, and its address. Nothing but that page is reachable."""
    token = secrets.token_urlsafe(18)

    def get(request: BaseHTTPRequestHandler) -> None:
        address = urlsplit(request.path)
        _, given, name = [*address.path.split("/", 2), "", ""][:3]
        # The name of the host is compared, so that another site cannot have its own name point here.
        own = request.headers.get("Host", "") == f"{HOST}:{made.server_port}"
        if not (own and secrets.compare_digest(given.encode(), token.encode())):
            _answer(request, HTTPStatus.NOT_FOUND, "text/plain", b"")
        elif name == "":
            _answer(request, HTTPStatus.OK, "text/html; charset=utf-8", watched.html)
        elif name == "state":
            after = parse_qs(address.query).get("after", ["0"])[0]
            found = watched.newer(int(after) if after.isdecimal() else 0)
            _answer(request, HTTPStatus.OK, "application/json", json.dumps(found._asdict()).encode())
        else:
            _answer(request, HTTPStatus.NOT_FOUND, "text/plain", b"")

    # The screen is for what the command says: requests are not logged there.
    handler = type("Handler", (BaseHTTPRequestHandler,), {"do_GET": get, "log_message": lambda *_: None})
    made = ThreadingHTTPServer((HOST, 0), handler)
    made.daemon_threads = True
    return made, f"http://{HOST}:{made.server_port}/{token}/"


def _answer(request: BaseHTTPRequestHandler, status: HTTPStatus, kind: str, body: bytes) -> None:
    headers = {
        "Content-Type": kind,
        "Content-Length": str(len(body)),
        "Cache-Control": "no-store",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
    }
    try:
        request.send_response(status)
        for name, value in headers.items():
            request.send_header(name, value)
        request.end_headers()
        request.wfile.write(body)
    except OSError:
        request.close_connection = True  # the browser has gone to something newer


@contextmanager
def serving(watched: Watched) -> Iterator[str]:
    """Serve the watched page in threads of its own; gives its address."""
    made, address = server(watched)
    thread = threading.Thread(target=made.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
    thread.start()
    try:
        yield address
    finally:
        made.shutdown()
        made.server_close()
        thread.join()


def follow(file: str, since: Stamp, changed: Callable[[], None], ended: Callable[[], bool] = lambda: False) -> None:
    """Call `changed` after each saved edit of a file, until `ended`; `since` is its stamp when it was last read."""
    seen = since
    while not ended():
        now = stamp(file)
        if now != seen:
            # An editor may write in several steps: wait until it is done.
            while (later := _later(file)) != now:
                now = later
            seen = now
            changed()
        time.sleep(PAUSE)


def _later(file: str) -> Stamp:
    time.sleep(PAUSE)
    return stamp(file)
