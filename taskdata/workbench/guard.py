"""What keeps the workbench to the person who started it: loopback, a random token, its own pages, and its own host.

Another program or page on this computer can reach the port. It does not know the token; a browser tells in `Origin`
and `Sec-Fetch-Site` where a request comes from, and in `Host` what it asked for, so that a name that is made to lead
here is told apart from this one.
"""

from __future__ import annotations

import hmac

from starlette.datastructures import Headers, MutableHeaders, QueryParams
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

TOKEN_HEADER = "x-token"  # noqa: S105 - the name of a header
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "x-frame-options": "DENY",
}


class Guard:
    """Lets requests through that are from the page itself.

    Parameters
    ----------
    app : ASGI application
    token : str
    hosts : set of str
        What ``Host`` may say, with the port.
    """

    def __init__(self, app: ASGIApp, token: str, hosts: set[str]) -> None:
        self._app, self._token, self._hosts = app, token, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
            await send(message)

        refusal = self._refusal(scope)
        if refusal is None:
            await self._app(scope, receive, guarded)
        else:
            await PlainTextResponse(refusal, status_code=403)(scope, receive, guarded)

    def _refusal(self, scope: Scope) -> str | None:
        headers = Headers(scope=scope)
        if headers.get("host") not in self._hosts:
            return "This address is not the workbench's."
        origin = headers.get("origin")
        if origin is not None and origin.removeprefix("http://") not in self._hosts:
            return "The request comes from another page."
        if headers.get("sec-fetch-site", "none") not in {"none", "same-origin"}:
            return "The request comes from another page."
        if scope["path"].startswith("/assets/"):
            return None
        given = headers.get(TOKEN_HEADER) or QueryParams(scope["query_string"]).get("token", "")
        if not hmac.compare_digest(given.encode(), self._token.encode()):
            return "The token is missing or wrong: open the address that the program printed."
        return None
