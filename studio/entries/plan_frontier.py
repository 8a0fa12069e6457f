"""Hours against auditions: for each number of hours, the auditions worth most to the student."""

from dataclasses import dataclass
from functools import cached_property

from planner.deadlines.wording import listed
from planner.readiness.words import number
from studio.answers import solve
from studio.entries.hours import MINUTES, words

WIDTH, HEIGHT = 480, 260
LEFT, RIGHT, TOP, BOTTOM = 36, 8, 12, 48
STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
FEW = 3  # auditions: so many are named one by one
TICKS = 6  # at most so many figures along an axis


@dataclass(frozen=True)
class Choice:
    """A point: with so many hours these auditions. chosen: they are what is planned now."""

    hours: str
    worth: int
    names: str
    keys: tuple[str, ...]
    proven: bool
    chosen: bool
    x: str
    y: str

    @property
    def value(self):
        """The auditions as a form posts them."""
        return " ".join(self.keys)


@dataclass(frozen=True)
class Tick:
    """A figure along an axis."""

    at: str
    text: str


class Frontier:
    """The frontier of a plan.Planning, over all its auditions, planned or left out."""

    width, height = WIDTH, HEIGHT
    left, right, foot = LEFT, WIDTH - RIGHT, HEIGHT - BOTTOM

    def __init__(self, planning):
        self.planning = planning

    @cached_property
    def answer(self):
        """planner.repertoire.Answer; raises workers.Unsolved."""
        return solve("repertoire", self.planning.frontier_problem)

    @cached_property
    def choices(self):
        """A Choice for each point, by rising hours."""
        return [self._choice(point) for point in self.answer.frontier]

    def _choice(self, point):
        return Choice(
            hours=words(point.minutes),
            worth=point.worth,
            names=self._names(point.auditions),
            keys=point.auditions,
            proven=point.proven,
            chosen=set(point.auditions) == {str(entry.pk) for entry in self.planning.kept},
            x=self._x(point.minutes),
            y=self._y(point.worth),
        )

    def _names(self, keys):
        """Return "Norwood and Carrow"; of more than a few, "all" or "all but Norwood"."""
        names = {str(e.pk): e.audition.institution.short for e in self.planning.asked}
        rest = [name for key, name in names.items() if key not in keys]
        if len(keys) > FEW and len(rest) < FEW:
            return f"all but {listed(rest)}" if rest else f"all {number(len(names))}"
        return listed([names[key] for key in keys])

    # the drawing

    @property
    def path(self):
        """The steps from point to point: more hours bring nothing until the next."""
        steps = (f"H{self._x(p.minutes)}V{self._y(p.worth)}" for p in self.answer.frontier)
        return f"M{self._x(0)} {self._y(0)}{''.join(steps)}H{self.right}"

    @property
    def hour_ticks(self):
        """Figures along the foot, in hours."""
        step = _step(self._most_minutes / MINUTES)
        figures = range(0, int(self._most_minutes / MINUTES) + 1, step)
        return [Tick(self._x(hours * MINUTES), str(hours)) for hours in figures]

    @property
    def worth_ticks(self):
        """Figures up the left side."""
        step = _step(self._most_worth)
        figures = range(0, self._most_worth + 1, step)
        return [Tick(self._y(worth), str(worth)) for worth in figures]

    @cached_property
    def _most_minutes(self):
        return max([point.minutes for point in self.answer.frontier], default=0) or MINUTES

    @cached_property
    def _most_worth(self):
        return max([point.worth for point in self.answer.frontier], default=0) or 1

    def _x(self, minutes):
        return f"{LEFT + (WIDTH - LEFT - RIGHT) * 0.96 * minutes / self._most_minutes:.1f}"

    def _y(self, worth):
        return f"{self.foot - (self.foot - TOP) * worth / self._most_worth:.1f}"


def _step(most):
    return next((step for step in STEPS if most / step <= TICKS), STEPS[-1])
