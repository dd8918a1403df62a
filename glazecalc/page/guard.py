"""What stands before every room: Host, Origin, key, rate, size of a request, and the headers of every answer."""

from __future__ import annotations

import asyncio
import hmac
import secrets
import time
from collections import defaultdict, deque
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import parse_qs

Message = MutableMapping[str, Any]
Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Door = Callable[[Scope, Receive, Send], Awaitable[None]]

COOKIE: Final = "bench"
"""What the name of every cookie begins with; a browser keeps them by host and not by port (RFC 6265, 8.5), so that each
page has its own."""
LARGEST_FORM: Final = 256 * 1024
"""No form is larger [bytes]."""
LARGEST_PHOTO: Final = 16 * 1024 * 1024
"""No photograph is larger [bytes]."""
MOST_BAD_KEYS: Final = 20
"""Wrong keys from one address in a minute."""
MOST_FROM_AFAR: Final = 300
"""Requests of one phone in a minute."""
SLOWEST_S: Final = 20.0
"""The head of a request, and each piece of its body, is there after this [s]."""
LONGEST_S: Final = 120.0
"""A whole body is there after this [s]; a photograph over a slow network takes half of it."""
HEADERS: Final = (
    (
        b"content-security-policy",
        b"default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
        b"form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)


@dataclass
class Gate:
    """Who may come in: the names the server answers to, its keys, and who has tried too often.

    ``key`` opens the page on this machine as often as it is used before the server stops; ``phone_key``, if there is
    one, opens it for one phone only. Both are exchanged for ``secret``, which the browser keeps as a cookie.
    """

    hosts: frozenset[str]
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    phone_key: str | None = None
    secret: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    cookie: str = COOKIE
    clock: Callable[[], float] = time.monotonic
    _tries: dict[str, deque[float]] = field(default_factory=lambda: defaultdict(deque))
    _asks: dict[str, deque[float]] = field(default_factory=lambda: defaultdict(deque))

    def opens(self, typed: str, who: str) -> bool:
        """Whether a key is right; a phone's key is used up. Wrong ones are counted."""
        right = _same(typed, self.key)
        if not right and self.phone_key is not None and _same(typed, self.phone_key):
            self.phone_key, right = None, True
        if not right:
            self._tries[who].append(self.clock())
        return right

    def too_often(self, who: str, near: bool, known: bool = False) -> bool:
        """Whether an address has to wait: after many wrong keys unless its browser is ``known``, or, from another
        machine, after many requests. So nobody who guesses shuts out who is at work."""
        now = self.clock()
        if len(self._asks) + len(self._tries) > 4096:
            self._asks.clear()
        if not near:
            self._asks[who].append(now)
        for book, most in ((self._tries, MOST_BAD_KEYS), (self._asks, MOST_FROM_AFAR)):
            seen = None if known and book is self._tries else book.get(who)
            while seen and now - seen[0] > 60:
                seen.popleft()
            if seen and len(seen) > most:
                return True
        return False


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode("utf-8", "replace"), other.encode("utf-8", "replace"))


class Guard:
    """Lets a request through to ``inside`` or answers it with a short refusal."""

    def __init__(self, inside: Door, gate: Gate) -> None:
        self.inside = inside
        self._gate = gate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "lifespan":
            await self.inside(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        head = _headed(send)
        refusal = self._refusal(scope)
        if refusal is not None:
            await _say(head, *refusal)
            return
        if (typed := _key_of(scope)) is not None:
            await self._enter(scope, head, typed)
            return
        if not _same(_cookies(scope).get(self._gate.cookie, ""), self._gate.secret):
            await _say(head, 403, "Open the page with the address that the terminal shows: it holds this start's key.")
            return
        await self._with_limit(scope, receive, head)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        hosts, origin = _all(scope, b"host"), _all(scope, b"origin")
        who = str((scope.get("client") or ("?",))[0])
        if len(hosts) != 1 or hosts[0] not in self._gate.hosts:
            return 421, "This page answers only to the address that the terminal shows."
        known = _same(_cookies(scope).get(self._gate.cookie, ""), self._gate.secret)
        if self._gate.too_often(who, who.startswith("127.") or who in ("::1", "testclient"), known):
            return 429, "Too many requests; wait a minute."
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "Nothing here does that."
        if origin and origin != [f"http://{hosts[0]}"]:
            return 403, "Another page asked for this; nothing was done."
        if scope["method"] == "POST" and not origin:
            return 403, "It is not known which page asked for this; nothing was done."
        if len(scope.get("raw_path") or b"") + len(scope.get("query_string") or b"") > 8192:
            return 414, "That address is too long."
        return None

    async def _enter(self, scope: Scope, send: Send, typed: str) -> None:
        who = str((scope.get("client") or ("?",))[0])
        if not self._gate.opens(typed, who):
            await _say(send, 403, "That key is not of this start, or a phone has used it already.")
            return
        cookie = f"{self._gate.cookie}={self._gate.secret}; Path=/; HttpOnly; SameSite=Strict"
        headers = [(b"location", b"/"), (b"set-cookie", cookie.encode())]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})

    async def _with_limit(self, scope: Scope, receive: Receive, send: Send) -> None:
        photo = str(scope["path"]).endswith("/photo")
        most, seen, begun = (LARGEST_PHOTO if photo else LARGEST_FORM), 0, False
        began = asyncio.get_running_loop().time()
        stated = _all(scope, b"content-length")
        if stated and (not stated[0].isdigit() or len(stated[0]) > 12 or int(stated[0]) > most):
            await _say(send, 413, "That is more than this page takes.")
            return

        async def counted() -> Message:
            nonlocal seen
            left = began + LONGEST_S - asyncio.get_running_loop().time()
            message = await asyncio.wait_for(receive(), max(0.0, min(SLOWEST_S, left)))
            seen += len(message.get("body", b""))
            if seen > most:
                raise TooLargeError
            return message

        async def watched(message: Message) -> None:
            nonlocal begun
            begun = True
            await send(message)

        try:
            await self.inside(scope, counted, watched)
        except TooLargeError:
            if not begun:
                await _say(send, 413, "That is more than this page takes.")
        except TimeoutError:
            if not begun:
                await _say(send, 408, "That came too slowly.")


class TooLargeError(Exception):
    """A body that goes on beyond what is taken."""


def _headed(send: Send) -> Send:
    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {name for name, _ in message.get("headers", ())}
            more = [pair for pair in HEADERS if pair[0] not in own]
            message = {**message, "headers": [*message.get("headers", ()), *more]}
        await send(message)

    return with_headers


async def _say(send: Send, status: int, text: str) -> None:
    body = text.encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


def _all(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key == name]


def _cookies(scope: Scope) -> dict[str, str]:
    found: dict[str, str] = {}
    for line in _all(scope, b"cookie"):
        for part in line.split(";"):
            name, _, value = part.strip().partition("=")
            found.setdefault(name, value)
    return found


def _key_of(scope: Scope) -> str | None:
    if scope["path"] != "/" or scope["method"] != "GET":
        return None
    asked = parse_qs((scope.get("query_string") or b"").decode("latin-1"))
    return asked["key"][0] if "key" in asked else None
