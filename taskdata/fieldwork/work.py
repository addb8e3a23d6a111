"""What the working elements of one log did on the ground: strips of a bar, and when they worked."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from taskdata.fieldwork import chain as chains
from taskdata.fieldwork.bars import Bar, by_hand
from taskdata.fieldwork.chain import Chain, Doubt, Joint
from taskdata.fieldwork.implement import Implement, Settings
from taskdata.fieldwork.states import States, states
from taskdata.fieldwork.tools import Tool, in_operations, spans, tools
from taskdata.fieldwork.tracks import Track, track
from taskdata.fieldwork.tree import Tree
from taskdata.fieldwork.values import Flags, Values
from taskdata.geometry import sweeps
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.bends import FINE_M
from taskdata.geometry.paths import carried, distances, lengths
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.sweeps import Pieces, Strips
from taskdata.model.tasks import Connection, Log, LogRecords

PAUSE_S = 1800.0
"""A gap between records that is longer is no field time."""

_LARGEST_TURN = math.radians(120.0)
"""What turns more within one interval reverses; its arc is taken for one of this angle."""


@dataclass(frozen=True)
class Source:
    """A log with its records and what the task joins.

    Parameters
    ----------
    log : Log
    records : LogRecords
    trees : mapping of str to Tree
        The machines of the task by their identifiers, those named in the log included.
    connections : tuple of Connection
    continuous : bool
        The records are the vertices of a line.
    delay_s : float or None
        As for `Values`.
    """

    log: Log
    records: LogRecords
    trees: Mapping[str, Tree]
    connections: tuple[Connection, ...] = ()
    continuous: bool = False
    delay_s: float | None = None

    @cached_property
    def values(self) -> Values:
        """The logged values on the time axis."""
        parts = {part.id: tree for tree in self.trees.values() for part in tree.machine.parts}
        return Values(self.log, self.records, parts, self.delay_s)


@dataclass(frozen=True, eq=False)
class Work:
    """What was done in one log; m positions, k elements.

    Parameters
    ----------
    source : Source
    tree : Tree or None
        The machine that works.
    bar : Bar
    chain : Chain
    track : Track
    states : States
        At all records.
    strips : Strips
        At the positions.
    path : ndarray
        (m, 2) the middle of the bar.
    heading : ndarray
        (m,) of the working machine.
    window_m : float
        Length of path that gives the heading of the track.
    """

    source: Source
    tree: Tree | None
    bar: Bar
    chain: Chain
    track: Track
    states: States
    strips: Strips
    path: Points
    heading: Floats
    window_m: float

    @cached_property
    def spans(self) -> list[tuple[float, float]]:
        """From where to where the elements reach, metres to the right of the antenna when driving straight on."""
        return spans(self.bar, chains.straight_on(self.chain)[1])

    @property
    def name(self) -> str:
        """What works, in words."""
        machine, carrier = None if self.tree is None else self.tree.machine, self.bar.carrier
        if machine is None or (carrier is None and machine is None):
            return "implement"
        return machine.name or machine.id

    @cached_property
    def pieces(self) -> Pieces:
        """Everything swept, as simple quadrilaterals and triangles."""
        return sweeps.pieces(self.strips)

    @cached_property
    def steps(self) -> Floats:
        """(m - 1,) metres that the middle of the bar went."""
        return np.nan_to_num(lengths(np.diff(self.path, axis=0)))

    @cached_property
    def working(self) -> Flags:
        """(m - 1,) whether an element worked on the way to the next position."""
        return np.asarray(self.strips.active.any(axis=1))

    @cached_property
    def switching_m2(self) -> float:
        """Standard deviation of the area that switching somewhere between two records leaves open."""
        active, reached = self.strips.active, self.strips.right[:-1] - self.strips.left[:-1]
        if len(active) < 2:
            return 0.0
        wide = np.hypot(reached[..., 0], reached[..., 1])[1:]
        known = ~self.track.broken[1:] & ~self.track.broken[:-1]
        variance = 0.0
        for changed in (active[1:] & ~active[:-1], active[:-1] & ~active[1:]):
            at_once = np.nan_to_num(np.where(changed, wide, 0.0).sum(axis=1))
            variance += float(((at_once * self.steps[:-1])[known] ** 2).sum() / 12.0)
        return float(np.sqrt(variance))

    @cached_property
    def turning_m2(self) -> float:
        """By how much the arcs of edges in turns differ from their chords, at most."""
        turn = np.radians(np.mod(np.diff(self.heading) + 180.0, 360.0) - 180.0)
        swept = np.bincount(self.pieces.interval, np.abs(sweeps.areas(self.pieces.quads)), minlength=len(turn))
        share = 1.0 / np.sinc(np.minimum(np.abs(np.nan_to_num(turn)), _LARGEST_TURN) / np.pi) - 1.0
        return float((swept * share).sum())

    @cached_property
    def ends_m2(self) -> float:
        """By how much area the heading at both ends of each stretch is in doubt, where the bar lies to one side.

        There the path goes on to one side only. In doubt is by how much the heading changes otherwise over the last
        stretch of half the heading window than over the one before; the bar's middle then lies ahead or back by that
        angle times its offset to the right. Chords of arcs leave a little more in doubt.
        """
        total = 0.0
        for first, after in pairwise([*self.track.starts, len(self.path)]):
            for order in (np.arange(first, after), np.arange(first, after)[::-1]):
                if len(order) > 2:
                    total += self._end(order)
        return total

    def _end(self, order: NDArray[np.intp]) -> float:
        """Return the doubt about the end of a stretch whose positions are given from that end on."""
        row = min(order[0], order[1])
        wide = self.strips.right[order[0]] - self.strips.left[order[0]]
        working = float((np.hypot(wide[:, 0], wide[:, 1]) * self.strips.active[row]).sum())
        if not working > 0.0:
            return 0.0
        near = order[: 2 + int(np.searchsorted(distances(self.track.path[order]), 2.0 * self.window_m))]
        gone = distances(self.track.path[near])
        angle = np.unwrap(np.radians(self.track.heading[near]))
        half = max(self.window_m / 2.0, float(gone[1]))
        at_end, on, beyond = np.interp([0.0, half, 2.0 * half], gone, angle)
        offset = self.path[order[0]] - self.track.path[order[0]]
        across = abs(offset[0] * math.cos(angle[0]) - offset[1] * math.sin(angle[0]))
        coarse = 4.0 * FINE_M / self.window_m
        return float(np.nan_to_num(working * across * (abs(beyond - 2.0 * on + at_end) + coarse)))


def works(source: Source, plane: LocalPlane, settings: Settings) -> tuple[list[list[Work]], tuple[Tool, ...]]:
    """Return what was done in a log, by operation, and the tools that are left out.

    No operation where nothing says how wide an implement is. An implement by hand is the only one.

    Parameters
    ----------
    plane : LocalPlane
        Of the field.
    """
    values, implement = source.values, settings.implement
    found = tools(values, source.trees.values(), settings.device)
    path = track(values, plane, settings.heading_over_m, continuous=source.continuous)
    if implement.width_m is not None:
        tree, described = (found.working[0].tree, found.working[0].bar) if found.working else (_named(source), None)
        return [[_work(source, tree, replace_width(described, implement.width_m), path, settings)]], ()
    done = [_work(source, tool.tree, tool.bar, path, settings) for tool in found.working]
    places = [chains.straight_on(item.chain) for item in done]
    bars = [item.bar for item in done]
    return in_operations(done, bars, [right for _, right in places], [ahead for ahead, _ in places]), found.left_out


def _work(source: Source, tree: Tree | None, found: Bar, path: Track, settings: Settings) -> Work:
    """Return what one bar did."""
    way = _chain(source, tree, found, settings.implement)
    state = states(source.values, tree, found.parts)
    kept = path.kept
    way, found = _at(way, kept), _bar_at(found, kept)
    places, heading, _ = chains.at_worker(way, path)
    strips = sweeps.strips(places, heading, found.left, found.right, _active(state, path), forward=found.forward)
    middle = carried(places, heading, *found.middle)
    return Work(source, tree, found, way, path, state, strips, middle, heading, settings.heading_over_m)


def _named(source: Source) -> Tree | None:
    """Return a machine that the log names, for the states of a bar by hand."""
    named = {quantity.part for quantity in source.log.quantities}
    told = [tree for tree in source.trees.values() if any(part.id in named for part in tree.machine.parts)]
    return told[-1] if told else None


def replace_width(described: Bar | None, width_m: float) -> Bar:
    """Return a bar of one element, about the middle of the one that is described."""
    plain = by_hand(width_m)
    if described is None:
        return plain
    ahead, across = (np.atleast_1d(np.asarray(item, dtype=np.float64)) for item in described.middle)
    shape = (-1, 1) if max(len(ahead), len(across)) > 1 else (1,)
    centre = np.broadcast_to(across, max(len(ahead), len(across))).reshape(shape)
    forward = np.broadcast_to(ahead, max(len(ahead), len(across))).reshape(shape)
    return replace(plain, left=centre - width_m / 2.0, right=centre + width_m / 2.0, forward=np.array(forward))


def _chain(source: Source, tree: Tree | None, found: Bar, implement: Implement) -> Chain:
    """Return the way to the bar: by hand where the user says it, else by description."""
    described = Chain()
    if tree is not None:
        described = chains.chain(source.values, source.trees, source.connections, tree, implement.trailed_m)
    axle = described.axle if implement.axle_m is None else implement.axle_m
    if tree is not None and not implement.placed:
        return replace(described, axle=axle)
    ahead, across = found.middle
    back, right = implement.offset_back_m or 0.0, implement.offset_right_m or 0.0
    doubt = None if implement.placed or implement.width_m is None else Doubt.NO_OFFSET
    if implement.trailed_m is None:
        return Chain(ahead + back, across - right, doubt=doubt, axle=axle)
    joint = Joint(-back, 0.0, ahead + implement.trailed_m, across - right, implement.trailed_m or None)
    return Chain(joints=(joint,), doubt=doubt, axle=axle)


def _at(way: Chain, kept: Sequence[int] | np.ndarray) -> Chain:
    """Return a chain whose changing offsets are those at the records kept."""

    def chosen(item: float | Floats) -> float | Floats:
        return item[kept] if isinstance(item, np.ndarray) else item

    joints = tuple(
        replace(
            joint,
            forward=chosen(joint.forward),
            right=chosen(joint.right),
            other_forward=chosen(joint.other_forward),
            other_right=chosen(joint.other_right),
        )
        for joint in way.joints
    )
    return replace(way, forward=chosen(way.forward), right=chosen(way.right), joints=joints)


def _bar_at(found: Bar, kept: Sequence[int] | np.ndarray) -> Bar:
    left, right, forward = (side[kept] if side.ndim == 2 else side for side in (found.left, found.right, found.forward))
    return replace(found, left=left, right=right, forward=forward)


def _active(state: States, path: Track) -> Flags:
    """Return (m, k) what works on the way from each place to the next: what was on at every record between."""
    if len(path.kept) == 0:
        return np.zeros((0, state.on.shape[1]), dtype=np.bool_)
    first = np.concatenate([[True], path.kept[1:] != path.kept[:-1]])
    active = np.logical_and.reduceat(state.on, path.kept[first], axis=0)[np.cumsum(first) - 1]
    active[:-1][path.broken] = False
    return np.asarray(active)
