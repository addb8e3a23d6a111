"""The stores of one file, which runs of points share while they grow."""

from __future__ import annotations

from taskdata.isoxml.tree.element import PointRun
from taskdata.isoxml.tree.point_store import PointStore
from taskdata.mapped import ArrayStore

_SEAL_AT = 1 << 16


class PointStores:
    """The stores that runs of one file share: one for each choice of attribute letters, sealed when it is full."""

    def __init__(self) -> None:
        self._open: dict[tuple[str, ...], PointStore] = {}
        self._arrays = ArrayStore()

    def begin(self, names: tuple[str, ...]) -> PointRun:
        """Return a new run without points; no other run of the same names may grow from now on."""
        store = self._open.get(names)
        if store is None or store.count() >= _SEAL_AT:
            if store is not None:
                store.seal()
            store = self._open[names] = PointStore(names, self._arrays)
        at = store.count()
        return PointRun(store, at, at)

    def relieve(self) -> None:
        """Turn into numbers what many points hold as texts or bytes; the last point may not be taken back any more."""
        for store in self._open.values():
            store.relieve()

    def seal(self) -> None:
        """Turn everything collected into columns; no run may grow any more."""
        for store in self._open.values():
            store.seal()
        self._open.clear()
