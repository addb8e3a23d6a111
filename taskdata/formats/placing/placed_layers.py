"""What was read from a GIS source, brought to WGS 84."""

from __future__ import annotations

from dataclasses import field

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.formats.base import RawTable
from taskdata.formats.placing.datums import systems_met
from taskdata.model.carried import Carried
from taskdata.results.reading import Datum


@dataclass(frozen=True)
class PlacedLayers:
    """The tables of a source.

    Parameters
    ----------
    path, format : str
        Where it was read from and how.
    tables : dict of str to RawTable
        Layers by name, geometry in WGS 84; the side tables are not among them.
    carried : Carried or None
        What the side tables hold, where the source was written by this package.
    findings : list of Finding
        What reading found wrong.
    changes : dict of str to Datum
        How the coordinates of each layer were brought to WGS 84.
    whole : bool
        Whether these are all layers, so that it is told that nothing is removed by leaving one out.
    """

    path: str
    format: str
    tables: dict[str, RawTable]
    carried: Carried | None = None
    findings: list[Finding] = field(default_factory=list)
    changes: dict[str, Datum] = field(default_factory=dict)
    whole: bool = True

    @property
    def plain(self) -> bool:
        """Whether nothing is carried along, so that the layers are all there is."""
        return self.carried is None

    @property
    def datum(self) -> tuple[Datum, ...]:
        """The changes to WGS 84, one for each system."""
        return systems_met(self.changes)

    @property
    def moved(self) -> frozenset[str]:
        """The layers whose coordinates are not as they were read."""
        return frozenset(name for name, change in self.changes.items() if change.moved)
