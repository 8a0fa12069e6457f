"""The network of one problem, worked out: how early, how late, what hangs on what."""

from datetime import date

from planner.deadlines.counting import Workdays
from planner.deadlines.model import Lead
from planner.deadlines.network import AT_ONCE, Release, Step, earliest, latest

NOW = (None, AT_ONCE)  # nothing but today holds it up


class Network:
    """What the passes found for every step, by its index in `order`.

    es, ef, ls, lf: earliest and latest start and end; latest are None where nothing says. For
    what is blocked es and ef tell how it would be if it could begin today: a bound, not a date
    to show. unknown: the blocked step at or behind each, None where there is none.
    held: what the earliest start hangs on, and the lag after it. chains: keys of tasks.
    slack: days from the earliest to the latest start, None where either is unknown. too_late:
    even the earliest end is after the last day.
    """

    def __init__(self, order: list[Step], today: date, workdays: Workdays):
        self.order, self.today, self.workdays = order, today, workdays
        begin = [max([today, *(release.day for release in step.releases)]) for step in order]
        self.es, self.ef = earliest(order, begin, workdays)
        self.ls, self.lf = latest(order, [step.aim for step in order], workdays)
        self.unknown: list[Step | None] = []
        self.held: list[tuple[Step | Release | None, Lead]] = []
        self.chains: list[tuple[str, ...]] = []
        self.slack: list[int | None] = []
        self.too_late: list[bool] = []
        for step in order:
            self.unknown.append(self._unknown(step))
            held, lag = self._held(step)
            self.held.append((held, lag))
            before = self.chains[held.index] if isinstance(held, Step) else ()
            self.chains.append((*before, step.key) if step.tasks else before)
            self.slack.append(self._slack(step))
            end = self.ef[step.index]
            self.too_late.append(any(end > limit.day for limit in step.limits))
        self.least = min((slack for slack in self.slack if slack is not None), default=None)

    def tightest(self) -> list[Step]:
        """Return the steps whose slack is known, the end of the tightest chain first."""
        known = [step for step in self.order if self.slack[step.index] is not None]
        return sorted(
            known,
            key=lambda step: (
                self.slack[step.index],
                -self.ef[step.index].toordinal(),
                step.key,
            ),
        )

    def binding(self, step: Step) -> tuple[Step | Release | None, Lead]:
        """Return what its earliest start hangs on, past steps without a task."""
        held, lag = self.held[step.index]
        while isinstance(held, Step) and not held.tasks:
            held, further = self.held[held.index]
            lag = lag if lag.count else further
        return held, lag

    def needing(self, step: Step) -> Step | None:
        """Return the step that needs it sooner than its own date, past steps without a task."""
        while self.lf[step.index] is not None and self.lf[step.index] != step.aim:
            step = min(self._pulling(step), key=lambda then: then.key)
            if step.tasks:
                return step
        return None

    def _pulling(self, step: Step) -> list[Step]:
        found = []
        for then, lag in step.then:
            start = self.ls[then.index]
            if start is not None and self.workdays.back(start, lag) == self.lf[step.index]:
                found.append(then)
        return found

    def _slack(self, step: Step) -> int | None:
        start = self.ls[step.index]
        if start is None or self.unknown[step.index] or not step.tasks:
            return None
        return (start - self.es[step.index]).days

    def _unknown(self, step: Step) -> Step | None:
        for task in step.tasks:
            if task.blocked:
                return step
        if not step.before:
            return None
        behind = [self.unknown[before.index] for before, _ in step.before]
        return min(filter(None, behind), key=lambda one: one.key, default=None)

    def _held(self, step: Step) -> tuple[Step | Release | None, Lead]:
        """Prefer a step to a date, so that the chain tells the whole way."""
        day = self.es[step.index]
        if day == self.today and not step.before:
            return NOW
        steps = [
            (before.key, index)
            for index, (before, lag) in enumerate(step.before)
            if self.workdays.ahead(self.ef[before.index], lag) == day
        ]
        if steps:
            return step.before[min(steps)[1]]
        if day == self.today:
            return NOW
        releases = [release for release in step.releases if release.day == day]
        return min(releases, key=lambda release: (release.kind, release.key)), AT_ONCE
