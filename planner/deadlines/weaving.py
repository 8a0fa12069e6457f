"""From tasks to the steps of a network."""

from collections.abc import Mapping
from datetime import date

from planner.deadlines.counting import Workdays
from planner.deadlines.dating import Dates
from planner.deadlines.model import After, Deadline, Problem, Task
from planner.deadlines.network import Limit, Release, Step, in_order

FOREVER = date.max


def is_open(task: Task) -> bool:
    """Say whether the task is still to be done."""
    return task.done_on is None and not task.dropped


def deciding(problem: Problem) -> dict[str, list[Task]]:
    """Return, by deadline key, the tasks done at the deadline itself, or all where none is.

    What is done there (send, pay) is what an opening holds up, and what opens another deadline.
    """
    theirs: dict[str, list[Task]] = {}
    for task in problem.tasks:
        if task.deadline is not None:
            theirs.setdefault(task.deadline, []).append(task)
    return {
        key: [task for task in tasks if not task.lead.count] or tasks
        for key, tasks in theirs.items()
    }


class Weaver:
    """Makes the steps of one problem.

    dates: by task key, of the tasks that have some. limits: the last date of each task, by task
    key, as Limits. held: what each deadline's opening holds up, from `deciding`.
    """

    def __init__(self, problem: Problem, dates: Mapping[str, Dates], limits: Mapping[str, Limit],
                 held: Mapping[str, list[Task]], workdays: Workdays):  # fmt: skip
        self.dates = dates
        self.limits = limits
        self.workdays = workdays
        self.tasks = {task.key: task for task in problem.tasks}
        self.step_of: dict[str, Step] = {}
        self.gates: list[Step] = []
        for group in _groups(problem):
            self._add(group)
        for task in problem.tasks:
            for after in task.after if task.done_on is None else ():
                self._hold(task, after)
        self._open(problem.deadlines, held)

    def order(self) -> list[Step]:
        """Return all steps, each after what it waits for; raise ValueError for a circle."""
        once = {id(step): step for step in self.step_of.values()}
        return in_order([*once.values(), *self.gates])

    def _add(self, group: list[Task]) -> None:
        step = Step(group[0].key)
        if is_open(group[0]):
            dates = self.dates
            if len(group) > 1:
                group.sort(key=lambda task: (self._aim(task), task.name, task.key))
                step.key = group[0].key
            step.tasks = group
            step.takes = tuple({task.takes: None for task in group})
            step.aim = dates[step.key].plan_by if step.key in dates else None
            for task in group:
                if task.key in self.limits:
                    step.limits.append(self.limits[task.key])
                if task.not_before is not None:
                    step.releases.append(Release("ready", task.key, task.not_before))
        for task in group:
            self.step_of[task.key] = step

    def _aim(self, task: Task) -> date:
        return self.dates[task.key].plan_by if task.key in self.dates else FOREVER

    def _hold(self, task: Task, after: After) -> None:
        before = self.tasks[after.key]
        step = self.step_of[task.key]
        if before.done_on is None:
            step.waits_for(self.step_of[before.key], after.lag)
        else:
            day = self.workdays.ahead(before.done_on, after.lag)
            step.releases.append(Release("done", before.key, day))

    def _open(self, deadlines: tuple[Deadline, ...], held: Mapping[str, list[Task]]) -> None:
        for deadline in deadlines:
            if deadline.opens_on is None and deadline.opens_after is None:
                continue
            steps = self._steps(held.get(deadline.key, []))
            if deadline.opens_on is not None:
                for step in steps:
                    step.releases.append(Release("opening", deadline.key, deadline.opens_on))
            if openers := self._steps(held.get(deadline.opens_after, [])):
                gate = Step(f"\0{deadline.key}")  # no task has such a key
                self.gates.append(gate)
                for opener in openers:
                    gate.waits_for(opener)
                for step in steps:
                    if step not in openers:  # shared by both deadlines
                        step.waits_for(gate)

    def _steps(self, tasks: list[Task]) -> list[Step]:
        """Return the steps of the open tasks among these, once each."""
        return list({id(s): s for s in (self.step_of[t.key] for t in tasks if is_open(t))}.values())


def _groups(problem: Problem) -> list[list[Task]]:
    """Return the tasks not done, those that are one thing to do together."""
    groups: dict[tuple[bool, str], list[Task]] = {}
    for task in problem.tasks:
        if task.done_on is not None:
            continue
        together = task.shared is not None and not task.dropped
        key = (True, task.shared) if together else (False, task.key)
        groups.setdefault(key, []).append(task)
    return list(groups.values())
