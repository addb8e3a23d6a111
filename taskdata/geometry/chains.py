"""Chains: the ways through lines that meet at their ends, in a local plane.

Where more than two lines meet, as stubs and doubled pieces do that rounding leaves, a chain takes the shortest way
between those two free ends of what hangs together that lie furthest apart along another line.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from heapq import heappop, heappush
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

Node: TypeAlias = tuple[float, float]
_Graph: TypeAlias = dict[Node, list[tuple[float, Node, int]]]
"""For each node: length, other node and index of each line from it."""


def chains(lines: NDArray[Any], along: Any) -> NDArray[Any]:
    """Return lines merged into chains.

    Parameters
    ----------
    lines : ndarray
        (n,) line strings that meet at their ends only.
    along : shapely line string
        The line along which free ends are compared.

    Returns
    -------
    ndarray
        (m,) line strings; rings where lines close.
    """
    merged = _merged(lines)
    ends = [_ends(line) for line in merged]
    if max(Counter(node for pair in ends for node in pair).values(), default=0) <= 2:
        return merged
    graph: _Graph = defaultdict(list)
    for index, (line, (first, last)) in enumerate(zip(merged, ends, strict=True)):
        graph[first].append((float(line.length), last, index))
        graph[last].append((float(line.length), first, index))
    kept = [index for part in _components(graph) for index in _through(graph, part, along)]
    return _merged(merged[sorted(set(kept))])


def _merged(lines: NDArray[Any]) -> NDArray[Any]:
    return np.asarray(shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines))), dtype=object)


def _ends(line: Any) -> tuple[Node, Node]:
    (first_x, first_y), (last_x, last_y) = shapely.get_coordinates(line)[[0, -1]].tolist()
    return (first_x, first_y), (last_x, last_y)


def _components(graph: _Graph) -> list[list[Node]]:
    found, seen = [], set[Node]()
    for start in graph:
        if start in seen:
            continue
        part, waiting = [], [start]
        seen.add(start)
        while waiting:
            node = waiting.pop()
            part.append(node)
            fresh = {other for _, other, _ in graph[node]} - seen
            seen |= fresh
            waiting += fresh
        found.append(part)
    return found


def _through(graph: _Graph, part: list[Node], along: Any) -> list[int]:
    """Return the lines of a component on the way between its outermost free ends; all of them without two ends."""
    free = [node for node in part if len(graph[node]) == 1]
    if len(free) < 2:
        return [index for node in part for _, _, index in graph[node]]
    at = shapely.line_locate_point(along, shapely.points(np.array(free)))
    return _shortest(graph, free[int(np.argmin(at))], free[int(np.argmax(at))])


def _shortest(graph: _Graph, start: Node, goal: Node) -> list[int]:
    """Return the lines of the shortest way between two nodes (Dijkstra 1959)."""
    best, came, waiting = {start: 0.0}, dict[Node, tuple[Node, int]](), [(0.0, start)]
    while waiting:
        gone, node = heappop(waiting)
        if node == goal:
            break
        for size, other, index in graph[node]:
            if gone + size < best.get(other, math.inf):
                best[other], came[other] = gone + size, (node, index)
                heappush(waiting, (gone + size, other))
    way, node = [], goal
    while node != start:
        node, index = came[node]
        way.append(index)
    return way
