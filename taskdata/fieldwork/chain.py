"""The way from the positioning device to a working machine, over the connectors that join machines.

Axes are those of the standard (ISO 11783-10, 8.7): forward and right, from the reference point of each machine. A joint
is one point with an offset on either side. A mounted machine has the heading of the one that carries it; a drawn one
follows its hitch. Connector types (DDI 157) of drawn machines are from memory: drawbar, hook, clevis, piton, ball and
wagon hitches.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto

import numpy as np

from taskdata.fieldwork.measures import OFFSET_X, OFFSET_Y, Metres, metres
from taskdata.fieldwork.tree import Tree, constant
from taskdata.fieldwork.values import Values
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.headings import follow
from taskdata.geometry.paths import carried
from taskdata.model.machines import Part, PartKind
from taskdata.model.tasks import Connection

CONNECTOR_TYPE = 157
DRAWN = frozenset({1, 4, 5, 6, 7, 8, 10})
_SHORTEST_M = 0.5


class Doubt(Enum):
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
class Chain:
    """The offset of the positioning device, the joints from its machine to the working one, and what is in doubt."""

    forward: Metres = 0.0
    right: Metres = 0.0
    joints: tuple[Joint, ...] = ()
    doubt: Doubt | None = None

    @property
    def drawn(self) -> bool:
        """Whether a machine follows its hitch."""
        return any(joint.length is not None for joint in self.joints)


def chain(
    values: Values,
    trees: Mapping[str, Tree],
    connections: Sequence[Connection],
    worker: Tree,
    trailed: float | None = None,
) -> Chain:
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
            return Chain(*_place(values, navigation), joints)
    return _guessed(values, trees, worker, routes, trailed)


def at_worker(found: Chain, path: Points, heading: Floats, starts: Sequence[int]) -> tuple[Points, Floats]:
    """Return path and heading of the working machine's reference point.

    Parameters
    ----------
    path, heading : ndarray
        (n, 2) metres and (n,) degrees of the positioning device.
    starts : sequence of int
        Where stretches begin; a drawn machine begins each in line.
    """
    places = carried(path, heading, -found.forward, -found.right)
    for joint in found.joints:
        hitch = carried(places, heading, joint.forward, joint.right)
        heading = heading if joint.length is None else drawn(hitch, heading, joint.length, starts)
        places = carried(hitch, heading, -joint.other_forward, -joint.other_right)
    return places, heading


def straight_on(found: Chain) -> tuple[float, float]:
    """Return how far ahead and right of the antenna the reference point of the working machine lies in a straight."""
    ahead, right = -float(np.mean(found.forward)), -float(np.mean(found.right))
    for joint in found.joints:
        ahead += float(np.mean(joint.forward)) - float(np.mean(joint.other_forward))
        right += float(np.mean(joint.right)) - float(np.mean(joint.other_right))
    return ahead, right


def drawn(hitch: Points, heading: Floats, length: float, starts: Sequence[int]) -> Floats:
    """Return the heading of what is drawn by a hitch; it begins each stretch in line with what draws it."""
    result = np.array(heading)
    for start, end in zip(starts, [*starts[1:], len(hitch)], strict=True):
        if np.isfinite(heading[start]):
            result[start:end] = follow(hitch[start:end], float(heading[start]), length)
    return result


def _routes(
    trees: Mapping[str, Tree], connections: Sequence[Connection], worker: str
) -> dict[str, tuple[tuple[Part, Part], ...]]:
    """Return each machine that is joined to the working one, nearest first, with the connectors on the way there.

    A pair is the connector of the machine that carries, and that of the other.
    """
    found: dict[str, tuple[tuple[Part, Part], ...]] = {worker: ()}
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
    routes: Mapping[str, tuple[tuple[Part, Part], ...]],
    trailed: float | None,
) -> Chain:
    """Return a chain where no positioning device is joined to the working machine."""
    elsewhere = [tree for tree in trees.values() if _navigation(tree) is not None]
    if not elsewhere:
        longest = max(routes.values(), key=len)
        return Chain(0.0, 0.0, tuple(_joint(values, pair, trailed) for pair in longest), Doubt.NO_NAVIGATION)
    carrier = elsewhere[0]
    rear = [part for part in carrier.machine.connectors if (part.offset_x_m or 0.0) <= 0.0]
    here = worker.machine.connectors
    navigation = _navigation(carrier)
    if navigation is None or len(rear) != 1 or len(here) != 1:
        return Chain(doubt=Doubt.NO_JOINT)
    joint = _joint(values, (rear[0], here[0]), trailed)
    return Chain(*_place(values, navigation), (joint,), Doubt.ASSUMED_JOINT)


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
