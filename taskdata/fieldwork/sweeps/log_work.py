"""What the working elements of one log did on the ground: strips of a bar, and when they worked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.implement import Implement, Settings, Switching
from taskdata.fieldwork.logs.logged_values import Flags, Values
from taskdata.fieldwork.logs.tracks import Track, track
from taskdata.fieldwork.machine import connectors as chains
from taskdata.fieldwork.machine.connectors import Connectors, DescriptionGap, Joint
from taskdata.fieldwork.machine.section_states import States, states
from taskdata.fieldwork.machine.working_bars import Bar, by_hand
from taskdata.fieldwork.machine.working_tools import Tool, in_operations, spans, tools
from taskdata.fieldwork.part_tree import Tree
from taskdata.geometry import sweeps
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import carried, lengths
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.sweeps import Pieces, Strips
from taskdata.model.logs import Log, LogRecords
from taskdata.model.tasks import Connection

PAUSE_S = 1800.0
"""A gap between records that is longer is no field time."""


@dataclass(frozen=True)
class LogSource:
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
class LogWork:
    """What was done in one log; m positions, k elements.

    Parameters
    ----------
    source : LogSource
    tree : Tree or None
        The machine that works.
    bar : Bar
    chain : Connectors
    track : Track
    states : States
        At all records.
    strips : Strips
        At the positions.
    path : ndarray
        (m, 2) the middle of the bar.
    heading : ndarray
        (m,) of the working machine.
    opening, closing : ndarray
        (m - 1, k) whether the next record with a position finds an element on that was off, or off that was on.
    spread_m : ndarray
        (m,) standard deviation across the heading that not knowing how a stretch began leaves.
    settings : Settings
    """

    source: LogSource
    tree: Tree | None
    bar: Bar
    chain: Connectors
    track: Track
    states: States
    strips: Strips
    path: Points
    heading: Floats
    opening: Flags
    closing: Flags
    spread_m: Floats
    settings: Settings

    @cached_property
    def spans(self) -> list[tuple[float, float]]:
        """From where to where the elements reach, metres to the right of the antenna when driving straight on."""
        return spans(self.bar, chains.straight_on(self.chain)[1])

    @property
    def name(self) -> str:
        """What works, in words."""
        if self.tree is None:
            return "implement"
        return self.tree.machine.name or self.tree.machine.id

    @cached_property
    def motion(self) -> NDArray[np.int8]:
        """(m - 1, k) what each element does; see `sweeps.motions`."""
        return sweeps.motions(self.strips)

    @cached_property
    def pieces(self) -> Pieces:
        """Everything swept, as simple quadrilaterals and triangles."""
        return sweeps.pieces(self.strips, self.motion)

    @cached_property
    def piece_areas(self) -> Floats:
        """The areas of `pieces` in the plane, m²."""
        return np.abs(sweeps.areas(self.pieces.quads))

    @cached_property
    def steps(self) -> Floats:
        """(m - 1,) metres that the middle of the bar went."""
        return np.nan_to_num(lengths(np.diff(self.path, axis=0)))

    @cached_property
    def working(self) -> Flags:
        """(m - 1,) whether an element worked on the way to the next position."""
        return np.asarray(self.strips.active.any(axis=1))


def works(source: LogSource, plane: LocalPlane, settings: Settings) -> tuple[list[list[LogWork]], tuple[Tool, ...]]:
    """Return what was done in a log, by operation, and the tools that are left out.

    No operation where nothing says how wide an implement is. An implement by hand is the only one.

    Parameters
    ----------
    plane : LocalPlane
        Of the field.
    """
    values, implement = source.values, settings.implement
    found = tools(values, source.trees.values(), settings.device)
    halved = _changes(source, found.working) if settings.switching is Switching.MIDDLE else None
    path = track(values, plane, settings.heading_over_m, continuous=source.continuous, halved=halved)
    if implement.width_m is not None:
        tree, described = (found.working[0].tree, found.working[0].bar) if found.working else (_named(source), None)
        return [[_work(source, tree, replace_width(described, implement.width_m), path, settings)]], ()
    done = [_work(source, tool.tree, tool.bar, path, settings) for tool in found.working]
    places = [chains.straight_on(item.chain) for item in done]
    bars = [item.bar for item in done]
    return in_operations(done, bars, [right for _, right in places], [ahead for ahead, _ in places]), found.left_out


def _work(source: LogSource, tree: Tree | None, found: Bar, path: Track, settings: Settings) -> LogWork:
    """Return what one bar did."""
    way = _chain(source, tree, found, settings.implement)
    state = states(source.values, tree, found.parts)
    kept = path.kept
    way, found = _at(way, kept), _bar_at(found, kept)
    places, heading, spread = chains.at_worker(way, path)
    now, later = _active(state, path)
    opening, closing = (~now & later)[:-1], (now & ~later)[:-1]
    if settings.switching is Switching.MIDDLE:
        now = np.where((path.share >= 0.5)[:, np.newaxis], later, now)
    strips = sweeps.strips(places, heading, found.left, found.right, now, forward=found.forward)
    middle = carried(places, heading, *found.middle)
    return LogWork(source, tree, found, way, path, state, strips, middle, heading, opening, closing, spread, settings)


def _changes(source: LogSource, working: Sequence[Tool]) -> Flags:
    """Return (n,) whether a state of any tool changes from each record to the next."""
    changes = np.zeros(source.values.count, dtype=np.bool_)
    for tool in working:
        on = states(source.values, tool.tree, tool.bar.parts).on
        changes[:-1] |= (on[1:] != on[:-1]).any(axis=1)
    return changes


def _named(source: LogSource) -> Tree | None:
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


def _chain(source: LogSource, tree: Tree | None, found: Bar, implement: Implement) -> Connectors:
    """Return the way to the bar: by hand where the user says it, else by description."""
    described = Connectors()
    if tree is not None:
        described = chains.connectors_to(source.values, source.trees, source.connections, tree, implement.trailed_m)
    axle = described.axle if implement.axle_m is None else implement.axle_m
    if tree is not None and not implement.placed:
        return replace(described, axle=axle)
    ahead, across = found.middle
    back, right = implement.offset_back_m or 0.0, implement.offset_right_m or 0.0
    doubt = None if implement.placed or implement.width_m is None else DescriptionGap.NO_OFFSET
    if implement.trailed_m is None:
        return Connectors(ahead + back, across - right, doubt=doubt, axle=axle)
    joint = Joint(-back, 0.0, ahead + implement.trailed_m, across - right, implement.trailed_m or None)
    return Connectors(joints=(joint,), doubt=doubt, axle=axle)


def _at(way: Connectors, kept: Sequence[int] | np.ndarray) -> Connectors:
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


def _active(state: States, path: Track) -> tuple[Flags, Flags]:
    """Return (m, k) what works from each place on, and what does from the next record with a position on.

    Works what was on at every record between. Where the way is broken nothing does, and nothing is known to change.
    """
    if len(path.kept) == 0:
        return np.zeros((2, 0, state.on.shape[1]), dtype=np.bool_)  # type: ignore[return-value]
    first = np.concatenate([[True], path.kept[1:] != path.kept[:-1]])
    records = np.logical_and.reduceat(state.on, path.kept[first], axis=0)
    number = np.cumsum(first) - 1
    now, later = records[number], records[np.minimum(number + 1, len(records) - 1)]
    gone = np.append(path.broken, False)
    now[gone] = later[gone] = False
    return now, later
