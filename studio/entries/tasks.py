"""Drawing up an entry's tasks from its audition's deadlines, its day and the lead times."""

from collections import defaultdict
from dataclasses import dataclass

from planner.deadlines import DAY
from studio.accounts import history
from studio.entries.models import Entry, LeadTime, Task


@dataclass
class Draft:
    """A task to be made. before: the one it comes after, made already or a draft too; or None."""

    task: Task
    before: Task | None = None


def draw_up(entries):
    """Add the tasks that the entries' deadlines and days bring and that are not there yet.

    entries: a queryset of Entry. Returns the new tasks. A task that is there stays as it is, done,
    changed or not needed.
    """
    loaded = entries.select_related("student", "audition__institution").prefetch_related(
        "audition__deadlines", "tasks"
    )
    rules = _rules({entry.student.studio_id for entry in loaded})
    drafts = [
        draft for entry in loaded for draft in _missing(entry, rules[entry.student.studio_id])
    ]
    return _make(drafts)


def draw_up_for(audition):
    """Draw up the tasks of all entries for one audition, after its deadlines changed."""
    return draw_up(Entry.objects.filter(audition=audition))


def concerns(deadline, entry):
    """Whether a deadline of the entry's audition holds for its round of applications."""
    return not deadline.round or deadline.round.casefold() == entry.round.casefold()


def brought(entry, deadlines, rules):
    """Yield (deadline, rule) for every task that an entry brings; deadline None: of the day.

    deadlines: those of its audition. rules: the studio's LeadTimes by kind.
    """
    place = entry.audition.institution.kind
    for deadline in deadlines:
        if concerns(deadline, entry):
            for rule in _holding(rules.get(deadline.kind, ()), place):
                yield deadline, rule
    for rule in _holding(rules.get(DAY, ()), place):
        yield None, rule


def _holding(rules, place):
    """Return the rules of one kind that hold at a kind of place, its own before those for all."""
    own = {rule.name for rule in rules if rule.of == place}
    return [rule for rule in rules if rule.of == place or not (rule.of or rule.name in own)]


def let_go(entry, was):
    """Remove an entry's open tasks of deadlines that do not concern it any more.

    was: its audition before, a key. After another audition also those of the day that the new
    place does not bring.
    """
    tasks = entry.tasks.filter(state=Task.State.OPEN).select_related("deadline")
    for task in tasks.exclude(deadline=None):
        if task.deadline.audition_id != entry.audition_id or not concerns(task.deadline, entry):
            task.delete()
    if was != entry.audition_id:
        rules = _rules({entry.student.studio_id})[entry.student.studio_id].get(DAY, [])
        kept = {rule.name for rule in _holding(rules, entry.audition.institution.kind)}
        for task in tasks.filter(of_day=True, name__in={rule.name for rule in rules} - kept):
            task.delete()


def keep_up(deadline, was):
    """Let the tasks drawn up from a deadline follow it to its new name, kind or round.

    was: the deadline before. Tasks of the old kind or round go if they are open still.
    """
    studio = deadline.audition.institution.studio_id
    rules = {task_name(rule, was): rule for rule in _rules({studio})[studio].get(was.kind, ())}
    drawn = deadline.tasks.filter(name__in=rules).select_related("entry__student__studio")
    if deadline.kind == was.kind:
        _rename(drawn, {old: task_name(rule, deadline) for old, rule in rules.items()}, deadline)
        drawn = deadline.tasks.select_related("entry__student__studio")
    if (deadline.kind, deadline.round) != (was.kind, was.round):
        for task in drawn.filter(state=Task.State.OPEN):
            if deadline.kind != was.kind or not concerns(deadline, task.entry):
                task.delete()
        draw_up_for(deadline.audition)


def _rename(tasks, names, deadline):
    taken = set(deadline.tasks.values_list("entry", "name"))
    renamed = [task for task in tasks if (task.entry_id, names[task.name]) not in taken]
    for task in renamed:
        task.name = names[task.name]
    history.bulk_update(renamed, ["name"])


def _rules(studios):
    """Return the lead times of studios: by studio, then by kind."""
    rules = defaultdict(dict)
    for rule in LeadTime.objects.filter(studio__in=studios):
        rules[rule.studio_id].setdefault(rule.kind, []).append(rule)
    return rules


def _missing(entry, rules):
    """Return the Drafts of what an entry brings and does not have."""
    there = {(task.deadline_id, task.name): task for task in entry.tasks.all()}
    drafts = []
    for deadline, rule in brought(entry, entry.audition.deadlines.all(), rules):
        key = (deadline and deadline.pk, task_name(rule, deadline))
        if key not in there:
            there[key] = task = _task(entry, deadline, rule)
            before = rule.after and (key[0], named(rule.after, deadline))
            drafts.append((task, before))
    return [Draft(task, there.get(before)) for task, before in drafts]


def _task(entry, deadline, rule):
    return Task(
        entry=entry,
        deadline=deadline,
        of_day=deadline is None,
        name=task_name(rule, deadline),
        doer=rule.doer,
        lead=rule.lead,
        lead_unit=rule.lead_unit,
        takes=rule.takes,
        needs=rule.needs,
        shared=rule.shared,
    )


def _make(drafts):
    """Create the tasks, each after the one it comes after, so that it can be tied to it at once."""
    made = []
    while drafts:
        ready = [draft for draft in drafts if draft.before is None or draft.before.pk]
        for draft in ready:
            draft.task.after = draft.before
        # Rules that come after each other in a circle are left untied.
        made += history.bulk_create([draft.task for draft in ready or drafts])
        drafts = [draft for draft in drafts if not draft.task.pk]
    return made


def task_name(rule, deadline):
    """Name the rule's task; where the deadline has words of its own, they follow.

    Two letters of one audition are two deadlines, and so two tasks to tell apart.
    """
    return named(rule.name, deadline)


def named(name, deadline):
    """Name a task of a deadline (None: of the audition day) that its rule calls `name`."""
    if deadline is None:
        return name
    usual = {deadline.kind.casefold(), deadline.get_kind_display().casefold()}
    return name if deadline.name.casefold() in usual else f"{name}: {deadline.name}"


def errand(task):
    """Return a task's name without the words of its deadline: what its rule calls it."""
    return task.name.removesuffix(f": {task.deadline.name}") if task.deadline else task.name
