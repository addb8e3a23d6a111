"""The things of one kind of one set get their identities, step by step."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from typing import Any, Protocol

import shapely

from taskdata import strict_json
from taskdata.archives.alike import TESTS
from taskdata.archives.things import Key, Thing
from taskdata.sets.alike_outlines import SAME_OUTLINE, SAME_OUTLINE_AND_NAME, common_share

_STEPS = ("link", "content", "own", "done", "place", "plan", "ground", "name")
"""From the surest to the least sure."""
_SURE = {"link", "content", "own", "done"}
_MOST = 64
"""How many things of one key, or on one piece of ground, a thing is compared with."""


class Known(Protocol):
    """What is known of sets entered before."""

    def run(self, words: str, *values: Any) -> int:
        """Carry out a statement; return the number of the row that it inserted."""
        ...

    def rows(self, words: str, *values: Any) -> list[Any]:
        """Return what a query finds."""
        ...

    def identity(self, place: int, kind: str, key: int | None) -> str | None:
        """Return the identity of a thing of a set that was entered in this call."""
        ...


class Entering:
    """The things of one kind of one set."""

    def __init__(self, known: Known, place: int, digest: str, things: list[Thing]) -> None:
        self.known, self.place, self.digest, self.things = known, place, digest, things
        self.found: dict[int, str] = {}
        self.taken: set[str] = set()
        self.hashes = {thing["key"]: self._hashes(thing) for thing in things}

    def run(self) -> None:
        """Find or make the identity of each."""
        for step in _STEPS:
            for thing in self.things:
                if thing["key"] not in self.found or step in _SURE:
                    self._find(thing, step)
        for thing in self.things:
            self._leave(thing)

    def _find(self, thing: Thing, step: str) -> None:
        for identity in self._on_ground(thing) if step == "ground" else self._candidates(thing, step):
            own = self.found.get(thing["key"])
            if identity == own or not self._fits(thing, identity, own):
                continue
            if own is None:
                self.found[thing["key"]] = identity
                self.taken.add(identity)
                self._note(thing, identity)
            elif self._unite(own, identity):
                continue
            if step not in _SURE:
                return

    def _candidates(self, thing: Thing, step: str) -> Iterator[str]:
        for key, digest in self.hashes[thing["key"]]:
            if key["how"] == step and key["use"] != "leave":
                test = TESTS.get(key["test"])
                rows = self.known.rows("SELECT identity, facts FROM keys WHERE key = ? LIMIT ?", digest, _MOST)
                yield from (name for name, facts in rows if test is None or test(key["facts"], json.loads(facts)))

    def _on_ground(self, thing: Thing) -> Iterator[str]:
        """Yield fields that lie on the same ground, those that lie most alike first."""
        if thing["outline"] is None:
            return
        outline = shapely.from_wkb(thing["outline"])
        west, south, east, north = shapely.bounds(outline).tolist()
        rows = self.known.rows(
            "SELECT identity, name, shape FROM boxes JOIN outlines USING (number) "
            "WHERE west <= ? AND east >= ? AND south <= ? AND north >= ? "
            "ORDER BY abs(west - ?) + abs(east - ?) + abs(south - ?) + abs(north - ?), number LIMIT ?",
            *(east, west, north, south, west, east, south, north, _MOST),
        )
        found = []
        for identity, name, shape in rows:
            share = common_share(outline, shapely.from_wkb(shape))
            named = bool(name) and name == thing["name"]
            if share >= (SAME_OUTLINE_AND_NAME if named else SAME_OUTLINE):
                found.append((-share, identity))
        yield from (identity for _, identity in sorted(found))

    def _fits(self, thing: Thing, identity: str, own: str | None) -> bool:
        """Tell whether a thing may have an identity: no other of its set has it, and no two marks differ."""
        if identity in self.taken:
            return False
        marks: dict[str, set[str]] = {}
        names = [name for name in (identity, own) if name is not None]
        found = (
            row for name in names for row in self.known.rows("SELECT kind, mark FROM marks WHERE identity = ?", name)
        )
        for kind, mark in (*found, *thing["marks"]):
            marks.setdefault(kind, set()).add(mark)
        return all(len(told) == 1 for told in marks.values())

    def _note(self, thing: Thing, identity: str) -> None:
        self.known.run("INSERT INTO here VALUES (?, ?, ?, ?)", self.place, thing["kind"], thing["key"], identity)
        for kind, mark in thing["marks"]:
            self.known.run("INSERT OR IGNORE INTO marks VALUES (?, ?, ?)", identity, kind, mark)

    def _unite(self, one: str, two: str) -> bool:
        """Make two identities one if this call gave one of them and no set of it holds both."""
        new = [name for name in (two, one) if self.known.rows("SELECT 1 FROM fresh WHERE identity = ?", name)]
        shared = "SELECT 1 FROM here a JOIN here b USING (place) WHERE a.identity = ? AND b.identity = ? LIMIT 1"
        if not new or self.known.rows(shared, one, two):
            return False
        old, kept = new[0], one if new[0] == two else two
        for table in ("keys", "marks", "outlines", "here"):
            self.known.run(f"UPDATE OR IGNORE {table} SET identity = ? WHERE identity = ?", kept, old)  # noqa: S608
        for table in ("keys", "marks"):
            self.known.run(f"DELETE FROM {table} WHERE identity = ?", old)  # noqa: S608
        self.known.run("DELETE FROM fresh WHERE identity = ?", old)
        self.found = {key: kept if name == old else name for key, name in self.found.items()}
        self.taken.add(kept)
        return True

    def _leave(self, thing: Thing) -> None:
        """Make what is new a thing of its own, and let later sets find it."""
        identity = self.found.get(thing["key"])
        new = identity is None
        if identity is None:
            identity = hashed(thing["kind"], self.digest, thing["key"]).hex()
            self.known.run("INSERT INTO fresh VALUES (?)", identity)
            self._note(thing, identity)
        for key, digest in self.hashes[thing["key"]]:
            if key["use"] != "find" and (new or key["how"] != "place"):
                self._leave_key(key, digest, identity)
        if thing["outline"] is not None and not self.known.rows("SELECT 1 FROM outlines WHERE identity = ?", identity):
            self._leave_outline(thing, identity)

    def _leave_key(self, key: Key, digest: bytes, identity: str) -> None:
        """Note a key of an identity; of a log that grew its longest state counts."""
        self.known.run(
            "INSERT INTO keys VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET facts = excluded.facts "
            "WHERE ? AND length(excluded.facts) > length(facts)",
            *(digest, identity, strict_json.dumps(key["facts"]), key["test"] == "longer"),
        )

    def _leave_outline(self, thing: Thing, identity: str) -> None:
        shape = bytes.fromhex(thing["outline"] or "")
        west, south, east, north = shapely.bounds(shapely.from_wkb(shape)).tolist()
        number = self.known.run("INSERT INTO outlines VALUES (NULL, ?, ?, ?)", identity, thing["name"], shape)
        self.known.run("INSERT INTO boxes VALUES (?, ?, ?, ?, ?)", number, west, east, south, north)

    def _hashes(self, thing: Thing) -> list[tuple[Key, bytes]]:
        scopes = {"": [], "parent": self._identities([thing["parent"]]), "refs": self._identities(thing["refs"])}
        return [(key, hashed(thing["kind"], key["how"], key["text"], *scopes[key["scope"]])) for key in thing["keys"]]

    def _identities(self, things: Iterable[list[Any] | None]) -> list[str]:
        found = (self.known.identity(self.place, *item) for item in things if item is not None)
        return sorted(item for item in found if item is not None)


def hashed(*parts: object) -> bytes:
    """Return a digest of texts and numbers, 16 bytes."""
    return hashlib.blake2b("\0".join(map(str, parts)).encode("utf-8", "surrogatepass"), digest_size=16).digest()
