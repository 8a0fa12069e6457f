"""A task's place in the network, in dates and in words."""

from datetime import date

from planner.deadlines.closing import Closing
from planner.deadlines.desk import Desk
from planner.deadlines.dues import Held
from planner.deadlines.network import Release, Step
from planner.deadlines.passes import Network
from planner.deadlines.wording import dated, lead_words, taken_words


class Places:
    """Places of the steps of one network."""

    def __init__(self, network: Network, desk: Desk):
        self.network, self.desk, self.today = network, desk, desk.today
        self.deadlines = {deadline.key: deadline for deadline in desk.problem.deadlines}
        self.tasks = {task.key: task for task in desk.problem.tasks}

    def taken_late(self, step: Step, closing: Closing) -> list[str]:
        """Return that it can only be in late, where that is so and still taken."""
        end, deadline = self.network.ef[step.index], closing.deadline
        if deadline.late_until is None or end <= closing.last_day_home:
            return []
        if self.network.too_late[step.index]:
            return []
        taken = taken_words(deadline.late_until, deadline.late_terms, self.today)
        return [f"It can be done on {self._day(end)} at the earliest: {taken}."]

    def held(self, step: Step) -> Held:
        """Return what holds a step up."""
        network, index = self.network, step.index
        opening = self._opening(step)
        ready, why = self._ready(step)
        behind = network.unknown[index]
        blocked = self._blocked(step) if behind is step else ""
        return Held(
            waits_for=blocked or opening or self._before(step),
            opening=opening is not None,
            blocked=blocked,
            not_before=ready,
            why=why,
            begins=None if behind else network.es[index],
            ends=network.ef[index] if network.too_late[index] and not behind else None,
        )

    def _blocked(self, step: Step) -> str:
        """Return why the step, or what it waits for, cannot be begun."""
        behind = self.network.unknown[step.index]
        return next(task.blocked for task in behind.tasks if task.blocked) if behind else ""

    def _ready(self, step: Step) -> tuple[date | None, str]:
        """Return the day, still to come, that it has to wait for by itself, and why."""
        days = [
            (release.day, self._why(release))
            for release in step.releases
            if release.day > self.today and release.kind != "opening"
        ]
        return max(days, default=(None, ""))

    def _why(self, release: Release) -> str:
        task = self.tasks[release.key]
        return task.not_before_why if release.kind == "ready" else f"some time after {task.name}"

    def fields(self, step: Step) -> dict[str, object]:
        """Return the fields of TaskDue that come from the network."""
        network, index = self.network, step.index
        known = network.unknown[index] is None
        slack = network.slack[index]
        return {
            "earliest_start": network.es[index] if known else None,
            "earliest_finish": network.ef[index] if known else None,
            "latest_start": network.ls[index],
            "latest_finish": network.lf[index],
            "slack": slack,
            "critical": slack is not None and slack == network.least,
            "impossible": network.too_late[index],
            "chain": network.chains[index] if known else (),
            "bound_by": self.bound_by(step),
        }

    def bound_by(self, step: Step) -> str:
        """Return what its earliest start hangs on, in a sentence."""
        network = self.network
        if (blocked := network.unknown[step.index]) is not None:
            what = "It" if blocked is step else blocked.tasks[0].name
            return f"{what} cannot be begun yet: {self._blocked(step)}."
        held, lag = network.binding(step)
        if held is None:
            return "It can be begun today."
        if isinstance(held, Release):
            return self._released(held)
        end = network.ef[held.index]
        if end <= self.today and not lag.count:
            return f"It comes after {held.tasks[0].name}, which can be done today."
        wait = f", and {lead_words(lag)} must pass" if lag.count else ""
        return f"{held.tasks[0].name} is done on {self._day(end)} at the earliest{wait}."

    def _released(self, release: Release) -> str:
        day = self._day(release.day)
        if release.kind == "opening":
            return f"{self.deadlines[release.key].name} opens on {day}."
        task = self.tasks[release.key]
        if release.kind == "done":
            return f"After {task.name}, which is done, it has to wait until {day}."
        why = f": {task.not_before_why}" if task.not_before_why else ""
        return f"It cannot be begun before {day}{why}."

    def _opening(self, step: Step) -> str | None:
        for task in step.tasks:
            if task.deadline in self.desk.waits:
                return self.desk.waits[task.deadline]
        return None

    def _before(self, step: Step) -> str | None:
        """Return the name of an open task that has to be done before, the binding one if any."""
        if not step.before:
            return None
        held = self.network.binding(step)[0]
        if isinstance(held, Step):
            return held.tasks[0].name
        return min((one.tasks[0].name for one in _real(step)), default=None)

    def _day(self, day: date) -> str:
        return dated(day, self.today)


def _real(step: Step) -> list[Step]:
    """Return the steps with tasks that a step waits for, past those without."""
    found: list[Step] = []
    look, seen = [before for before, _ in step.before], {step}
    while look:
        one = look.pop()
        if one in seen:
            continue
        seen.add(one)
        if one.tasks:
            found.append(one)
        else:
            look += [before for before, _ in one.before]
    return found
