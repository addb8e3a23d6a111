"""What is asked of the program about any source: no exception but its own, the same back, and bounded work."""

from __future__ import annotations

import resource
import time
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import taskdata
from taskdata.api.dataset import Dataset
from taskdata.errors import SourceError, TargetError, TaskdataError, UsageError
from tests.damaged import FILES, write_set

MOST_SECONDS, MOST_MIB = 10.0, 400
FORMATS = ("gpkg", "parquet", "geojson", "shapefile", "flatgeobuf")


class BrokenError(AssertionError):
    """The program did something that it must not do with any input."""


@contextmanager
def bounded() -> Iterator[None]:
    """Hold that processor time and memory stay within what a file of some kilobytes may take."""
    start, before = time.process_time(), _peak()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        yield
    seconds, grown = time.process_time() - start, _peak() - before
    if seconds > MOST_SECONDS:
        raise BrokenError(f"took {seconds:.1f} seconds")
    if grown > MOST_MIB:
        raise BrokenError(f"took {grown} MiB")


def _peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10


@contextmanager
def own_errors() -> Iterator[None]:
    """Let failures of the source and the call pass, each in one line; a target that cannot be written is a find.

    A file whose name other systems cannot hold is refused in writing by its name, which is no find.
    """
    try:
        yield
    except TargetError as error:
        if "cannot be written with a file named" in str(error) and "\n" not in str(error):
            return
        raise BrokenError(f"could not write: {error}") from error
    except TaskdataError as error:
        if "\n" in str(error) or not str(error).strip():
            raise BrokenError(f"not one line: {str(error)!r}") from error


def any_set(source: Path) -> None:
    """Read, check and write a task data set; and read it for rescue where it cannot be read."""
    with own_errors():
        try:
            data = taskdata.read(source, partial=True)
        except SourceError:
            data = taskdata.read(source, partial=True, rescue=True)
        taskdata.check(data)
        _same_back(data, source)


def any_layers(source: Path) -> None:
    """Survey, read, check and write layers."""
    with own_errors():
        taskdata.survey(source)
    with own_errors():
        try:
            data = taskdata.read(source, partial=True)
        except UsageError:
            data = taskdata.read(source, partial=True, accept_guess=True, derive_fields=True, crs="EPSG:32632")
        taskdata.check(data)
        _same_back(data, source)


def any_rate_map(source: Path) -> None:
    """Make a planned task of a map of rates."""
    with own_errors():
        taskdata.survey(source)
    with own_errors():
        target = _beside(source, "planned")
        taskdata.ratemap(source, target, field="Kuhle", column="1", unit="kg/ha", accept_rates=True, gap_rate=0.0)
        taskdata.check(target)


def any_mapping(source: Path) -> None:
    """Read and survey a layer with a mapping file."""
    layer = source.parent / "rows.csv"
    layer.write_text("Name;Lat;Lon;Breite\nKuhle;54.3;9.5;24\nHang;54.301;9.502;24\n", encoding="utf-8")
    with own_errors():
        taskdata.survey(layer, mapping=source)
    with own_errors():
        taskdata.check(taskdata.read(layer, mapping=source))


def any_profile(source: Path) -> None:
    """Check a set with tolerances from a file."""
    with own_errors():
        taskdata.check(_sound(source), profile=source)


def any_receiver(source: Path) -> None:
    """Check and adapt a set for a terminal that a file describes."""
    sound = _sound(source)
    with own_errors():
        taskdata.check(sound, receiver=source)
    with own_errors(), suppress(TargetError):  # a set may be too much for a terminal
        taskdata.convert(sound, _beside(source, "adapted"), to="isoxml", receiver=source)


def _sound(source: Path) -> Path:
    place = source.parent / "sound"
    return place / "TASKDATA" if place.exists() else write_set(place, FILES)


def _same_back(data: Dataset, source: Path) -> None:
    """Write a set twice, with what was read back between; and sometimes as layers, proved by reading."""
    first, second = _beside(source, "first.zip"), _beside(source, "second.zip")
    taskdata.write(data, first, to="isoxml", verify=True)
    taskdata.write(taskdata.read(first, partial=True), second, to="isoxml")
    one, other = _files(first), _files(second)
    if one != other:
        names = sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))
        raise BrokenError(f"written again differently: {', '.join(names)}")
    turn = zlib.crc32(repr(sorted(one.items())).encode("utf-8", "surrogatepass"))
    if turn % 4 == 0:
        form = FORMATS[turn // 4 % len(FORMATS)]
        taskdata.write(data, _beside(source, "layers.gpkg" if form == "gpkg" else "layers"), to=form, verify=True)


def _files(archive: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(archive) as opened:
        return {info.filename: opened.read(info) for info in opened.infolist()}


def _beside(source: Path, name: str) -> Path:
    """Return a place for a target that is no part of the source."""
    folder = source.parent / "fuzz-targets" if source.is_file() else source.parent / f"{source.name} targets"
    folder.mkdir(exist_ok=True)
    return folder / name
