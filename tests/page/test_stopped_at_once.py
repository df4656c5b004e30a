"""Ctrl+C before the page has begun to serve leaves nothing on the terminal."""

import gc
import socket
import warnings
from typing import Any

from flowsim.page.guards import Answer, Request
from flowsim.page.serve import Server


def test_what_was_not_begun_is_no_news(monkeypatch: Any) -> None:
    async def serve() -> None:
        """Never begun."""

    def run(sockets: list[socket.socket]) -> None:
        begun = serve()
        assert begun is not None
        raise KeyboardInterrupt

    def respond(_: Request) -> Answer:
        raise AssertionError("nothing is asked")

    with socket.socket() as made:
        server = Server(made, respond)
        monkeypatch.setattr(server._server, "run", run)
        with warnings.catch_warnings(record=True) as said:
            warnings.simplefilter("always")
            server.run()
            gc.collect()
    assert [str(item.message) for item in said] == []
