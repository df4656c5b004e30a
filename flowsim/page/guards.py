"""Who may ask: this page on this computer, and nobody else.

Every request is looked at before anything else is done. A refusal changes and tells nothing.
"""

import hmac
import secrets
import threading
from dataclasses import dataclass, field

LARGEST_BODY = 2 * 1024 * 1024
"""[bytes] Of a request; a case has at most half of that."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS: tuple[tuple[str, str], ...] = (
    ("Content-Security-Policy", POLICY),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cache-Control", "no-store"),
)
"""On every answer, refusals included."""


@dataclass(frozen=True, slots=True)
class Request:
    """What was asked: header names in lower case, as often as they came."""

    method: str
    path: str
    headers: tuple[tuple[str, str], ...] = ()
    body: bytes = b""

    def every(self, name: str) -> list[str]:
        """Give every value of a header."""
        return [value for key, value in self.headers if key == name]


@dataclass(frozen=True, slots=True)
class Answer:
    """What is answered; the headers that stand on every answer are added by the server."""

    status: int
    body: bytes = b""
    kind: str = "text/plain; charset=utf-8"


@dataclass(slots=True)
class Gate:
    """The address of the page, the key that its requests carry, and the start words in force."""

    port: int
    key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    _words: set[str] = field(default_factory=set)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def host(self) -> str:
        """The only ``Host`` that is ours."""
        return f"127.0.0.1:{self.port}"

    @property
    def origin(self) -> str:
        """The only ``Origin`` that is ours."""
        return f"http://{self.host}"

    def new_address(self) -> str:
        """Give an address with a start word that can be used once; older words are no more."""
        word = secrets.token_urlsafe(16)
        with self._lock:
            self._words = {word}
        return f"{self.origin}/#{word}"

    def trade(self, word: str) -> str | None:
        """Give the key for a start word, once; None for any other word."""
        with self._lock:
            for known in self._words:
                if hmac.compare_digest(known.encode(), word.encode()):
                    self._words.discard(known)
                    return self.key
        return None

    def is_key(self, given: str) -> bool:
        """Tell whether a request carries the key."""
        return hmac.compare_digest(self.key.encode(), given.encode(errors="replace"))


def refused(request: Request, gate: Gate) -> Answer | None:
    """Refuse what does not come from our page.

    Parameters
    ----------
    request : Request
    gate : Gate

    Returns
    -------
    Answer or None
        None where it may go on. ``/start`` needs no key: it is where the key is given.
    """
    if request.every("host") != [gate.host]:
        return Answer(400, b"not this address")
    if request.method not in ("GET", "POST"):
        return Answer(405, b"not this way")
    origins = request.every("origin")
    if any(origin != gate.origin for origin in origins) or len(origins) > 1:
        return Answer(403, b"not from there")
    if any(site not in ("same-origin", "none") for site in request.every("sec-fetch-site")):
        return Answer(403, b"not from there")
    return _post_refused(request, gate, origins) if request.method == "POST" else None


def _post_refused(request: Request, gate: Gate, origins: list[str]) -> Answer | None:
    if not origins:
        return Answer(403, b"not from there")
    kinds = request.every("content-type")
    if len(kinds) != 1 or kinds[0].split(";")[0].strip().lower() != "application/json":
        return Answer(415, b"JSON only")
    if len(request.body) > LARGEST_BODY:
        return Answer(413, b"too much")
    keys = request.every("x-flowsim-key")
    if request.path != "/start" and (len(keys) != 1 or not gate.is_key(keys[0])):
        return Answer(401, b"no key")
    return None
