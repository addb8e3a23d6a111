"""The program behind the page: bound to this computer alone, gone with its temporary folder when it is ended."""

from __future__ import annotations

import secrets
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import uvicorn

from taskdata.errors import UsageError
from taskdata.workbench.application import application
from taskdata.workbench.bench import Bench
from taskdata.workbench.jobs.registry import WORK

HOST = "127.0.0.1"


def serve(port: int, *, browser: bool, max_upload_mb: int, say: Callable[[str], None]) -> None:
    """Run the workbench until it is ended by SIGINT or SIGTERM.

    Parameters
    ----------
    port : int
        0 = any that is free.
    browser : bool
        Open the page in the user's browser.
    max_upload_mb : int
        What one drop may have, in MB.
    say : callable
        Is given the address.

    Raises
    ------
    UsageError
        The port is taken.
    """
    listening = _listening(port)
    number = listening.getsockname()[1]
    token = secrets.token_urlsafe(32)
    address = f"http://{HOST}:{number}/?token={token}"
    bench = Bench(max_upload_mb << 20, WORK)
    try:
        hosts = {f"{HOST}:{number}"}
        config = uvicorn.Config(
            application(bench, token, hosts),
            log_level="critical",
            access_log=False,
            server_header=False,
            lifespan="off",
            timeout_graceful_shutdown=2,
        )
        server = _Server(config)
        with server.ended_by_signals():
            say(address)
            if browser:
                threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
            server.run(sockets=[listening])
    finally:
        bench.close()
        listening.close()


class _Server(uvicorn.Server):
    """A server that a signal ends without ending the process, so that what follows can be cleared away."""

    @contextmanager
    def ended_by_signals(self) -> Iterator[None]:
        """Let SIGINT and SIGTERM end the server, one that has not begun too."""
        kinds = (signal.SIGINT, signal.SIGTERM)
        before = {kind: signal.signal(kind, self.handle_exit) for kind in kinds}
        try:
            yield
        finally:
            for kind, handler in before.items():
                signal.signal(kind, handler)

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leave signals as they are."""
        yield


def _listening(port: int) -> socket.socket:
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((HOST, port))
    except OSError as error:
        found.close()
        raise UsageError(
            "is not free", where=f"port {port}", why=error.strerror, remedy="Choose another port"
        ) from error
    return found
