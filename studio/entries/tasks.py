"""Drawing up an entry's tasks from its audition's deadlines and the studio's lead times."""

from collections import defaultdict

from studio.accounts import history
from studio.entries.models import Entry, LeadTime, Task


def draw_up(entries):
    """Add the tasks that the entries' deadlines bring and that are not there yet; return them.

    entries: a queryset of Entry. A task that is there stays as it is, done, changed or not needed.
    """
    loaded = entries.select_related("student", "audition__institution").prefetch_related(
        "audition__deadlines", "tasks"
    )
    rules = _rules({entry.student.studio_id for entry in loaded})
    return history.bulk_create([task for entry in loaded for task in _missing(entry, rules)])


def draw_up_for(audition):
    """Draw up the tasks of all entries for one audition, after its deadlines changed."""
    return draw_up(Entry.objects.filter(audition=audition))


def let_go(entry_pk, audition_pk):
    """Remove an entry's open tasks of deadlines that are not those of its audition any more."""
    drawn = Task.objects.filter(entry=entry_pk, state=Task.State.OPEN).exclude(deadline=None)
    drawn.exclude(deadline__audition=audition_pk).delete()


def keep_up(deadline, was):
    """Let the tasks drawn up from a deadline follow it to its new name or kind.

    was: the deadline before. Tasks of the old kind go if they are open still.
    """
    studio = deadline.audition.institution.studio_id
    rules = {task_name(rule, was): rule for rule in _rules({studio})[studio, was.kind]}
    drawn = deadline.tasks.filter(name__in=rules).select_related("entry__student__studio")
    if deadline.kind != was.kind:
        for task in drawn.filter(state=Task.State.OPEN):
            task.delete()
        draw_up_for(deadline.audition)
    else:
        _rename(drawn, {old: task_name(rule, deadline) for old, rule in rules.items()}, deadline)


def _rename(tasks, names, deadline):
    taken = set(deadline.tasks.values_list("entry", "name"))
    renamed = [task for task in tasks if (task.entry_id, names[task.name]) not in taken]
    for task in renamed:
        task.name = names[task.name]
    history.bulk_update(renamed, ["name"])


def _rules(studios):
    rules = defaultdict(list)
    for rule in LeadTime.objects.filter(studio__in=studios):
        rules[rule.studio_id, rule.kind].append(rule)
    return rules


def _missing(entry, rules):
    there = {(task.deadline_id, task.name) for task in entry.tasks.all()}
    for deadline in entry.audition.deadlines.all():
        for rule in rules[entry.student.studio_id, deadline.kind]:
            if (deadline.pk, name := task_name(rule, deadline)) not in there:
                yield Task(
                    entry=entry,
                    deadline=deadline,
                    name=name,
                    doer=rule.doer,
                    lead=rule.lead,
                    lead_unit=rule.lead_unit,
                    takes=rule.takes,
                )


def task_name(rule, deadline):
    """Name the rule's task; where the deadline has words of its own, they follow.

    Two letters of one audition are two deadlines, and so two tasks to tell apart.
    """
    usual = {deadline.kind.casefold(), deadline.get_kind_display().casefold()}
    return rule.name if deadline.name.casefold() in usual else f"{rule.name}: {deadline.name}"
