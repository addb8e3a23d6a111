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
from taskdata.arguments import as_option
from taskdata.errors import TaskdataError, UsageError
from taskdata.workbench.bench import Bench
from taskdata.workbench.guard import Guard
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


def application(bench: Bench, token: str, hosts: set[str]) -> Guard:
    """Return the application for one bench."""

    async def page(_: Request) -> Response:
        return Response(_asset("index.html"), media_type="text/html")

    async def asset(request: Request) -> Response:
        name = request.path_params["name"]
        content = _assets().get(name)
        if content is None:
            return Response("There is no such file.", status_code=404, media_type="text/plain")
        return Response(content, media_type=TYPES[Path(name).suffix])

    async def state(_: Request) -> Response:
        return StrictJson(bench.document())

    async def begin(_: Request) -> Response:
        bench.begin_drop()
        return StrictJson({})

    async def take(request: Request) -> Response:
        name = unquote(request.headers.get(NAME_HEADER, ""))
        alone = request.headers.get("x-alone") == "1"
        await bench.drop.take(name, _chunks(request), alone=alone)
        return StrictJson({})

    async def finish(request: Request) -> Response:
        options = await _body(request)
        await run_in_threadpool(bench.finish_drop, beside=bool(options.get("beside")))
        return StrictJson(bench.document())

    async def run(request: Request) -> Response:
        asked = await _body(request)
        options = asked.get("options", {})
        if not isinstance(options, dict):
            raise UsageError("the options of a step are no object", remedy="Reload the page")
        bench.run(str(asked.get("kind")), options)
        return StrictJson(bench.document())

    async def cancel(_: Request) -> Response:
        bench.cancel()
        return StrictJson(bench.document())

    async def undo(_: Request) -> Response:
        bench.undo()
        return StrictJson(bench.document())

    async def download(_: Request) -> Response:
        path = bench.download()
        return FileResponse(path, filename=path.name, media_type="application/octet-stream")

    async def scene(request: Request) -> Response:
        return FileResponse(bench.scene(request.path_params["number"]), media_type="application/json")

    async def texts(request: Request) -> Response:
        return StrictJson(texts_in(request.path_params["language"]))

    routes = [
        Route("/", _told(page), methods=["GET"]),
        Route("/assets/{name}", _told(asset), methods=["GET"]),
        Route("/api/state", _told(state), methods=["GET"]),
        Route("/api/drop/begin", _told(begin), methods=["POST"]),
        Route("/api/drop/file", _told(take), methods=["POST"]),
        Route("/api/drop/finish", _told(finish), methods=["POST"]),
        Route("/api/run", _told(run), methods=["POST"]),
        Route("/api/cancel", _told(cancel), methods=["POST"]),
        Route("/api/undo", _told(undo), methods=["POST"]),
        Route("/api/texts/{language}", _told(texts), methods=["GET"]),
        Route("/api/scene/{number:int}", _told(scene), methods=["GET"]),
        Route("/api/download", _told(download), methods=["GET"]),
    ]
    return Guard(Starlette(routes=routes), token, hosts)


def _told(endpoint: Endpoint) -> Endpoint:
    """Return an endpoint that answers a failure with its one line."""

    async def answer(request: Request) -> Response:
        try:
            return await endpoint(request)
        except TaskdataError as error:
            return StrictJson({"error": error.told(as_option)}, status_code=400)

    return answer


async def _body(request: Request) -> dict[str, Any]:
    content = bytearray()
    async for chunk in request.stream():
        content += chunk
        if len(content) > _MAX_CALL:
            raise UsageError("the request is too long", remedy="Reload the page")
    try:
        found = json.loads(bytes(content) or b"{}")
    except ValueError as error:
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
    names = ("bench.css", "bench.js", "calls.js", "dropping.js", "implement.js", "made.js", "steps.js")
    own = {name: _asset(name) for name in names}
    shared = files("taskdata").joinpath("page", "assets")
    maps = {name: shared.joinpath(name).read_bytes() for name in ("map.js", "canvas.js", "geo.js", "page.css")}
    library = {name: Path(leaflet.BASE_DIR, name).read_bytes() for name in ("leaflet.js", "leaflet.css")}
    return {**own, **maps, **library}


def _asset(name: str) -> bytes:
    return files("taskdata").joinpath("workbench", "assets", name).read_bytes()
