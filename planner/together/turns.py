"""One student after another, each taking the best dates that the ones before have left."""

from collections import defaultdict
from collections.abc import Iterable

from planner.together.case import Case
from planner.together.duties import Call


def in_turn(
    case: Case, nets: Iterable[int], deadline: float | None = None
) -> dict[int, tuple[int, ...]]:
    """Return the paths by student, taken in the order of `nets`; some may be left without."""
    by_node = defaultdict(list)
    for call in case.calls:
        by_node[call.net, call.node].append(call)
    most = [companion.most for companion in case.problem.companions]
    booked: dict[tuple[int, int], list[Call]] = defaultdict(list)
    paths = {}
    for net in nets:
        party = case.parties[net]
        shut = {
            node
            for node in range(len(party.graph.first))
            if any(not _room(booked, call, most) for call in by_node[net, node])
        }
        path = party.best(shut | case.barred[net], deadline).path
        asked = [call for node in path or () for call in by_node[net, node]]
        if path is not None and _book(booked, asked, most):
            paths[net] = path
    return paths


def _book(booked: dict, calls: list[Call], most: list[int]) -> bool:
    """Book all of these, or nothing if they do not go together."""
    done = []
    for call in calls:
        if not _room(booked, call, most):
            for one in done:
                booked[one.companion, one.day].remove(one)
            return False
        booked[call.companion, call.day].append(call)
        done.append(call)
    return True


def _room(booked: dict, call: Call, most: list[int]) -> bool:
    """Say whether a companion can come along to one more offer."""
    day = booked.get((call.companion, call.day), ())
    if len(day) >= most[call.companion] or any(one.site != call.site for one in day):
        return False
    return not any(
        one.span and call.span and one.span[0] < call.span[1] and call.span[0] < one.span[1]
        for one in day
    )
