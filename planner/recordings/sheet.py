"""One problem with its takes judged, and the takes that serve."""

from planner.recordings.judging import Judge
from planner.recordings.model import Piece, Problem, Take, TakeAnswer


class Sheet:
    """One problem with its takes judged.

    judged: by take key. serving: by piece key, the take that serves. used: those takes, once each.
    """

    def __init__(self, problem: Problem):
        self.today, self.rules = problem.today, problem.rules
        judge = Judge(problem)
        self.takes = sorted(problem.takes, key=lambda take: (take.made_on, take.key))
        self.judged: dict[str, TakeAnswer] = {take.key: judge.take(take) for take in self.takes}
        self.serving: dict[str, Take] = {}
        for piece in problem.rules.pieces:
            serving = [take for take in self.of(piece.key) if self.judged[take.key].serves]
            if serving:
                self.serving[piece.key] = min(serving, key=self._rank)
        self.used = list({take.key: take for take in self.serving.values()}.values())

    def of(self, piece: str) -> list[Take]:
        """Return the takes of a piece."""
        return [take for take in self.takes if piece in take.pieces]

    @property
    def missing(self) -> list[Piece]:
        """The pieces of which no take serves."""
        return [piece for piece in self.rules.pieces if piece.key not in self.serving]

    @property
    def too_long(self) -> float | None:
        """The minutes of all that serves together, where they are too many."""
        total = sum(take.minutes or 0 for take in self.used)
        most = self.rules.max_minutes
        return total if most is not None and total > most else None

    def _rank(self, take: Take) -> tuple[bool, int, int, str]:
        """What somebody chose comes first, then what is best known, then the latest."""
        look = self.judged[take.key].look
        return not take.chosen, len(look), -take.made_on.toordinal(), take.key
