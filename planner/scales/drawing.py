"""In which order keys are drawn: as a panel would, no key twice before all have had their turn."""

from collections import Counter
from collections.abc import Sequence
from random import Random

from planner import keys


def draw(tonics: Sequence[str], seed: int, after: str = "") -> tuple[int, ...]:
    """Return an order of `tonics`, as places in it: each once, at random, the same for one seed.

    Neighbours do not have the same tonic, nor does the first have that of `after`, wherever that
    can be avoided; keys that sound alike count as the same.
    """
    return _drawn([keys.pitch(tonic) for tonic in tonics], Random(seed), _pitch(after))


def drawn_on(tonics: Sequence[str], seed: int, at: int) -> int:
    """Return the place of the key that is drawn as number `at`, counted from 0, round upon round.

    Each round is an order of its own; the first key of a round is not that of the round before,
    wherever that can be avoided.
    """
    pitches, chance, last = [keys.pitch(tonic) for tonic in tonics], Random(seed), None
    for _ in range(at // len(pitches) + 1):
        order = _drawn(pitches, chance, last)
        last = pitches[order[-1]]
    return order[at % len(pitches)]


def around(tonics: Sequence[str]) -> tuple[int, ...]:
    """Return the places of `tonics` round the circle of fifths: from C, a fifth up each time."""
    return tuple(sorted(range(len(tonics)), key=lambda place: _turn(tonics[place])))


def _turn(tonic: str) -> int:
    return 7 * keys.pitch(tonic) % 12


def _pitch(tonic: str) -> int | None:
    return keys.pitch(tonic) if tonic else None


def _drawn(pitches: list[int], chance: Random, last: int | None) -> tuple[int, ...]:
    left, counts, order = list(range(len(pitches))), Counter(pitches), []
    while left:
        best = _fewest(counts, last)
        fair = chance.sample(left, len(left))
        place = next(one for one in fair if _cost(pitches[one], counts, last) == best)
        left.remove(place)
        order.append(place)
        last = pitches[place]
        counts[last] -= 1
    return tuple(order)


def _cost(pitch: int, counts: Counter, last: int | None) -> int:
    """Return how many neighbours must be the same, at the least, if this one is drawn next."""
    return (pitch == last) + _fewest(counts - Counter([pitch]), pitch)


def _fewest(counts: Counter, last: int | None) -> int:
    """Return how many neighbours must be the same, at the least, after `last`.

    Keys of one tonic need others between them: one fewer than they are, or as many if it was last.
    """
    total = counts.total()
    lacking = (2 * many - total - (one != last) for one, many in counts.items() if many)
    return max(0, *lacking, 0)
