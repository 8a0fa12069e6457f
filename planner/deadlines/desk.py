"""What all tasks of one problem share, worked out once."""

from datetime import UTC, timedelta
from zoneinfo import ZoneInfo

from planner.deadlines.anchoring import anchored
from planner.deadlines.closing import Closing, close
from planner.deadlines.counting import Workdays
from planner.deadlines.dating import Dates, dates_of
from planner.deadlines.dues import Moment
from planner.deadlines.model import Anchor, Deadline, Problem, Task
from planner.deadlines.network import Limit
from planner.deadlines.weaving import deciding, is_open
from planner.zones import zone


class Desk:
    """Closings by deadline key; `undated`: the anchors of deadlines that have no date yet.

    deciding: the tasks done at each deadline itself. waits: by deadline key, the name of what has
    to be done before it opens.
    """

    def __init__(self, problem: Problem):
        self.problem = problem
        self.home: ZoneInfo = zone(problem.home_zone)
        today = problem.now.astimezone(self.home).date()
        sunday = today + timedelta(6 - today.weekday())
        self.moment = Moment(problem.now.astimezone(UTC), today, sunday)
        self.workdays = Workdays(problem.days_off, problem.weekend)
        self.anchors = {anchor.key: anchor for anchor in problem.anchors}
        self.closings: dict[str, Closing] = {}
        self.undated: dict[str, Anchor] = {}
        self._limits: dict[str, Limit] = {}
        for deadline in problem.deadlines:
            self._close(deadline)
        self.deciding = deciding(problem)
        self.waits = self._waits()

    @property
    def today(self):
        """Today's date at home."""
        return self.moment.today

    def closing(self, task: Task) -> Closing | None:
        """Return what a task counts back from, its deadline's closing or its own date's end."""
        if task.deadline is not None:
            return self.closings.get(task.deadline)
        return close(Deadline("", "its own date", task.on, zone=self.home.key), self.home)

    def dates(self, task: Task, closing: Closing) -> Dates:
        """Return the dates of a task, but for when to start."""
        return dates_of(task, closing, self.workdays, self.home)

    def limit(self, task: Task, closing: Closing) -> Limit:
        """Return the last day on which a task can be done at all, as of its deadline or itself."""
        if task.deadline is None:
            return Limit("own date", task.key, self.moment.last_day(closing))
        if task.deadline not in self._limits:
            last = self.moment.last_day(closing)
            self._limits[task.deadline] = Limit("deadline", task.deadline, last)
        return self._limits[task.deadline]

    def _close(self, deadline: Deadline) -> None:
        if deadline.anchor is None:
            self.closings[deadline.key] = close(deadline, self.home)
            return
        anchor = self.anchors[deadline.anchor]
        found = anchored(deadline, anchor, self.workdays)
        if found is None:
            self.undated[deadline.key] = anchor
        else:
            self.closings[deadline.key] = close(found[0], self.home, found[1])

    def _waits(self) -> dict[str, str]:
        names = {deadline.key: deadline.name for deadline in self.problem.deadlines}
        waits = {}
        for deadline in self.problem.deadlines:
            if (before := deadline.opens_after) is None:
                continue
            theirs = self.deciding.get(before, [])
            still = [task.name for task in theirs if is_open(task)]
            if still or not theirs:
                waits[deadline.key] = min(still, default=names[before])
        return waits
