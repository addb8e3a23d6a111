"""The text of a GeoJSON file as its features, and what in it is none or stands there twice."""

from __future__ import annotations

import json
from dataclasses import field
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.collector import collector_at_rest
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.file_formats.text_encoding import read_text
from taskdata.findings import Finding, Place
from taskdata.formats.geometries.nested import COLLECTION, DEPTHS
from taskdata.raised_rules.import_.crs_member import RULE as CRS_MEMBER
from taskdata.raised_rules.import_.name_twice import RULE as NAME_TWICE
from taskdata.raised_rules.import_.no_feature import RULE as NO_FEATURE
from taskdata.raised_rules.import_.not_utf_8 import RULE as NOT_UTF8

GEOMETRIES = (*DEPTHS, COLLECTION)
_SEPARATOR = "\x1e"
_REMEDY = "Copy it again from the original."


@dataclass
class Features:
    """The features of a file.

    Parameters
    ----------
    objects : list of dict
        Each with a geometry, which may be none and of any kind.
    numbers : list of int
        Which one each of them is in the file, from 1.
    crs : str or None
        The system that a member of before RFC 7946 names.
    findings : list of Finding
    """

    objects: list[dict[str, Any]]
    numbers: list[int]
    crs: str | None = None
    findings: list[Finding] = field(default_factory=list)


def read_features(path: Path) -> Features:
    """Return the features of a file.

    Raises
    ------
    SourceError
        It is no GeoJSON.
    """
    place = Place(file=path.name)
    findings: list[Finding] = []
    try:
        with collector_at_rest():
            read = read_text(path.read_bytes())
            document = _document(read.text, path.name, findings)
    except (ValueError, RecursionError, OSError) as error:
        raise SourceError("The GeoJSON file cannot be read", where=path, why=_reason(error), remedy=_REMEDY) from error
    members = _members(document)
    if members is None:
        raise SourceError(
            "The file is not GeoJSON",
            where=path,
            why="it has no features",
            remedy="Give a FeatureCollection, a Feature or a geometry.",
        )
    if read.encoding is not None:
        sure = ", which is a guess" if read.guessed else ", as its first bytes say"
        findings.append(NOT_UTF8.at(place, layer=path.name, encoding=read.encoding, sureness=sure))
    found = Features([], [], _crs_member(document), findings)
    if found.crs is not None:
        findings.append(CRS_MEMBER.at(place, layer=path.name))
    for number, member in enumerate(members, 1):
        what = _instead_of_feature(member)
        if what is None:
            found.objects.append(member)
            found.numbers.append(number)
        else:
            where = Place(file=path.name, record=number - 1)
            findings.append(NO_FEATURE.at(where, row=number, layer=path.name, what=what))
    return found


def _reason(error: ValueError | RecursionError | OSError) -> str:
    """Return why a file cannot be read, in words for the user."""
    if isinstance(error, json.JSONDecodeError):
        end = not error.doc[error.pos :].strip()
        where = f"line {error.lineno}, column {error.colno}"
        return f"it ends too early, at {where}" if end else f"it is not JSON from {where} on"
    if isinstance(error, RecursionError):
        return "its brackets are nested deeper than any geometry"
    if isinstance(error, OSError):
        return error.strerror or "the disk reported an error"
    return "a number in it has thousands of digits" if "digits" in str(error) else str(error)


def _document(text: str, name: str, findings: list[Finding]) -> Any:
    """Return what a text says; features one after another (RFC 8142, or one a line) are a collection.

    Raises
    ------
    ValueError
        It is no JSON.
    """
    try:
        return _parsed(text, name, findings, 0)
    except ValueError:
        pieces = text.split(_SEPARATOR) if _SEPARATOR in text else text.splitlines()
        filled = [piece for piece in pieces if piece.strip()]
        try:
            features = [_parsed(piece, name, findings, number) for number, piece in enumerate(filled)]
        except ValueError:
            features = []
        if not features or not all(isinstance(item, dict) and item.get("type") == "Feature" for item in features):
            raise
    return {"type": "FeatureCollection", "features": features}


def _parsed(text: str, name: str, findings: list[Finding], before: int) -> Any:
    """Return what a text says, and tell the members that stand twice in one object of it.

    ``before`` counts the features of the file that stand before the text.
    """
    twice = []

    def made(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(pairs)
        if len(made) != len(pairs):
            twice.append(pairs)
        return made

    document = json.loads(text, object_pairs_hook=made)
    if twice:
        findings += _told_twice(text, name, before)
    return document


def _told_twice(text: str, name: str, before: int) -> list[Finding]:
    """Return a finding for each member that stands twice, with the feature it stands in."""
    features = before
    found: list[tuple[int, str]] = []

    def made(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        nonlocal features
        made = dict(pairs)
        names = [name for name, _ in pairs]
        found.extend((features, name) for name in made if names.count(name) > 1)
        features += made.get("type") == "Feature"
        return made

    json.loads(text, object_pairs_hook=made)
    findings = []
    for row, member in dict.fromkeys(found):
        whole = row == features and features > before
        place = Place(file=name, record=None if whole else row)
        what = "The collection" if whole else f"Row {row + 1}"
        findings.append(NAME_TWICE.at(place, what=what, layer=name, name=strict_json.dumps(member)))
    return findings


def _members(document: Any) -> list[Any] | None:
    """Return the features of a document; a bare geometry is one feature."""
    kind = document.get("type") if isinstance(document, dict) else None
    if kind == "FeatureCollection":
        features = document.get("features")
        return features if isinstance(features, list) else None
    if kind == "Feature":
        return [document]
    return [{"type": "Feature", "properties": {}, "geometry": document}] if kind in GEOMETRIES else None


def _instead_of_feature(member: Any) -> str | None:
    """Return what stands there instead of a feature, None where it is one."""
    if not isinstance(member, dict):
        return "nothing (null)" if member is None else f"the value {strict_json.dumps(member)[:40]}"
    if member.get("type") == "Feature" or "geometry" in member:
        return None
    kind = member.get("type")
    return f"a {kind}" if isinstance(kind, str) else "an object without a geometry"


def _crs_member(document: dict[str, Any]) -> str | None:
    """Return the system that a member of before RFC 7946 names; WGS 84 is no news."""
    member = document.get("crs")
    properties = member.get("properties") if isinstance(member, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    return None if not isinstance(name, str) or name.endswith("CRS84") else name
