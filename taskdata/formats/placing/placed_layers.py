"""What was read from a GIS source, brought to WGS 84."""

from __future__ import annotations

from dataclasses import dataclass, field

from taskdata.findings import Finding
from taskdata.formats.base import RawTable
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
    datum : Datum or None
        The least accurate change of datum that was made; None where all was WGS 84.
    moved : frozenset of str
        Layers whose coordinates were changed to WGS 84.
    whole : bool
        Whether these are all layers, so that it is told that nothing is removed by leaving one out.
    """

    path: str
    format: str
    tables: dict[str, RawTable]
    carried: Carried | None = None
    findings: list[Finding] = field(default_factory=list)
    datum: Datum | None = None
    moved: frozenset[str] = frozenset()
    whole: bool = True

    @property
    def plain(self) -> bool:
        """Whether nothing is carried along, so that the layers are all there is."""
        return self.carried is None
