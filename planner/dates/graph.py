"""Dates in order of time, and what it costs to go from one to the next.

Nothing here knows of journeys. A node is a date on offer, a group is the dates of one audition.
A path begins at home, takes nodes in rising order and ends at home.
"""

from dataclasses import dataclass

Arc = tuple[int, int]  # to, cost


@dataclass(frozen=True)
class Graph:
    """Costs are whole numbers of any size and sign; None is for what is not possible.

    groups: the nodes of each group; a node is in one group. first: from home to the node. last:
    from the node to home. arcs: of each node (to, cost), to higher nodes only, each at most once.
    Raises ValueError where that is not so.
    """

    groups: tuple[tuple[int, ...], ...]
    first: tuple[int | None, ...]
    last: tuple[int | None, ...]
    arcs: tuple[tuple[Arc, ...], ...]

    def __post_init__(self):
        count = len(self.first)
        if not len(self.last) == len(self.arcs) == count:
            raise ValueError("first, last and arcs need one entry for each node")
        if sorted(node for group in self.groups for node in group) != list(range(count)):
            raise ValueError("each node has to be in one group")
        for node, arcs in enumerate(self.arcs):
            if any(not node < to < count for to, _ in arcs):
                raise ValueError(f"node {node}: arcs go to higher nodes only")

    def cost(self, path: tuple[int, ...]) -> int | None:
        """Return what `path` costs, None if it is not possible; 0 for the empty one."""
        if not path:
            return 0
        steps = [self.first[path[0]], self.last[path[-1]]]
        for node, to in zip(path, path[1:], strict=False):
            steps.append(dict(self.arcs[node]).get(to))
        return None if None in steps else sum(steps)
