"""Refusing a problem that cannot be answered, in the words that all questions share."""

from collections import Counter
from collections.abc import Iterable


def require(true: bool, otherwise: str) -> None:
    """Raise ValueError with what to do, unless `true`."""
    if not true:
        raise ValueError(otherwise)


def quoted(keys: Iterable[str]) -> str:
    """Return keys, sorted, as `"a", "b"`."""
    return ", ".join(f'"{key}"' for key in sorted(keys))


def unique(keys: Iterable[str], where: str) -> set[str]:
    """Return the keys as a set; raise ValueError, naming those that stand there twice."""
    times = Counter(keys)
    twice = [key for key, number in times.items() if number > 1]
    require(not twice, f"{where}: {quoted(twice)} stands there twice")
    return set(times)
