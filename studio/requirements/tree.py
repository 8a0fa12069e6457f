"""A set's requirements as a tree, how many of a group are asked for, and what is still to choose.

Pure functions over rows that are loaded already; nothing here queries.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from planner.readiness.words import number
from studio.requirements.models import Kind, Requirement


@dataclass(frozen=True)
class Node:
    """A requirement and, where it is a group, what stands inside it. depth: 0 at the top."""

    requirement: Requirement
    children: tuple["Node", ...] = ()
    depth: int = 0

    @property
    def is_group(self):
        """Whether it holds others."""
        return self.requirement.is_group

    @property
    def is_choice(self):
        """Whether not all that it holds is asked for."""
        return self.requirement.kind == Kind.SOME_OF

    @property
    def is_music(self):
        """Whether pieces are chosen for it or for something inside it."""
        return self.requirement.is_music or any(child.is_music for child in self.children)


@dataclass(frozen=True)
class Line:
    """A node with what is chosen for it.

    chosen: how many pieces, of a choice how many alternatives are complete. begun: a piece is
    chosen in it. lacking, surplus: how many are too few, too many. met: nothing is lacking in it.
    demanded: it is asked for in any case, not as an alternative of a choice. spare: it belongs to
    an alternative that a choice is made without.
    """

    node: Node
    chosen: int
    begun: bool
    lacking: int
    surplus: int
    met: bool
    demanded: bool
    spare: bool

    @property
    def requirement(self):
        """Its row."""
        return self.node.requirement

    @property
    def depth(self):
        """How deep it stands, 0 at the top."""
        return self.node.depth

    @property
    def wanted(self):
        """Whether something is still to be chosen here.

        Alternatives are not wanted one by one: their choice is, once. Nor is a group of all: what
        stands inside it is.
        """
        return self.demanded and self.lacking > 0

    @property
    def counts(self):
        """Whether readiness weighs it: each requirement that has a piece or must have one, and
        each choice that is not made."""
        return self.wanted or self.requirement.is_music and self.chosen > 0


def tree(requirements: Iterable[Requirement]) -> tuple[Node, ...]:
    """Return the nodes at the top of one set's requirements, each with its own inside, in order.

    A row whose parent is not there, is no group, or stands inside the row itself, stands at the
    top: nothing is lost.
    """
    rows = sorted(requirements, key=lambda row: (row.position, row.pk or 0))
    groups = {row.pk: row for row in rows if row.is_group}
    inside = defaultdict(list)
    for row in rows:
        inside[_group(row, groups)].append(row)

    def node(row, depth):
        children = inside[row.pk] if row.is_group else ()
        return Node(row, tuple(node(child, depth + 1) for child in children), depth)

    return tuple(node(row, 0) for row in inside[None])


def _group(row, groups):
    """Return the key of the group that `row` stands in, None at the top."""
    above, seen = groups.get(row.parent_id), set()
    while above is not None and above.pk not in seen:
        if above.pk == row.pk:
            return None
        seen.add(above.pk)
        above = groups.get(above.parent_id)
    return row.parent_id if row.parent_id in groups else None


def walk(nodes: Iterable[Node]) -> Iterator[Node]:
    """Yield every node, each group before what stands inside it."""
    for node in nodes:
        yield node
        yield from walk(node.children)


def most(requirement: Requirement) -> int:
    """Return how many pieces, or of a choice how many alternatives, are asked for at most."""
    least = requirement.at_least
    return least if requirement.at_most is None else max(requirement.at_most, least)


def demand(requirement: Requirement) -> str:
    """Return how many of a group are asked for, in words: "any one of", "2 to 3 of"; else ""."""
    if requirement.kind == Kind.ALL_OF:
        return "all of"
    if requirement.kind != Kind.SOME_OF:
        return ""
    least, upper = requirement.at_least, most(requirement)
    if least == upper:
        return "any one of" if least == 1 else f"{number(least)} of"
    return f"{least} to {upper} of" if least else f"up to {number(upper)} of"


def choice(node: Node) -> str:
    """Return a group with the names inside it: "any one of: Solo, Excerpts"."""
    names = ", ".join(child.requirement.name for child in node.children)
    return f"{demand(node.requirement)}: {names}"


def reckon(nodes: Iterable[Node], chosen: Mapping[int, int]) -> tuple[Line, ...]:
    """Return the Line of every node in the order of `walk`; chosen: pieces by requirement key.

    An alternative that is no music can be taken without preparing anything, so each lowers by one
    how many of the others its choice asks for.
    """
    return tuple(_lines(nodes, chosen, demanded=True))


def wanted(nodes: Iterable[Node], chosen: Mapping[int, int]) -> tuple[Line, ...]:
    """Return the lines at which something is still to be chosen."""
    return tuple(line for line in reckon(nodes, chosen) if line.wanted)


def _lines(nodes, chosen, demanded, made=False, spare=False):
    """made: the nodes are alternatives of a choice that is made. spare: none of them is needed."""
    for node in nodes:
        begun, met = _begun(node, chosen), _met(node, chosen)
        unused = spare or made and not (begun and met)
        count, lacking, surplus = _counts(node, chosen)
        yield Line(node, count, begun, lacking, surplus, met, demanded, unused)
        choosing = node.is_choice
        yield from _lines(
            node.children, chosen, demanded and not choosing, choosing and met, unused
        )


def _counts(node, chosen):
    """Return how many are chosen, lacking and too many."""
    if node.is_choice:
        return _choice(node, chosen)
    asked, count = node.requirement, chosen.get(node.requirement.pk, 0)
    if not asked.is_music:
        return count, 0, 0
    return count, max(0, asked.at_least - count), max(0, count - most(asked))


def _choice(node, chosen):
    music = [child for child in node.children if child.is_music]
    begun = [child for child in music if _begun(child, chosen)]
    complete = sum(_met(child, chosen) for child in begun)
    free = len(node.children) - len(music)
    least = min(node.requirement.at_least - free, len(music))
    lacking = max(0, least - complete)
    surplus = 0 if lacking else max(0, len(begun) - most(node.requirement))
    return complete, lacking, surplus


def _met(node, chosen):
    if node.is_group and not node.is_choice:
        return all(_met(child, chosen) for child in node.children)
    _, lacking, _ = _counts(node, chosen)
    return not lacking


def _begun(node, chosen):
    return any(chosen.get(each.requirement.pk) for each in walk([node]))
