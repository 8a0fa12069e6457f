"""From a problem to its answer."""

from collections.abc import Iterable
from dataclasses import replace

from planner.deadlines import wording
from planner.deadlines.anchoring import undated_words
from planner.deadlines.checking import check
from planner.deadlines.closing import Closing
from planner.deadlines.dating import Dates, need_sooner, start
from planner.deadlines.desk import Desk
from planner.deadlines.dues import FREE, Due
from planner.deadlines.model import Anchor, Answer, Chain, Problem, Task, TaskDue, Undated, When
from planner.deadlines.moving import moves
from planner.deadlines.network import Step
from planner.deadlines.passes import Network
from planner.deadlines.placing import Places
from planner.deadlines.weaving import Weaver, is_open


def answer(problem: Problem) -> Answer:
    """Return every task with its dates; raise ValueError, with what to do, if it cannot be."""
    check(problem)
    sheet = _Sheet(problem)
    dues = sorted(sheet.dues(), key=lambda due: (due.plan_by, due.name, due.key))
    undated = sorted(sheet.undated(), key=lambda one: (one.name, one.key))
    still = [due for due in dues if due.when not in (When.DONE, When.DROPPED)]
    once = [due for due in still if due.stands_for_all]
    impossible = tuple(due.key for due in once if due.impossible)
    tightest = sheet.network.tightest()
    return Answer(
        tasks=tuple(dues),
        start_today=tuple(due.key for due in once if due.must_start),
        late=tuple(due.key for due in once if due.late_days),
        sentence=_sentence(dues, once, undated),
        notes=_notes(problem, sheet.desk, still),
        undated=tuple(undated),
        impossible=impossible,
        moves=moves(sheet.network, sheet.desk) if impossible else (),
        critical=sheet.network.chains[tightest[0].index] if tightest else (),
        chains=sheet.chains(tightest),
    )


class _Sheet:
    """One problem on the desk: its closings and dates, by task key, and its network."""

    def __init__(self, problem: Problem):
        self.problem = problem
        self.desk = desk = Desk(problem)
        self.closings: dict[str, Closing] = {}
        self.dates: dict[str, Dates] = {}
        limits = {}
        for task in problem.tasks:
            closing = desk.closing(task)
            if closing is not None:
                self.closings[task.key] = closing
                self.dates[task.key] = desk.dates(task, closing)
                if is_open(task):
                    limits[task.key] = desk.limit(task, closing)
        weaver = Weaver(problem, self.dates, limits, desk.deciding, desk.workdays)
        self.step_of = weaver.step_of
        self.network = Network(weaver.order(), desk.today, desk.workdays)
        self.places = Places(self.network, desk)

    def dues(self) -> Iterable[TaskDue]:
        """Return every task that has a date."""
        for task in self.problem.tasks:
            if is_open(task):
                step = self.step_of[task.key]
                if step.tasks[0] is task and task.key in self.dates:
                    yield from self._open(step)
            elif task.key in self.dates:
                dates = self.dates[task.key]
                start(dates, task.takes, self.desk.workdays)
                closing = self.closings[task.key]
                yield Due(task, dates, closing, FREE, self.desk.moment).answer({})

    def _open(self, step: Step) -> Iterable[TaskDue]:
        """Return the tasks of a step, all with the dates and words of the one for all."""
        first, workdays = step.tasks[0], self.desk.workdays
        dates = self.dates[first.key]
        if (needing := self.network.needing(step)) is not None:
            need_sooner(dates, self.network.lf[step.index], needing.tasks[0].name)
        longest = first.takes
        if len(step.takes) > 1:
            longest = min(step.takes, key=lambda takes: workdays.back(dates.plan_by, takes))
        start(dates, longest, workdays)
        keys = tuple(task.key for task in step.tasks)
        if len(keys) > 1:
            dates.reasons.append(f"Done once for {len(keys)} tasks: this is the earliest date.")
        merged = replace(first, takes=longest) if longest != first.takes else first
        held = self.places.held(step)
        due = Due(merged, dates, self.closings[first.key], held, self.desk.moment)
        if not due.late_days:
            dates.reasons += self.places.taken_late(step, self.closings[first.key])
        found = due.answer({**self.places.fields(step), "shared_with": keys[1:]})
        yield found
        for task in step.tasks[1:]:
            if task.key in self.dates:
                others = tuple(key for key in keys if key != task.key)
                yield replace(
                    found, key=task.key, name=task.name, doer=task.doer, shared_with=others,
                    stands_for_all=False,
                )  # fmt: skip

    def undated(self) -> Iterable[Undated]:
        """Return every task that has none."""
        for task in self.problem.tasks:
            if task.key not in self.dates:
                yield self._undated(task, self.desk.undated[task.deadline])

    def chains(self, tightest: list[Step]) -> tuple[Chain, ...]:
        """Return the chain of each deadline's tightest step, by deadline key."""
        found: dict[str, Chain] = {}
        for step in tightest:
            for task in step.tasks:
                if task.deadline is not None and task.deadline not in found:
                    tasks = self.network.chains[step.index]
                    slack = self.network.slack[step.index]
                    found[task.deadline] = Chain(task.deadline, tasks, slack)
        return tuple(found[key] for key in sorted(found))

    def _undated(self, task: Task, anchor: Anchor) -> Undated:
        when, needed = None, None
        if task.done_on is not None:
            when, sentence = When.DONE, f"done {wording.short_day(task.done_on)}"
        elif task.dropped:
            when, sentence = When.DROPPED, "not needed"
        else:
            needed = self.network.lf[self.step_of[task.key].index]
            sentence = undated_words(anchor)
            if needed is not None:
                sentence += f"; needed by {wording.dated(needed, self.desk.today)}"
        return Undated(task.key, task.name, task.doer, anchor.key, when, needed, sentence)


def _sentence(dues: list[TaskDue], once: list[TaskDue], undated: list[Undated]) -> str:
    """Return the answer's own sentence; once: what is still to do, each thing once."""
    if not dues and not undated:
        return "There is nothing to do yet."
    pressing = ""
    if once:
        late = sum(1 for due in once if due.late_days)
        starting = sum(due.must_start for due in once)
        coming = f"{once[0].name}, {wording.full_day(once[0].plan_by)}"
        pressing = wording.pressing(late, starting, coming)
    impossible = sum(1 for due in once if due.impossible and not due.late_days)
    waiting = sum(1 for one in undated if one.when is None)
    return wording.summary(pressing, impossible, waiting)


def _notes(problem: Problem, desk: Desk, still: list[TaskDue]) -> tuple[str, ...]:
    """Return what to be careful about, in an order of its own."""
    notes = []
    keys = {due.key for due in still if not due.zone_stated}
    unstated = {
        desk.closings[task.deadline].deadline.name for task in problem.tasks if task.key in keys
    }
    if unstated:
        notes.append(
            f"No time zone stated: {wording.listed(sorted(unstated))}. "
            "Planned a day early; ask the institution which zone it means."
        )
    notes += sorted(_turned_round(desk))
    if problem.deadlines:
        notes.append(wording.CARE)
    return tuple(notes)


def _turned_round(desk: Desk) -> Iterable[str]:
    closings = desk.closings
    for key in desk.waits:
        if key not in closings or closings[key].deadline.opens_after not in closings:
            continue
        deadline = closings[key].deadline
        before = closings[deadline.opens_after].deadline
        if before.on >= deadline.on:
            yield (
                f"{deadline.name} opens only after {before.name}, whose date is no earlier: "
                "settle that one sooner."
            )
