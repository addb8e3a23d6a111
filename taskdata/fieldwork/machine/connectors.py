"""The way from the positioning device to a working machine, over the connectors that join machines.

Axes are those of the standard (ISO 11783-10, 8.7): forward and right, from the reference point of each machine. A joint
is one point with an offset on either side. A mounted machine has the heading of the one that carries it; a drawn one
follows its hitch. Connector types (DDI 157) of drawn machines are from memory: drawbar, hook, clevis, piton, ball and
wagon hitches.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from enum import Enum, auto
from itertools import pairwise
from typing import NamedTuple, TypeAlias

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.logs.logged_values import Values
from taskdata.fieldwork.logs.tracks import Track
from taskdata.fieldwork.machine.part_measures import OFFSET_X, OFFSET_Y, Metres, metres
from taskdata.fieldwork.part_tree import Tree, constant
from taskdata.geometry import tractrix
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import carried, lengths
from taskdata.geometry.tractrix import TrailedHeading
from taskdata.model.machines import Part, PartKind
from taskdata.model.tasks import Connection

CONNECTOR_TYPE = 157
DRAWN = frozenset({1, 4, 5, 6, 7, 8, 10})
_SHORTEST_M = 0.5
_SHORTEST_AXLE_M = 0.05
_BEND_M = 3.0

Route: TypeAlias = tuple[tuple[Part, Part], ...]
"""From machine to machine, the connector of the one that carries, and that of the other."""


class DescriptionGap(Enum):
    """What the description leaves open."""

    NO_NAVIGATION = auto()
    ASSUMED_JOINT = auto()
    NO_JOINT = auto()
    NO_OFFSET = auto()


@dataclass(frozen=True, eq=False)
class Joint:
    """Where two machines meet: offsets on the side that carries and on the other, and the length of a drawn one."""

    forward: Metres
    right: Metres
    other_forward: Metres
    other_right: Metres
    length: float | None = None


@dataclass(frozen=True, eq=False)
class Connectors:
    """The offset of the positioning device, the joints from its machine to the working one, and what is in doubt.

    ``axle`` is by how many metres the device lies ahead of the axle that rolls without slip.
    """

    forward: Metres = 0.0
    right: Metres = 0.0
    joints: tuple[Joint, ...] = ()
    doubt: DescriptionGap | None = None
    axle: float = 0.0

    @property
    def follows(self) -> bool:
        """Whether the device lies off the axle, which then follows it."""
        return abs(self.axle) >= _SHORTEST_AXLE_M

    @property
    def trailed(self) -> bool:
        """Whether a machine follows its hitch."""
        return any(joint.length is not None for joint in self.joints)


def connectors_to(
    values: Values,
    trees: Mapping[str, Tree],
    connections: Sequence[Connection],
    worker: Tree,
    trailed: float | None = None,
) -> Connectors:
    """Return the way to the reference point of the working machine.

    Parameters
    ----------
    trees : mapping of str to Tree
        The machines of the task by their identifiers.
    connections : sequence of Connection
        What the task joins.
    worker : Tree
        The machine that works.
    trailed : float, optional
        It is drawn, with so many metres from its hitch to its axle, whatever its description says.
    """
    routes = _routes(trees, connections, worker.machine.id)
    others = [identifier for identifier in routes if identifier != worker.machine.id]
    for identifier in (*others, worker.machine.id):
        navigation = _navigation(trees[identifier])
        if navigation is not None:
            joints = tuple(_joint(values, pair, trailed) for pair in routes[identifier])
            place = _place(values, navigation)
            return Connectors(*place, joints, axle=_axle(values, routes, identifier, place[0]))
    return _guessed(values, trees, worker, routes, trailed)


class WorkerPath(NamedTuple):
    """Where the reference point of the working machine was: (n, 2) metres, (n,) degrees, and how well that is known.

    ``spread_m`` (n,) is the standard deviation across the heading that comes of not knowing how a stretch began.
    """

    path: Points
    heading: Floats
    spread_m: Floats


def at_worker(found: Connectors, way: Track) -> WorkerPath:
    """Return where the working machine was while the positioning device went its way.

    The axle below the device follows it, and each drawn machine its hitch. Both begin a stretch as they would go on
    along its first bend for ever.
    """
    heading, spread = np.radians(way.heading), np.zeros(len(way.path))
    if found.follows:
        heading, spread = _towed_heading(way.path, heading, found.axle, way, smooth=True)
    places = carried(way.path, np.degrees(heading), -found.forward, -found.right)
    across = spread * abs(found.axle)
    for joint in found.joints:
        hitch = carried(places, np.degrees(heading), joint.forward, joint.right)
        if joint.length is not None:
            heading, spread = _towed_heading(hitch, heading, joint.length, way, smooth=False)
            across = np.hypot(across, spread * joint.length)
        places = carried(hitch, np.degrees(heading), -joint.other_forward, -joint.other_right)
    return WorkerPath(places, np.degrees(heading) % 360.0, across)


def _towed_heading(point: Points, carrier: Floats, length: float, way: Track, *, smooth: bool) -> TrailedHeading:
    """Return the heading of what follows a point, stretch by stretch.

    Parameters
    ----------
    point : ndarray
        (n, 2) metres.
    carrier : ndarray
        (n,) radians of what carries the point; where it is smooth it is the direction of the point itself.
    """
    heading, spread = np.array(carrier), np.zeros(len(carrier))
    for start, end in pairwise([*way.starts, len(point)]):
        here, gear = slice(start, end), way.gear[start : end - 1]
        angle, steps = np.unwrap(carrier[here]), np.diff(point[here], axis=0)
        if end - start < 2 or not np.isfinite(angle).all():
            continue
        gone = lengths(steps)
        if smooth:
            course = (angle[1:] + angle[:-1]) / 2.0
        else:
            course = np.arctan2(steps[:, 0], steps[:, 1]) + np.where(gear < 0, math.pi, 0.0)
        expected = tractrix.steady(angle, _bends(angle, gone * gear, abs(length)), length)
        heading[here], spread[here] = tractrix.trailed_heading(course, gone * gear, expected, length)
    return TrailedHeading(heading, spread)


def straight_on(found: Connectors) -> tuple[float, float]:
    """Return how far ahead and right of the antenna the reference point of the working machine lies in a straight."""
    ahead, right = -float(np.mean(found.forward)), -float(np.mean(found.right))
    for joint in found.joints:
        ahead += float(np.mean(joint.forward)) - float(np.mean(joint.other_forward))
        right += float(np.mean(joint.right)) - float(np.mean(joint.other_right))
    return ahead, right


def _bends(angle: Floats, gone: Floats, over: float) -> Floats:
    """Return by how much a heading turns a metre about each of its places, radians, over so many metres at least."""
    way = np.concatenate([[0.0], np.cumsum(np.abs(gone))])
    reach = max(over, _BEND_M) / 2.0
    low, high = np.maximum(way - reach, 0.0), np.minimum(way + reach, way[-1])
    turned = np.interp(high, way, angle) - np.interp(low, way, angle)
    forward = np.where(np.append(gone, gone[-1:]) < 0.0, -1.0, 1.0)
    return np.asarray(np.divide(turned, high - low, out=np.zeros(len(way)), where=high > low) * forward)


def _routes(trees: Mapping[str, Tree], connections: Sequence[Connection], worker: str) -> dict[str, Route]:
    """Return each machine that is joined to the working one, nearest first, with the connectors on the way there.

    A pair is the connector of the machine that carries, and that of the other.
    """
    found: dict[str, Route] = {worker: ()}
    queue = [worker]
    while queue:
        here = queue.pop(0)
        for one, two in ((link, _turned(link)) for link in connections):
            for link in (one, two):
                if link.other_machine != here or link.machine in found or link.machine not in trees:
                    continue
                near, far = trees[link.machine].part(link.connector), trees[here].part(link.other_connector)
                if near is not None and far is not None:
                    found[link.machine] = ((near, far), *found[here])
                    queue.append(link.machine)
    return found


def _turned(link: Connection) -> Connection:
    return Connection(link.other_machine, link.other_connector, link.machine, link.connector)


def _guessed(
    values: Values,
    trees: Mapping[str, Tree],
    worker: Tree,
    routes: Mapping[str, Route],
    trailed: float | None,
) -> Connectors:
    """Return a chain where no positioning device is joined to the working machine."""
    elsewhere = [tree for tree in trees.values() if _navigation(tree) is not None]
    if not elsewhere:
        longest = max(routes.values(), key=len)
        return Connectors(
            0.0, 0.0, tuple(_joint(values, pair, trailed) for pair in longest), DescriptionGap.NO_NAVIGATION
        )
    carrier = elsewhere[0]
    rear = [part for part in carrier.machine.connectors if (part.offset_x_m or 0.0) <= 0.0]
    here = worker.machine.connectors
    navigation = _navigation(carrier)
    if navigation is None or len(rear) != 1 or len(here) != 1:
        return Connectors(doubt=DescriptionGap.NO_JOINT)
    joint = _joint(values, (rear[0], here[0]), trailed)
    place = _place(values, navigation)
    return Connectors(*place, (joint,), DescriptionGap.ASSUMED_JOINT, _middle(place[0]))


def _axle(values: Values, routes: Mapping[str, Route], identifier: str, forward: Metres) -> float:
    """Return how far ahead of an axle the device on a machine lies: its own, or its carrier's where it is mounted."""
    ahead = _middle(forward)
    if identifier == next(iter(routes)):
        mounted = [route[0] for route in routes.values() if len(route) == 1]
        joints = [_joint(values, pair, None) for pair in mounted]
        if len(joints) == 1 and joints[0].length is None:
            return ahead + _middle(joints[0].forward) - _middle(joints[0].other_forward)
    return ahead


def _middle(length: Metres) -> float:
    return float(np.median(length))


def _navigation(tree: Tree) -> Part | None:
    return next((part for part in tree.machine.parts if part.kind is PartKind.NAVIGATION), None)


def _joint(values: Values, pair: tuple[Part, Part], trailed: float | None) -> Joint:
    near, far = pair
    forward, right = _place(values, far)
    types = {constant(part, CONNECTOR_TYPE) for part in pair}
    ahead = float(np.mean(forward))
    length = ahead if types & DRAWN and ahead >= _SHORTEST_M else None
    return Joint(*_place(values, near), forward, right, trailed or length)


def _place(values: Values, part: Part) -> tuple[Metres, Metres]:
    ahead, across = metres(values, part, OFFSET_X), metres(values, part, OFFSET_Y)
    return (0.0 if ahead is None else ahead), (0.0 if across is None else across)
