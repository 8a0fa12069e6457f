"""A student's tasks as planner's network: what each counts back from, waits for and shares.

`deadlines_problem` takes a bridge.Season. Nothing here queries.
"""

from dataclasses import dataclass, replace
from datetime import date

from planner import deadlines
from studio.entries.models import Doer, Entry, Needs, Task
from studio.entries.tasks import errand
from studio.institutions.models import Deadline
from studio.requirements.models import Requirement

ROUNDS = Requirement.Round
OUT_OF_HAND = frozenset({Task.State.DONE, Task.State.DROPPED})
NOT_CONFIRMED = "the date is not confirmed"


@dataclass(frozen=True)
class Ready:
    """From when on the pieces that a task needs are expected to be ready.

    on: None: from today, or nobody knows; then `unknown` says why. why: to follow a colon.
    """

    on: date | None = None
    why: str = ""
    unknown: str = ""


def deadlines_problem(season):
    """Return the planner.deadlines.Problem of a Season: all tasks of all its entries."""
    tasks = [(task, entry) for entry in season.entries for task in entry.tasks.all()]
    there = {task.pk for task, _ in tasks}
    closings = {closing_key(task, entry): (task.deadline, entry) for task, entry in tasks}
    closings.pop(None, None)
    counted = [_deadline(season, *found, closings) for found in closings.values()]
    anchored = {closing.anchor for closing in counted}
    return deadlines.Problem(
        now=season.now.replace(second=0, microsecond=0),
        home_zone=season.student.home_zone,
        deadlines=tuple(counted),
        tasks=tuple(_task(season, task, entry, there) for task, entry in tasks),
        days_off=days_off(season),
        anchors=tuple(_anchor(season, e) for e in season.entries if str(e.pk) in anchored),
    )


def untied(problem):
    """Return the problem with every task by itself: what to do where tasks wait in a circle."""
    loose = (replace(task, after=(), shared=None) for task in problem.tasks)
    return replace(problem, tasks=tuple(loose))


def days_off(season):
    """Return the public holidays around a Season, and the studio's own days off."""
    studio, year = season.student.studio, season.today.year
    spans = [
        [date.fromisoformat(days[end]).toordinal() for end in ("first", "last")]
        for days in getattr(season.student, "off", None) or ()
    ]
    own = {date.fromordinal(day) for first, last in spans for day in range(first, last + 1)}
    holidays = studio.days_off(tuple(range(year - 1, year + 3)))
    return tuple(sorted(own.union(holidays))) if own else holidays


def place_zone(institution):
    """The zone of a place; a school of music inside a university keeps the university's."""
    return institution.time_zone or (institution.part_of and institution.part_of.time_zone) or None


def audition_name(entry):
    """The audition as in a sentence: "the Carrow audition"."""
    return f"the {entry.audition.institution.short} audition"


def is_open(task, entry, today):
    """Whether a task is still to be done: not for a withdrawn entry, nor for a day that is over."""
    if task.state in OUT_OF_HAND or entry.result == Entry.Result.WITHDRAWN:
        return False
    over = not entry.is_live or (entry.on is not None and entry.on < today)
    return not (task.of_day and over)


def mark(task):
    """Return what makes tasks one errand for all of a student's auditions; None: it is not.

    A letter is asked for once of each recommender, and of nobody as long as none is named.
    """
    if not task.shared:
        return None
    if task.recommender_id:
        return f"{task.doer}, {errand(task).casefold()}, of {task.recommender_id}"
    if task.deadline and task.deadline.kind == Deadline.Kind.LETTER:
        return None
    return f"{task.doer}, {task.name.casefold()}"


def closing_key(task, entry):
    """The key of what a task counts back from; None: it has a date of its own."""
    if task.of_day:
        return f"day-{entry.pk}"
    return _deadline_key(task.deadline, entry) if task.deadline else None


def _deadline_key(deadline, entry):
    """A relative deadline is another one for each entry."""
    return str(deadline.pk) if deadline.on else f"{deadline.pk}-{entry.pk}"


def _anchor(season, entry):
    """The day of an entry's audition: chosen, or the first that can still be had."""
    offered = getattr(entry, "offered", None) or ()
    days = [
        date.fromisoformat(each["on"])
        for each in offered
        if season.today.isoformat() <= (each["book_by"] or each["on"])
    ]
    return deadlines.Anchor(
        key=str(entry.pk),
        name=audition_name(entry),
        on=entry.on,
        earliest=min((day for day in days if day >= season.today), default=None),
        settled=entry.date_state == Entry.DateState.CONFIRMED,
    )


def _deadline(season, deadline, entry, closings):
    """Return an institution's deadline, or (None) the day of the audition itself."""
    zone = place_zone(entry.audition.institution)
    if deadline is None:
        return deadlines.Deadline(
            key=f"day-{entry.pk}",
            name=audition_name(entry),
            zone=zone or season.student.home_zone,
            place_zone=zone,
            anchor=str(entry.pk),
        )
    opener = deadline.opens_after and _deadline_key(deadline.opens_after, entry)
    return deadlines.Deadline(
        key=_deadline_key(deadline, entry),
        name=f"{entry.audition.institution.short} {deadline.name}",
        on=deadline.on,
        at=deadline.at,
        zone=deadline.zone or None,
        place_zone=zone,
        opens_on=deadline.opens_on,
        opens_after=opener if opener in closings else None,
        anchor=None if deadline.on else str(entry.pk),
        before=_before(deadline),
        late_until=deadline.late_until,
        late_terms=deadline.late_terms,
    )


def _before(deadline):
    """How long before the audition a deadline without a date of its own is."""
    count = 0 if deadline.on else deadline.before or 0
    return deadlines.Lead(count, deadlines.Unit(deadline.before_unit))


def _task(season, task, entry, there):
    wanted = is_open(task, entry, season.today)
    ready = season.ready_for(task, entry)
    unsettled = task.needs == Needs.DATE and entry.date_state != Entry.DateState.CONFIRMED
    return deadlines.Task(
        key=str(task.pk),
        name=task.name,
        doer=Doer(task.doer).value,
        deadline=closing_key(task, entry),
        on=task.on,
        lead=deadlines.Lead(task.lead, deadlines.Unit(task.lead_unit)),
        takes=deadlines.Lead(task.takes),
        done_on=task.done_on,
        dropped=not wanted and task.done_on is None,
        after=(deadlines.After(str(task.after_id)),) if task.after_id in there else (),
        shared=mark(task) if wanted else None,
        not_before=ready.on,
        not_before_why=ready.why,
        blocked=NOT_CONFIRMED if wanted and unsettled else "",
    )


def ready(season, task, entry):
    """Return the Ready of a task that needs the entry's pieces, by the checks in lessons."""
    pieces = _needed(task, entry)
    if not pieces:
        return Ready(unknown="No pieces are chosen yet.")
    answers = [season.piece_answers.get(piece.pk) for piece in pieces]
    for piece, answer in zip(pieces, answers, strict=True):
        if answer is None or answer.ready_on is None:
            return Ready(unknown=f"When {piece.title} will be ready is not known.")
    last = max(answers, key=lambda answer: answer.ready_on)
    if last.ready_on <= season.today:
        return Ready()
    return Ready(last.ready_on, f"{last.name} is expected to be ready then, an estimate")


def _needed(task, entry):
    """Return the pieces that are recorded, or played on the day; where none is for that, all."""
    given = {each.piece: each.requirement.round for each in entry.assignments.all()}
    recorded = task.deadline and task.deadline.kind == Deadline.Kind.RECORDING
    for wanted in (ROUNDS.SCREENING, ROUNDS.FINAL) if recorded else (ROUNDS.LIVE,):
        found = [piece for piece, held in given.items() if held == wanted]
        if found:
            return found
    return list(given)
