"""KMZ (OGC 12-007r2, annex C): a zip archive with one KML file as its document, and what that refers to."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path, PurePosixPath
from typing import BinaryIO, cast

from taskdata.errors import SourceError
from taskdata.findings import Place
from taskdata.formats.base import LayerFiles, Tables, read_each
from taskdata.formats.columns import Layer
from taskdata.formats.drivers.kml import Kml
from taskdata.formats.drivers.kml_read import THROUGH, Reading
from taskdata.formats.drivers.kml_text import document
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.heads import kml_columns
from taskdata.formats.markup.reading import read_markup
from taskdata.model.carried import Carried
from taskdata.packed import FAULTS, Unpacked
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT

_MAIN, _ENDING = "doc.kml", ".kml"


class Kmz(Kml):
    """The driver; a layer a file."""

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer as the document of an archive."""
        for layer in layers:
            with writing(target.path), zipfile.ZipFile(target.of(layer), "w", zipfile.ZIP_DEFLATED) as archive:
                member = zipfile.ZipInfo(_MAIN)  # without the time of day: the same layers make the same file
                member.compress_type = zipfile.ZIP_DEFLATED
                with archive.open(member, "w", force_zip64=True) as inside:
                    text = io.TextIOWrapper(cast(BinaryIO, inside), encoding="utf-8", newline="\n")
                    text.writelines(document(layer))
                    text.flush()
                    text.detach()

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the document; none where other files lie beside it."""
        with zipfile.ZipFile(path) as archive:
            if archive.namelist() != [_MAIN]:
                return {path.stem: ()}
            return {path.stem: kml_columns(cast(BinaryIO, archive.open(_MAIN)))}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the tables of each file."""
        return read_each(files, read_file)


DRIVER = Kmz()


def read_file(path: Path) -> Tables:
    """Return what the document of an archive holds, as of a KML file; further KML files in it are told.

    Raises
    ------
    SourceError
        It is no archive, holds no document, unpacks to far too much, or nothing in it can be read.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            members = [info for info in archive.infolist() if not info.is_dir()]
            Unpacked().take(str(path), members)
            documents = [info for info in members if info.filename.lower().endswith(_ENDING)]
            if not documents:
                raise _unreadable(path, f"it holds no {_ENDING} file")
            main = min(documents, key=lambda info: _rank(info.filename))
            archive.open(main).close()
    except FAULTS as error:
        if isinstance(error, SourceError):
            raise
        raise _unreadable(path, f"it is a damaged zip archive ({error})") from None
    found = read_markup(
        path, lambda: _member(path, main), main.file_size, Reading(path), through=THROUGH, noun="KMZ file"
    )
    for info in documents:
        if info is not main:
            reason = f"a KMZ file has one document, {main.filename}"
            place = Place(file=path.name)
            found.findings.append(LAYER_LEFT_OUT.at(place, layer=f"{info.filename} in {path.name}", reason=reason))
    return found


def _rank(name: str) -> tuple[bool, int]:
    """Return what is the smaller, the likelier a file is the document: ``doc.kml``, then the first at the top."""
    return name.lower() != _MAIN, len(PurePosixPath(name).parts)


def _member(path: Path, info: zipfile.ZipInfo) -> BinaryIO:
    return cast(BinaryIO, zipfile.ZipFile(path).open(info))


def _unreadable(path: Path, why: str) -> SourceError:
    return SourceError("The KMZ file cannot be read", where=path, why=why, remedy="Copy it again from the original.")
