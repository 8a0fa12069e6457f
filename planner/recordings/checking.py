"""Refuse a problem that cannot be answered, and say what to do about it."""

from collections import Counter

from planner.recordings.model import LOOKED_AT, Problem, Rules, Take


def check(problem: Problem) -> None:
    """Raise ValueError, with what to do, unless `problem` can be answered."""
    _unique("pieces", [piece.key for piece in problem.rules.pieces])
    _unique("takes", [take.key for take in problem.takes])
    _check_rules(problem.rules)
    for take in problem.takes:
        _check_take(take)


def _unique(what: str, keys: list[str]) -> None:
    if len(set(keys)) < len(keys):
        key, count = Counter(keys).most_common(1)[0]
        raise ValueError(f'{count} {what} have the key "{key}": give each its own.')


def _check_rules(rules: Rules) -> None:
    if rules.max_age_months is not None and rules.max_age_months < 1:
        raise ValueError(f"{rules.name}: give the age in whole months, 1 or more, or clear it.")
    if rules.max_minutes is not None and rules.max_minutes < 1:
        raise ValueError(f"{rules.name}: give the most minutes, 1 or more, or clear them.")


def _check_take(take: Take) -> None:
    if not take.pieces:
        raise ValueError(f'The take "{take.name}" holds no piece: say what is played.')
    if len(set(take.pieces)) < len(take.pieces):
        raise ValueError(f'The take "{take.name}" has a piece twice: name each once.')
    if take.minutes is not None and take.minutes < 0:
        raise ValueError(f'The take "{take.name}" is {take.minutes} minutes long: correct that.')
    if unknown := sorted(set(take.seen) - set(LOOKED_AT)):
        raise ValueError(
            f'The take "{take.name}" was looked at for "{unknown[0]}": say {", ".join(LOOKED_AT)}.'
        )
