"""What to do about layers whose system is not known, or is doubted: use what a person named, use the guess, or tell it.

Where every layer lies is found from some of its rows before any layer is brought to WGS 84, so that each can be
compared with the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from types import MappingProxyType
from typing import NamedTuple

from taskdata.dataclass import dataclass
from taskdata.errors import TaskdataError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.placing.doubt import Doubt
from taskdata.formats.placing.doubts import WGS84, doubt_of
from taskdata.formats.placing.ground import Ground, ground_of
from taskdata.formats.placing.reasons import sentence
from taskdata.formats.placing.sampling import Sample, sample_of
from taskdata.geometry.transform import is_projected, to_wgs84
from taskdata.raised_rules.import_.crs_doubtful import RULE as CRS_DOUBTFUL
from taskdata.raised_rules.import_.crs_guessed import RULE as CRS_GUESSED
from taskdata.raised_rules.import_.crs_replaced import RULE as CRS_REPLACED
from taskdata.results.survey import CrsGuess


class Said(NamedTuple):
    """What a person says of systems.

    Parameters
    ----------
    crs : str or None
        That of layers that state none, or an implausible one.
    accept_guess : bool
        Whether guesses are to be used.
    by_name : mapping of str to str
        That of single layers by their name, whatever they state.
    """

    crs: str | None = None
    accept_guess: bool = False
    by_name: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True)
class Decision:
    """What to do about a layer.

    Parameters
    ----------
    raw : RawTable
        The layer, with the system that is to be used where that is not the one it states.
    doubt : Doubt or None
        Why it cannot be used without a system, and the guess, where that is not to be used.
    findings : list of Finding
        What has to be told.
    """

    raw: RawTable
    doubt: Doubt | None = None
    findings: list[Finding] = field(default_factory=list)


def decide(
    tables: Mapping[str, RawTable], said: Said, own: frozenset[str], beside: Sequence[Ground] = ()
) -> dict[str, Decision]:
    """Return what to do about each layer.

    Parameters
    ----------
    own : frozenset of str
        Names of layers that this program wrote: what they state is not doubted.
    beside : sequence of Ground
        Where data beside these layers lies.
    """
    tables = {name: replace(raw, crs=said.by_name.get(name, raw.crs)) for name, raw in tables.items()}
    samples = {name: sample for name, raw in tables.items() if (sample := sample_of(raw)) is not None}
    doubts = _doubts(samples, said, own, beside)
    decisions = {}
    for name, raw in tables.items():
        doubted = doubts.get(name)
        if doubted is None:
            decisions[name] = Decision(raw)
        elif name in said.by_name:
            decisions[name] = Decision(raw, None, _told(samples[name], doubted.doubt))
        else:
            decisions[name] = _decision(raw, samples[name], doubted, said)
    return decisions


def guesses_of(
    tables: Mapping[str, RawTable], crs: str | None, own: frozenset[str], beside: Sequence[Ground] = ()
) -> dict[str, CrsGuess]:
    """Return the systems that layers most likely are in, of those that state none or an implausible one.

    Parameters
    ----------
    crs : str or None
        The system of layers that state none.
    own, beside
        As for `decide`.
    """
    samples = {name: sample for name, raw in tables.items() if (sample := sample_of(raw)) is not None}
    doubts = _doubts(samples, Said(crs), own, beside)
    return {name: item.doubt.guess for name, item in doubts.items() if item.doubt.guess is not None}


def grounds_of(tables: Mapping[str, RawTable], crs: str | None = None) -> list[Ground]:
    """Return where layers lie whose system is known and plausible in itself.

    Parameters
    ----------
    crs : str or None
        The system of layers that state none.
    """
    samples = (sample for raw in tables.values() if (sample := sample_of(raw)) is not None)
    return [ground for sample in samples if (ground := _ground(sample, crs)) is not None]


@dataclass(frozen=True)
class _Doubted:
    """The doubt about a layer, and the other data that it was compared with."""

    doubt: Doubt
    others: list[Ground]


def _doubts(
    samples: Mapping[str, Sample], said: Said, own: frozenset[str], beside: Sequence[Ground]
) -> dict[str, _Doubted]:
    """Return the doubts about layers; those that are wrong for certain say nothing about the others."""
    grounds = {name: ground for name, sample in samples.items() if (ground := _ground(sample, said.crs)) is not None}
    asked = [name for name, sample in samples.items() if name not in own or _needs_system(sample.raw)]
    found = {name: _doubted(name, samples[name], grounds, beside) for name in asked}
    wrong = [name for name, item in found.items() if item is not None and item.doubt.is_sure and name in grounds]
    if wrong:
        sound = {name: ground for name, ground in grounds.items() if name not in wrong}
        found = {name: _doubted(name, samples[name], sound, beside) for name in asked}
    return {name: item for name, item in found.items() if item is not None}


def _needs_system(raw: RawTable) -> bool:
    return raw.crs is None and not raw.always_wgs84


def _doubted(name: str, sample: Sample, grounds: Mapping[str, Ground], beside: Sequence[Ground]) -> _Doubted | None:
    others = [*beside, *(ground for other, ground in grounds.items() if other != name)]
    try:
        doubt = doubt_of(sample, others)
    except TaskdataError:  # reading it says why
        return None
    return None if doubt is None else _Doubted(doubt, others)


def _ground(sample: Sample, crs: str | None) -> Ground | None:
    """Return where a layer lies as it stands, None where that is not known or impossible."""
    raw = sample.raw if sample.raw.crs is not None else replace(sample.raw, crs=crs)
    looked_at = replace(sample, raw=raw)
    try:
        if doubt_of(looked_at, ()) is not None:
            return None
        conversion = to_wgs84(raw.crs or WGS84, sample=sample.xy)
    except TaskdataError:
        return None
    return ground_of(raw.label, conversion.forward(sample.xy), raw.crs, certain=raw.log)


def _decision(raw: RawTable, sample: Sample, doubted: _Doubted, said: Said) -> Decision:
    doubt, guess = doubted.doubt, doubted.doubt.guess
    place = Place(file=raw.file)
    if said.crs is not None and raw.crs is None:
        return Decision(raw, None, _told_of_named(sample, said.crs, doubted.others))
    if said.crs is not None and _doubt_as(sample, said.crs, doubted.others) is None:
        replaced = CRS_REPLACED.at(place, crs=said.crs, layer=raw.label, reason=doubt.why)
        return Decision(replace(raw, crs=said.crs), None, [replaced])
    if guess is not None and said.accept_guess and doubt.is_sure:
        guessed = CRS_GUESSED.at(place, guess=sentence(guess), layer=raw.label, reason=doubt.why)
        return Decision(replace(raw, crs=guess.crs), None, [guessed])
    if raw.crs is None and not sample.is_degrees:
        return Decision(raw, doubt)
    return Decision(raw, None, _told(sample, doubt))


def _told_of_named(sample: Sample, crs: str, others: Sequence[Ground]) -> list[Finding]:
    """Return what is doubtful about a layer in the system that a person named for it."""
    if sample.is_degrees and is_projected(crs):  # it is not used then
        return []
    doubt = _doubt_as(sample, crs, others)
    return [] if doubt is None else _told(sample, doubt)


def _told(sample: Sample, doubt: Doubt) -> list[Finding]:
    if doubt.guess is None and doubt.is_told:
        return []
    told = "Which system it is in is not known" if doubt.guess is None else sentence(doubt.guess)
    unsure = "" if doubt.is_sure else ". The other layer may as well be the wrong one"
    raw = sample.raw
    return [CRS_DOUBTFUL.at(Place(file=raw.file), layer=raw.label, reason=doubt.why, guess=told + unsure)]


def _doubt_as(sample: Sample, crs: str, others: Sequence[Ground]) -> Doubt | None:
    """Return what would be doubtful about a layer in a system that a person named."""
    return doubt_of(replace(sample, raw=replace(sample.raw, crs=crs)), others)
