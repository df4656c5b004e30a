"""The server on this computer: one socket on 127.0.0.1, and the answers put onto it."""

import contextlib
import socket
import sys
import threading
import warnings
from collections.abc import Callable
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect
from starlette.requests import Request as WebRequest
from starlette.responses import Response
from starlette.types import Receive, Scope, Send

from flowsim.errors import OutputError
from flowsim.page.guards import HEADERS, LARGEST_BODY, Answer, Gate, Request

HERE = "127.0.0.1"


def bound(port: int) -> socket.socket:
    """Give a socket on this computer alone.

    Parameters
    ----------
    port : int
        0 for any that is free.

    Returns
    -------
    socket.socket
        Listening: whoever comes before the server runs is answered then. No name service is asked.

    Raises
    ------
    OutputError
        The port is taken or not allowed.
    """
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((HERE, port))
        made.listen(64)
    except OSError as error:
        made.close()
        raise OutputError(
            f"port {port} cannot be used ({error.strerror or error}); leave --port out, and a free "
            "one is taken"
        ) from error
    return made


class Page:
    """The one place where requests of the web become ours, and our answers theirs."""

    def __init__(self, respond: Callable[[Request], Answer]) -> None:
        self.respond = respond

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            return
        asked = WebRequest(scope, receive)
        body = b""
        with contextlib.suppress(ClientDisconnect):
            async for piece in asked.stream():
                body += piece
                if len(body) > LARGEST_BODY:
                    break
        headers = tuple((name.lower(), value) for name, value in asked.headers.items())
        request = Request(asked.method, asked.url.path, headers, body)
        made = await run_in_threadpool(self.respond, request)
        response = Response(made.body, made.status, dict(HEADERS), made.kind)
        await response(scope, receive, send)


def application(respond: Callable[[Request], Answer]) -> Any:
    """Give the application: every path and method goes to one function."""
    app = Starlette()
    app.mount("/", Page(respond))
    return app


class Server:
    """Runs the page until it is told to stop."""

    def __init__(self, made: socket.socket, respond: Callable[[Request], Answer]) -> None:
        self._socket = made
        config = uvicorn.Config(
            application(respond),
            log_level="critical",
            access_log=False,
            lifespan="off",
            ws="none",
            http="h11",
            loop="asyncio",
            server_header=False,
            timeout_keep_alive=5,
            timeout_graceful_shutdown=2,
        )
        self._server = uvicorn.Server(config)

    def run(self) -> None:
        """Serve until ``stop`` or Ctrl+C."""
        with warnings.catch_warnings():
            # Stopped before it began, the library never comes to what it has made: no news.
            warnings.filterwarnings("ignore", "coroutine", RuntimeWarning)
            with contextlib.suppress(KeyboardInterrupt):
                self._server.run(sockets=[self._socket])

    def stop(self, after: float = 0.2) -> None:
        """Stop soon, so that the answer to who asked for it still goes out."""
        threading.Timer(after, lambda: setattr(self._server, "should_exit", True)).start()


def port_of(made: socket.socket) -> int:
    """Give the port of a socket."""
    found: int = made.getsockname()[1]
    return found


def new_addresses(gate: Gate, show: Callable[[str], None]) -> None:
    """Give a new address whenever Enter is pressed in the terminal, in a thread of its own."""

    def read() -> None:
        with contextlib.suppress(OSError, ValueError):
            for _ in sys.stdin:
                show(gate.new_address())

    threading.Thread(target=read, name="terminal", daemon=True).start()
