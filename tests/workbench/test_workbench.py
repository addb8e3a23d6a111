"""The program behind the page: its steps from drop to download, who may call it, and what it leaves behind."""

from __future__ import annotations

import io
import os
import re
import signal
import subprocess
import sys
import threading
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

import taskdata
from taskdata.workbench.application import application
from taskdata.workbench.bench import Bench
from taskdata.workbench.drops import inner_name
from taskdata.workbench.history import Done
from taskdata.workbench.jobs.registry import WORK
from taskdata.workbench.texts import TEXTS

SAMPLES = Path(__file__).parents[2] / "samples"
ASSETS = Path(taskdata.__file__).parent / "workbench" / "assets"
TOKEN = "a-token-of-this-test"  # noqa: S105 - of a server in this process
HOST = "127.0.0.1:8000"


class Caller:
    """A page's calls, without a browser."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.client = TestClient(application(bench, TOKEN, {HOST}), base_url=f"http://{HOST}")
        self.headers = {"X-Token": TOKEN}

    def post(self, path: str, body: Any = None) -> Any:
        answer = self.client.post(path, json=body or {}, headers=self.headers)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def get(self, path: str) -> Any:
        answer = self.client.get(path, headers=self.headers)
        assert answer.status_code == 200, answer.text
        return answer

    def drop(self, folder: Path, *, beside: bool = False) -> Any:
        self.post("/api/drop/begin")
        files = [folder] if folder.is_file() else sorted(item for item in folder.rglob("*") if item.is_file())
        for file in files:
            name = file.name if folder.is_file() else os.fspath(file.relative_to(folder.parent))
            headers = {**self.headers, "X-Name": quote(name), "X-Alone": str(int(len(files) == 1))}
            assert self.client.post("/api/drop/file", content=file.read_bytes(), headers=headers).status_code == 200
        return self.post("/api/drop/finish", {"beside": beside})

    def run(self, kind: str, **options: Any) -> Any:
        self.post("/api/run", {"kind": kind, "options": options})
        for _ in range(2400):
            state = self.get("/api/state").json()
            if state["job"]["state"] != "running":
                break
            time.sleep(0.025)
        assert state["job"]["state"] == "done", state["job"]
        return state["steps"][-1]["result"]


@pytest.fixture
def caller() -> Iterator[Caller]:
    bench = Bench(64 << 20, WORK)
    yield Caller(bench)
    bench.close()
    assert not bench.folder.exists()


def test_from_drop_to_download(caller: Caller, tmp_path: Path) -> None:
    caller.drop(SAMPLES / "broken")
    looked = caller.run("look")
    ids = [field.id for field in taskdata.read(SAMPLES / "broken").fields]
    assert [field["id"] for field in looked["set"]["fields"]] == ids
    checked, meant = caller.run("check"), taskdata.check(SAMPLES / "broken").summary
    assert [checked["summary"][kind] for kind in ("error", "warning")] == [meant["error"], meant["warning"]]
    shown = caller.run("clean")
    assert not shown["accepted"]
    assert {change["standing"] for group in shown["groups"] for change in group["items"]} == {"safe", "review"}
    cleaned = caller.run("clean", accept=True, leave=["geometry.self-crossing"])
    assert "geometry.self-crossing" not in {group["rule"] for group in cleaned["groups"]}
    assert cleaned["after"]["error"] < cleaned["before"]["error"]
    assert not caller.run("convert", to="isoxml", version=3)["wrote"]
    caller.run("convert", to="isoxml", version=3, write=True)
    saved = tmp_path / "saved.zip"
    saved.write_bytes(caller.get("/api/download").content)
    assert taskdata.read(saved).version == (3, 3)


def test_no_path_of_the_temporary_folder_is_shown(caller: Caller, tmp_path: Path) -> None:
    caller.drop(SAMPLES / "broken")
    for kind, options in (("look", {}), ("check", {}), ("clean", {}), ("clean", {"accept": True}), ("convert", {})):
        caller.run(kind, **options)
    state = caller.get("/api/state").text
    assert '"source":"broken"' in state
    german = caller.get("/api/state?language=de").json()["steps"][0]["result"]["set"]["warnings"]
    assert "TLG00002.BIN (Aufzeichnung von TSK2) ist nicht im Satz." in german
    assert "“Eine beschädigte Datei bis zum Schaden lesen”" in german[0]
    other = tmp_path / "letter.txt"
    other.write_text("hello", encoding="utf-8")
    caller.drop(other)
    looked = caller.run("look")
    assert looked["set"] is None
    assert [item["path"] for item in looked["survey"]["aside"]] == ["letter.txt"]
    odd = tmp_path / "odd.xml"
    odd.write_text("<nothing", encoding="utf-8")
    caller.drop(odd)
    caller.post("/api/run", {"kind": "check", "options": {}})
    while caller.get("/api/state").json()["job"]["state"] == "running":
        time.sleep(0.025)
    failed = caller.get("/api/state").json()["job"]
    assert "odd.xml" in failed["error"]
    for text in (state, failed["error"]):
        assert caller.bench.folder.name not in text
        assert not re.search(r"drop-\d|step-\d", text)


def test_undo_goes_back_and_a_second_page_sees_the_same(caller: Caller) -> None:
    caller.drop(SAMPLES / "office")
    caller.run("look")
    before = caller.bench.current
    field = taskdata.read(SAMPLES / "office").fields[0]
    caller.run("choose", fields=[field.id], tasks=[])
    assert [item.id for item in taskdata.read(caller.bench.current).fields] == [field.id]
    other = Caller(caller.bench)
    assert len(other.get("/api/state").json()["steps"]) == 2
    other.post("/api/undo")
    assert caller.bench.current == before


def test_two_sets_are_merged_and_compared(caller: Caller) -> None:
    caller.drop(SAMPLES / "office")
    caller.run("look")
    state = caller.drop(SAMPLES / "machine", beside=True)
    numbers = [source["number"] for source in state["sources"]]
    assert caller.run("compare", source=numbers[1])["equal"] is False
    merged = caller.run("merge")
    assert merged["target"].endswith("merged.zip")
    number = caller.get("/api/state").json()["steps"][-1]["number"]
    labels = {layer["label"] for layer in caller.get(f"/api/scene/{number}").json()["layers"]}
    assert {"Before: office", "Before: machine"} <= labels
    assert len(taskdata.read(caller.bench.current).fields) >= len(taskdata.read(SAMPLES / "machine").fields)


def test_work_and_passes_take_an_implement(caller: Caller) -> None:
    caller.drop(SAMPLES / "machine")
    caller.run("look")
    found = caller.run("coverage")
    assert found["tasks"][0]["worked_area_m2"] == pytest.approx(
        taskdata.coverage(SAMPLES / "machine").tasks[0].areas.worked_m2
    )
    narrow = caller.run("coverage", width_m=12.0)
    assert narrow["tasks"][0]["applied_area_m2"] < found["tasks"][0]["applied_area_m2"]
    assert caller.run("passes", width_m=24.0)["passes"] > 0


def test_every_map_holds_what_is_shown(caller: Caller) -> None:
    caller.drop(SAMPLES / "machine")
    caller.run("look")
    number = caller.get("/api/state").json()["steps"][0]["number"]
    scene = caller.get(f"/api/scene/{number}").json()
    assert {"fields", "guidance"} <= {layer["name"] for layer in scene["layers"]}
    german = caller.get(f"/api/scene/{number}?language=de&units=us").json()
    assert (german["language"], german["units"], german["texts"]["zoomIn"]) == ("de", "us", "Vergrößern")


@pytest.mark.parametrize(
    ("headers", "path"),
    [
        ({}, "/api/state"),
        ({"X-Token": "wrong"}, "/api/state"),
        ({"X-Token": TOKEN, "Host": "attacker.example:8000"}, "/api/state"),
        ({"X-Token": TOKEN, "Origin": "http://attacker.example"}, "/api/state"),
        ({"X-Token": TOKEN, "Origin": "null"}, "/api/state"),
        ({"X-Token": TOKEN, "Sec-Fetch-Site": "cross-site"}, "/api/state"),
        ({"X-Token": TOKEN, "Sec-Fetch-Site": "same-site"}, "/api/state"),
        ({"Host": "attacker.example"}, "/assets/map.js"),
        ({}, "/"),
    ],
)
def test_others_are_refused(caller: Caller, headers: dict[str, str], path: str) -> None:
    answer = caller.client.get(path, headers=headers)
    assert answer.status_code == 403
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("name", ["../index.html", "%2e%2e%2findex.html", "bench.py", "..%5cbench.js"])
def test_only_the_pages_own_files_are_given(caller: Caller, name: str) -> None:
    assert caller.client.get(f"/assets/{name}", headers=caller.headers).status_code == 404


BAD_NAMES = ["../../etc/passwd", "/etc/passwd", "C:\\x\\..\\y", "a/../../b", "\x00", "", "x" * 900, "a\nb", "..."]


@pytest.mark.parametrize("name", BAD_NAMES)
def test_names_of_files_never_lead_out_of_the_archive(caller: Caller, name: str) -> None:
    inside = inner_name(name, 3)
    assert inside
    assert not inside.startswith("/")
    assert ".." not in inside.split("/")
    assert all(letter.isprintable() and letter not in ":\\" for letter in inside)
    caller.post("/api/drop/begin")
    headers = {**caller.headers, "X-Name": quote(name), "X-Alone": "0"}
    assert caller.client.post("/api/drop/file", content=b"<a/>", headers=headers).status_code == 200
    caller.post("/api/drop/finish")
    kept = [item for item in caller.bench.folder.rglob("*") if item.is_file()]
    assert [item.suffix for item in kept] == [".zip"]
    assert zipfile.ZipFile(kept[0]).namelist() == [inner_name(name, 0)]


def test_too_much_is_refused_and_a_bomb_too(tmp_path: Path) -> None:
    bench = Bench(1 << 20, WORK)
    caller = Caller(bench)
    try:
        caller.post("/api/drop/begin")
        answer = caller.client.post("/api/drop/file", content=bytes(2 << 20), headers={**caller.headers, "X-Name": "a"})
        assert answer.status_code == 400
        assert "is more than may be dropped" in answer.json()["error"]
        bomb = io.BytesIO()
        with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("TASKDATA/TASKDATA.XML", bytes(400 << 20))
        path = tmp_path / "bomb.zip"
        path.write_bytes(bomb.getvalue())
        caller.drop(path)
        caller.post("/api/run", {"kind": "look", "options": {}})
        for _ in range(1200):
            job = caller.get("/api/state").json()["job"]
            if job["state"] != "running":
                break
            time.sleep(0.025)
        assert job["state"] == "failed"
        assert "unpack" in job["error"]
    finally:
        bench.close()


def test_a_job_can_be_ended(caller: Caller) -> None:
    caller.drop(SAMPLES / "machine")
    caller.post("/api/run", {"kind": "check", "options": {}})
    caller.post("/api/cancel")
    for _ in range(2400):
        state = caller.get("/api/state").json()
        if state["job"]["state"] != "running":
            break
        time.sleep(0.025)
    assert state["job"]["state"] == "cancelled"
    assert state["steps"] == []


def test_every_text_of_the_pages_can_be_translated() -> None:
    asked = {
        text
        for path in ASSETS.glob("*.js")
        for text in re.findall(r'\bt\("((?:[^"\\]|\\.)*)"', path.read_text(encoding="utf-8"))
    }
    asked |= set(re.findall(r'data-text="([^"]*)"', (ASSETS / "index.html").read_text(encoding="utf-8")))
    assert asked | {"error", "warning", "note"} == set(TEXTS)


@pytest.mark.parametrize("kind", [signal.SIGINT, signal.SIGTERM])
def test_the_command_prints_an_address_and_leaves_nothing(kind: signal.Signals, tmp_path: Path) -> None:
    words = [sys.executable, "-m", "taskdata", "workbench", "--no-browser"]
    place = {**os.environ, "TMPDIR": os.fspath(tmp_path)}
    process = subprocess.Popen(words, stdout=subprocess.PIPE, text=True, env=place)
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=\S{40,}\n", line)
        assert len(list(tmp_path.iterdir())) == 1
        process.send_signal(kind)
        assert process.wait(60) == 0
        assert process.stdout.read() == ""
    finally:
        process.kill()
        process.stdout.close()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"\xff", b"[1]", b"{", b"[" * 200_000, b'{"kind":' * 100_000])
def test_a_request_that_is_no_object_is_told_in_one_line(content: bytes, caller: Caller) -> None:
    answer = caller.client.post("/api/run", content=content, headers=caller.headers)
    assert answer.status_code == 400
    assert answer.json()["error"].startswith("the request is no ")


def test_a_new_drop_is_undone_and_two_files_of_one_name_are_kept(caller: Caller) -> None:
    caller.drop(SAMPLES / "office")
    caller.run("look")
    office = caller.bench.current
    caller.post("/api/drop/begin")
    for content in (b"<one/>", b"<two/>"):
        headers = {**caller.headers, "X-Name": "A.XML", "X-Alone": "0"}
        assert caller.client.post("/api/drop/file", content=content, headers=headers).status_code == 200
    state = caller.post("/api/drop/finish")
    assert state["sources"][0]["kept"] == [["A.XML", "copy-2/A.XML"]]
    with zipfile.ZipFile(caller.bench.current) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == {
            "A.XML": b"<one/>",
            "copy-2/A.XML": b"<two/>",
        }
    dropped = caller.bench.current
    state = caller.post("/api/undo")
    assert (caller.bench.current, state["undo"], len(state["steps"])) == (office, None, 1)
    assert office.exists()
    assert not dropped.exists()


def test_two_pages_do_not_fight(caller: Caller) -> None:
    first = caller.post("/api/drop/begin")["number"]
    second = caller.post("/api/drop/begin")["number"]
    headers = {**caller.headers, "X-Name": "a.xml", "X-Alone": "0", "X-Drop": str(first)}
    answer = caller.client.post("/api/drop/file", content=b"<a/>", headers=headers)
    assert answer.status_code == 400
    assert "Drop the files again" in answer.json()["error"]
    caller.post("/api/drop/forget", {"number": first})
    caller.drop(SAMPLES / "office")
    seen = caller.get("/api/state").json()["revision"]
    assert set(caller.get(f"/api/state?known={seen}").json()) == {"revision", "job"}
    caller.run("look")
    for path, body in (("/api/undo", {}), ("/api/run", {"kind": "check"})):
        answer = caller.client.post(path, json={**body, "revision": seen}, headers=caller.headers)
        assert answer.status_code == 400
        assert "something else was done meanwhile" in answer.json()["error"]
    assert second > first


def test_a_job_is_ended_wherever_it_is_and_leaves_no_file() -> None:
    """Work that never says how far it is, as a long computation in a library, ends all the same."""
    begun = threading.Event()

    def endless(bench: Bench, _: dict[str, Any]) -> Done:
        bench.fresh("half.zip").write_bytes(b"half")
        begun.set()
        while True:
            sum(range(1000))

    bench = Bench(1 << 20, {"endless": endless})
    try:
        bench.run("endless", {})
        assert begun.wait(60)
        job = bench.job
        assert job is not None
        bench.cancel()
        job.wait(60)
        assert job.state == "cancelled"
        assert list(bench.folder.iterdir()) == []
    finally:
        bench.close()


@pytest.mark.parametrize("named", ["stick", "~nobody-of-this-name/x", "a\0b", "{file}", "{bench}/x", "/proc/x"])
def test_a_folder_that_cannot_be_written_is_refused_with_a_remedy(caller: Caller, named: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("kept", encoding="utf-8")
    folder = named.format(file=tmp_path / "file", bench=caller.bench.folder)
    caller.drop(SAMPLES / "office")
    caller.post("/api/run", {"kind": "convert", "options": {"write": True, "folder": folder}})
    job = caller.bench.job
    assert job is not None
    job.wait(60)
    assert (job.state, (tmp_path / "file").read_text(encoding="utf-8")) == ("failed", "kept")
    assert re.search(r"\. (Name|Choose) ", job.error or "")


def test_a_rate_map_is_made_of_a_column_that_is_seen(caller: Caller) -> None:
    caller.drop(SAMPLES / "office")
    caller.run("look")
    number = caller.drop(SAMPLES / "rates" / "spraying.geojson", beside=True)["sources"][1]["number"]
    columns = {item["name"]: item for item in caller.run("columns", source=number)["columns"]}
    assert 0.0 <= columns["l_ha"]["least"] <= columns["l_ha"]["mean"] <= columns["l_ha"]["most"]
    asked = {"source": number, "column": "l_ha", "unit": "L/ha", "product": "PDT5", "field": "PFD1"}
    shown = caller.run("ratemap", **asked)
    before = caller.bench.current
    assert caller.run("ratemap", **asked, accept=True)["bill"] == shown["bill"]
    assert caller.bench.current != before
