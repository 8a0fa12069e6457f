"""What is wrong with a problem, said so that it can be put right."""

from planner.refusing import quoted, require, unique
from planner.repertoire.model import (
    Audition,
    Binding,
    Group,
    Hearing,
    Piece,
    Problem,
    Slot,
    Together,
)

LONGEST = 60_000  # minutes for one piece, a thousand hours: more is a slip of the keyboard
PIANO = ("with piano", "without piano", "not stated")

Node = Slot | Group


def validate(problem: Problem) -> None:
    """Raise ValueError, naming the place, if `problem` makes no sense."""
    pieces = unique((piece.key for piece in problem.pieces), "pieces")
    for piece in problem.pieces:
        _piece(piece)
    for name in ("pinned", "banned", "preferred"):
        keys = unique(getattr(problem, name), name)
        require(keys <= pieces, f"{name}: no piece {quoted(keys - pieces)}")
    both = set(problem.pinned) & set(problem.banned)
    require(not both, f"{quoted(both)} is both pinned and banned: choose one")
    require(problem.seconds > 0, "seconds has to be above 0")
    unique((audition.key for audition in problem.auditions), "auditions")
    for audition in problem.auditions:
        _audition(audition)


def _piece(piece: Piece) -> None:
    where = f"piece {piece.key}"
    require(0 <= piece.prep <= LONGEST, f"{where}: give prep 0 to {LONGEST} minutes")
    require(piece.seconds is None or piece.seconds >= 0, f"{where}: seconds cannot be below 0")
    require(piece.piano in PIANO, f"{where}: write piano as one of {quoted(PIANO)}")


def _audition(audition: Audition) -> None:
    where = f"audition {audition.key}"
    require(audition.worth >= 0, f"{where}: worth cannot be below 0")
    unique((hearing.key for hearing in audition.hearings), f"{where}, hearings")
    for hearing in audition.hearings:
        _hearing(hearing, f"{where}, hearing {hearing.key}")


def _hearing(hearing: Hearing, where: str) -> None:
    nodes = (*hearing.slots, *hearing.groups)
    keys = unique((node.key for node in nodes), f"{where}, slots and groups")
    groups = {group.key: group for group in hearing.groups}
    for node in nodes:
        at = f"{where}, {node.key}"
        require(node.inside is None or node.inside in groups, f"{at}: no group {node.inside}")
        _counts(node.least, node.most, at)
        require(_ends(node, groups), f"{at} lies inside itself")
    for slot in hearing.slots:
        require(slot.piano in PIANO, f"{where}, {slot.key}: write piano as one of {quoted(PIANO)}")
    for together in hearing.together:
        _together(together, keys, f"{where}, {together.name}")


def _ends(node: Node, groups: dict[str, Group]) -> bool:
    for _ in range(len(groups) + 1):
        if node.inside is None:
            return True
        node = groups[node.inside]
    return False


def _counts(least: int | None, most: int | None, where: str) -> None:
    require(least is None or least >= 0, f"{where}: least cannot be below 0")
    require(most is None or most >= 0, f"{where}: most cannot be below 0")
    require(None in (least, most) or least <= most, f"{where}: least {least} is above most {most}")


def _together(together: Together, keys: set[str], where: str) -> None:
    scope, binding = together.scope, together.binding
    require(scope is None or scope in keys, f"{where}: no slot or group {scope}")
    _counts(together.least, together.most, where)
    if binding is Binding.AT_LEAST:
        require(together.least is not None, f"{where}: at least how many?")
    if binding is Binding.AT_MOST:
        require(together.most is not None, f"{where}: at most how many?")
    if binding is Binding.LENGTH:
        ends = (together.least, together.most)
        require(ends != (None, None), f"{where}: give the least or the most seconds")
