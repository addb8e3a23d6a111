"""Check one XML file against the schema of its version and explain what is wrong with it.

The file is never held as a tree: the parser validates while it reads, and only where it objects a second walk finds
every fault and words it. So memory stays small for files of any size, and small and large files are judged alike.
Hostile XML is inert: entities are not resolved, nothing is loaded from elsewhere.
"""

from __future__ import annotations

import io
from functools import partial

from taskdata.findings import Finding
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.schema import layout, load
from taskdata.isoxml.schema.attributes import AttributeCheck
from taskdata.isoxml.schema.explain import Explanation, not_valid
from taskdata.isoxml.schema.repeats import repeated
from taskdata.isoxml.schema.verdict import Hashes, decide, identifiers
from taskdata.isoxml.schema.xml_bytes import MOST_NAMES, XmlBytes


def validate(data: bytes | Blob, kind: layout.Kind, version: layout.Version | None, file: str) -> list[Finding]:
    """Return what makes a file invalid against the schema of its kind and version, in the order of the file.

    Proprietary names (clause 8.4.1), other namespaces and what they hold are passed over. A version number that no
    schema knows is for another rule to report; the file is then checked as the newest version.

    Parameters
    ----------
    data : bytes or Blob
        The whole file; a blob is read in pieces, several times.
    kind : {'task', 'external', 'header', 'linklist'}
        Which kind of file it is.
    version : (int, int) or None
        VersionMajor and VersionMinor of the set; None = unreadable.
    file : str
        Name of the file inside the set, for places.

    Returns
    -------
    list of Finding
        Empty if the file is valid. Repeated identifiers follow after the other faults.

    Examples
    --------
    >>> validate(b'<TIM A="" D="4"/>', "header", (4, 3), "TLG00001.XML")
    []
    >>> [item.rule.id for item in validate(b'<TIM A=""/>', "header", (4, 3), "TLG00001.XML")]
    ['schema.missing-attribute']
    """
    source = XmlBytes(data.opener if isinstance(data, Blob) else partial(io.BytesIO, data))
    chosen = layout.schema_version(kind, version)
    any_major = version is None or not 0 <= version[0] <= layout.NEWEST[0]
    found, hashes = _judge(source, kind, chosen, any_major, file)
    suspects = hashes.repeated()
    return found + (repeated(source, identifiers(kind, chosen[0]), suspects, file) if suspects else [])


def _judge(
    source: XmlBytes, kind: layout.Kind, version: layout.Version, any_major: bool, file: str
) -> tuple[list[Finding], Hashes]:
    """Return every fault but repeated identifiers, and the hashes of all identifiers."""
    names = source.proprietary_names()
    plain = source.is_plain() and len(names) <= MOST_NAMES
    fault = (0, "it could not be read")
    if plain:
        read = source.thinned(version[0])
        verdict = decide(read, load.whole(kind, version, names, any_major), identifiers(kind, version[0]))
        if verdict.fault is None:
            return [], verdict.hashes
        fault = verdict.fault
    schema = load.attributes_only(kind, version, names if plain else frozenset(), any_major)
    explanation = Explanation(source, kind, AttributeCheck(kind, version, schema, file), file)
    found = explanation.findings()
    if plain and not found:
        found = [not_valid(file, *fault)]
    return found, explanation.hashes
