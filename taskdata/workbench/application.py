"""The pages and calls of the workbench."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Awaitable, Callable
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route
from xstatic.pkg import leaflet

from taskdata import strict_json
from taskdata.errors import TaskdataError, UsageError
from taskdata.workbench.bench import Bench
from taskdata.workbench.guard import Guard
from taskdata.workbench.job import why
from taskdata.workbench.jobs._sets import wording
from taskdata.workbench.texts import texts_in

TYPES = {".js": "text/javascript", ".css": "text/css", ".html": "text/html"}
NAME_HEADER = "x-name"
_MAX_CALL = 1 << 20

Endpoint = Callable[[Request], Awaitable[Response]]


class StrictJson(JSONResponse):
    """A JSON response without numbers that are none."""

    def render(self, content: Any) -> bytes:
        """Return the text of a document."""
        return strict_json.dumps(content, compact=True).encode("utf-8", "backslashreplace")


class Calls:
    """What the page asks of a bench, one method a call."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench

    async def page(self, _: Request) -> Response:
        """Return the page."""
        return Response(_asset("index.html"), media_type="text/html")

    async def asset(self, request: Request) -> Response:
        """Return a file that the page is made of."""
        name = request.path_params["name"]
        content = _assets().get(name)
        if content is None:
            return Response("There is no such file.", status_code=404, media_type="text/plain")
        return Response(content, media_type=TYPES[Path(name).suffix])

    async def state(self, request: Request) -> Response:
        """Return where the work stands; to a page that knows the state, how far the job is."""
        return await self._state(request, _whole(request.query_params.get("known")))

    async def _state(self, request: Request, known: int | None = None) -> Response:
        """Return where the work stands, in the language of the page, without a path in the temporary folder."""
        text = await run_in_threadpool(self._bench.document, wording(request.query_params), known)
        return Response(text.encode("utf-8", "backslashreplace"), media_type="application/json")

    async def begin(self, _: Request) -> Response:
        """Begin to take files."""
        return StrictJson({"number": self._bench.begin_drop().number})

    async def take(self, request: Request) -> Response:
        """Take one file."""
        name = unquote(request.headers.get(NAME_HEADER, ""))
        alone = request.headers.get("x-alone") == "1"
        drop = self._bench.drop(_whole(request.headers.get("x-drop")))
        await drop.take(name, _chunks(request), alone=alone)
        return StrictJson({})

    async def forget(self, request: Request) -> Response:
        """Forget a drop that was begun."""
        self._bench.forget_drop(_whole((await _body(request)).get("number")))
        return StrictJson({})

    async def finish(self, request: Request) -> Response:
        """Make a source of the files that were taken."""
        options = await _body(request)
        label, number = options.get("label"), _whole(options.get("number"))
        told = label if isinstance(label, str) else ""
        await run_in_threadpool(self._bench.finish_drop, number, beside=bool(options.get("beside")), label=told)
        return await self._state(request)

    async def run(self, request: Request) -> Response:
        """Begin a step."""
        asked = await _body(request)
        options = asked.get("options", {})
        if not isinstance(options, dict):
            raise UsageError("the options of a step are no object", remedy="Reload the page")
        self._bench.run(str(asked.get("kind")), options, _whole(asked.get("revision")))
        return await self._state(request)

    async def cancel(self, request: Request) -> Response:
        """End the step that runs."""
        self._bench.cancel()
        return await self._state(request)

    async def undo(self, request: Request) -> Response:
        """Forget the last step."""
        self._bench.undo(_whole((await _body(request)).get("revision")))
        return await self._state(request)

    async def download(self, _: Request) -> Response:
        """Return what was made to be saved."""
        path = self._bench.download()
        return FileResponse(path, filename=path.name, media_type="application/octet-stream")

    async def scene(self, request: Request) -> Response:
        """Return the map of a step."""
        drawing = self._bench.scene(request.path_params["number"])
        path = await run_in_threadpool(drawing.path, wording(request.query_params))
        return FileResponse(path, media_type="application/json")

    async def texts(self, request: Request) -> Response:
        """Return the texts of the page in a language."""
        return StrictJson(texts_in(request.path_params["language"]))

    def routes(self) -> list[Route]:
        """Return every call by its path."""
        asked: dict[str, Endpoint] = {
            "/": self.page,
            "/assets/{name}": self.asset,
            "/api/state": self.state,
            "/api/texts/{language}": self.texts,
            "/api/scene/{number:int}": self.scene,
            "/api/download": self.download,
        }
        done: dict[str, Endpoint] = {
            "/api/drop/begin": self.begin,
            "/api/drop/file": self.take,
            "/api/drop/finish": self.finish,
            "/api/drop/forget": self.forget,
            "/api/run": self.run,
            "/api/cancel": self.cancel,
            "/api/undo": self.undo,
        }
        return [
            Route(path, self._told(endpoint), methods=[method])
            for method, endpoints in (("GET", asked), ("POST", done))
            for path, endpoint in endpoints.items()
        ]

    def _told(self, endpoint: Endpoint) -> Endpoint:
        """Return an endpoint that answers a failure with its one line."""

        async def answer(request: Request) -> Response:
            try:
                return await endpoint(request)
            except (TaskdataError, OSError, MemoryError) as error:
                return StrictJson({"error": self._bench.named(why(error))}, status_code=400)

        return answer


def application(bench: Bench, token: str, hosts: set[str]) -> Guard:
    """Return the application for one bench: ``token`` is what a page has to know, ``hosts`` what it may ask for."""
    return Guard(Starlette(routes=Calls(bench).routes()), token, hosts)


def _whole(value: Any) -> int | None:
    """Return a whole number that a page gave, None for anything else."""
    try:
        return None if isinstance(value, bool) else int(value)
    except (TypeError, ValueError, OverflowError):
        return None


async def _body(request: Request) -> dict[str, Any]:
    content = bytearray()
    async for chunk in request.stream():
        content += chunk
        if len(content) > _MAX_CALL:
            raise UsageError("the request is too long", remedy="Reload the page")
    try:
        found = json.loads(bytes(content) or b"{}")
    except (ValueError, RecursionError) as error:
        raise UsageError("the request is no JSON", remedy="Reload the page") from error
    if not isinstance(found, dict):
        raise UsageError("the request is no object", remedy="Reload the page")
    return found


async def _chunks(request: Request) -> AsyncIterator[bytes]:
    async for chunk in request.stream():
        if chunk:
            yield chunk


def _assets() -> dict[str, bytes]:
    """Return what the page is made of, by name: its own files, those of the map, and the map library."""
    names = (
        *("bench.css", "bench.js", "calls.js", "dropping.js", "ground.js", "implement.js", "made.js"),
        *("steps.js", "steps_more.js", "steps_save.js", "typed.js", "working.js"),
    )
    own = {name: _asset(name) for name in names}
    shared = files("taskdata").joinpath("page", "assets")
    maps = {
        name: shared.joinpath(name).read_bytes() for name in ("map.js", "canvas.js", "geo.js", "visible.js", "page.css")
    }
    library = {name: Path(leaflet.BASE_DIR, name).read_bytes() for name in ("leaflet.js", "leaflet.css")}
    return {**own, **maps, **library}


def _asset(name: str) -> bytes:
    return files("taskdata").joinpath("workbench", "assets", name).read_bytes()
