"""Who may see what. Every view asks here, and nothing else decides.

`REACH` says for each model how a row leads to its studio, and, where the row is about one
student, how it leads to that student's seat. Lookups return the object or raise 404, so that a
stranger cannot tell a forbidden row from one that does not exist.
"""

from dataclasses import dataclass

from django.apps import apps
from django.db.models import Q
from django.http import Http404
from django.shortcuts import get_object_or_404

from studio.accounts.models import Membership, Role

TEACHERS = frozenset({Role.OWNER, Role.TEACHER})
STAFF = TEACHERS | {Role.ASSISTANT}
TICK = frozenset({"state", "done_on", "done_by_id"})  # what ticking a task changes in it
LETTERS = frozenset({"weekly_mail"})  # what everybody changes in their own seat
HELD = frozenset({"user_id", "role"})  # what says who holds a seat, and as what
OWNERS = frozenset({"two_factor", "keep_months"})  # settings that only the owner changes
NOT_FOUND = "There is nothing here, or it is not yours to see."


@dataclass(frozen=True)
class Reach:
    """How rows of one model are reached, and by whom.

    studio: lookup path from the row to its studio ("self": the row is the studio).
    student: lookup path to the student it is about ("self": the row is the student);
        None: it is about no one student, and students never reach it.
    changed_by: the roles of staff who may add and edit it. Only teachers remove.
    own_change: which of their own rows a student may change; None: none.
    """

    studio: str
    student: str | None = None
    changed_by: frozenset = TEACHERS
    own_change: Q | None = None

    def about(self, path):
        """Return the lookup path to what is `path` of the student it is about."""
        return path if self.student == "self" else f"{self.student}__{path}"


REACH = {
    "accounts.studio": Reach("self"),
    "accounts.membership": Reach("studio"),
    "accounts.change": Reach("studio"),
    "students.instrument": Reach("studio"),
    "students.student": Reach("studio", student="self"),
    "students.dayaway": Reach("student__studio", student="student"),
    "students.accompanist": Reach("studio"),
    "students.guardian": Reach("studio"),
    "students.studioday": Reach("studio"),
    "students.recommender": Reach("student__studio", student="student"),
    "institutions.institution": Reach("studio"),
    "institutions.audition": Reach("institution__studio"),
    "institutions.deadline": Reach("audition__institution__studio"),
    "institutions.offereddate": Reach("audition__institution__studio"),
    "requirements.piece": Reach("studio"),
    "requirements.requirementset": Reach("institution__studio"),
    "requirements.requirement": Reach("requirement_set__institution__studio"),
    "requirements.erratum": Reach("requirement_set__institution__studio"),
    "requirements.judgement": Reach("requirement__requirement_set__institution__studio"),
    "requirements.recordingrules": Reach("requirement_set__institution__studio"),
    "entries.leadtime": Reach("studio"),
    "entries.entry": Reach("student__studio", student="student"),
    "entries.assignment": Reach("entry__student__studio", student="entry__student"),
    "entries.wish": Reach("student__studio"),
    "entries.datewish": Reach("entry__student__studio"),
    "entries.take": Reach("entry__student__studio", student="entry__student", changed_by=STAFF),
    "entries.triallesson": Reach("student__studio", student="student", own_change=Q()),
    "entries.task": Reach(
        "entry__student__studio",
        student="entry__student",
        own_change=Q(doer="student"),
    ),
    "entries.lessoncheck": Reach(
        "student__studio",
        student="student",
        changed_by=STAFF,
        own_change=Q(source="student"),
    ),
    "entries.practicelog": Reach(
        "student__studio", student="student", changed_by=STAFF, own_change=Q()
    ),
    "entries.practiceday": Reach(
        "student__studio", student="student", changed_by=STAFF, own_change=Q()
    ),
    "entries.keycheck": Reach(
        "student__studio", student="student", changed_by=STAFF, own_change=Q(source="student")
    ),
    "entries.hearing": Reach("entry__student__studio", student="entry__student", changed_by=STAFF),
    "entries.learnedpace": Reach("studio", changed_by=frozenset()),
    "days.auditionday": Reach("entry__student__studio", student="entry__student"),
}


def reach(model):
    """Return the model's Reach; a model without one cannot be reached at all."""
    return REACH[model._meta.label_lower]


def follow(instance, path):
    """Return what a lookup path such as `entry__student__studio` leads to from `instance`."""
    for step in [] if path == "self" else path.split("__"):
        instance = getattr(instance, step)
    return instance


def within(who, model):
    """Return all rows of the asker's studio, the student's own, or those of a guardian's children.

    Accompanists have no rows: what they may see is `accompanied`.
    """
    rule = reach(model)
    rows = model._default_manager.all()
    if who is None:
        return rows.none()
    if who.role in STAFF:
        return rows.filter(**{rule.studio.replace("self", "pk"): who.studio_id})
    seats = {Role.STUDENT: "membership", Role.GUARDIAN: "guardians__membership"}
    if rule.student is None or who.role not in seats:
        return rows.none()
    return rows.filter(**{rule.about(seats[who.role]): who.pk})


def readable(who, model):
    """Return the rows of `model` that `who` (a Membership or None) may see."""
    return within(who, model)


def changeable(who, model):
    """Return the rows of `model` that `who` may edit."""
    rows, rule = within(who, model), reach(model)
    if who is None or who.role in rule.changed_by:
        return rows
    if who.role == Role.STUDENT and rule.own_change is not None:
        return rows.filter(rule.own_change)
    return rows.none()


def tickable(who):
    """Return the tasks that `who` may tick: staff all of the studio's, a student their own.

    A guardian may tick those of their children where the teacher allows it.
    """
    task = apps.get_model("entries", "Task")
    if who and who.role in STAFF:
        return within(who, task)
    if who and who.role == Role.GUARDIAN:
        allowed = {"entry__student__guardians__membership": who.pk}
        mine = task.objects.filter(**allowed, entry__student__guardians__ticks=True)
        return within(who, task).filter(reach(task).own_change, pk__in=mine.values("pk"))
    return changeable(who, task)


def accompanied(who):
    """Return the entries that the asker plays for at the piano; nobody's for anybody else."""
    entries = apps.get_model("entries", "Entry").objects.all()
    if who is None or who.role != Role.ACCOMPANIST:
        return entries.none()
    return entries.filter(accompanist__membership=who.pk, student__studio=who.studio_id)


def removable(who, model):
    """Return the rows of `model` that `who` may remove: teachers only."""
    rows = within(who, model)
    return rows if who is None or who.role in TEACHERS else rows.none()


def read_or_404(who, rows, **lookup):
    """Return one row that `who` may see. `rows` is a model or a queryset of it."""
    return _one(readable, who, rows, lookup)


def change_or_404(who, rows, **lookup):
    """Return one row that `who` may edit."""
    return _one(changeable, who, rows, lookup)


def remove_or_404(who, rows, **lookup):
    """Return one row that `who` may remove."""
    return _one(removable, who, rows, lookup)


def private_or_404(who, rows, **lookup):
    """Return the student whose stored data `who` may see: for teachers, themselves, guardians."""
    if who is None or who.role == Role.ASSISTANT:
        raise Http404(NOT_FOUND)
    return read_or_404(who, rows, **lookup)


def may_take_back(who, change):
    """Whether `who` may take back a recorded Change: teachers any of their studio's.

    Others may their own, of what they may change as they sit today: a seat may have been another's.
    """
    if change.studio_id != who.studio_id or _is_for_good(change):
        return False
    if who.role in TEACHERS:
        return who.role == Role.OWNER or not _is_owners(change)
    if change.by_id != who.user_id:
        return False
    rule = REACH[change.model]
    if change.model == "accounts.membership":
        return change.object_pk == who.pk and LETTERS.issuperset(_changed(change))
    if change.model == "entries.task":
        mine = who.role in STAFF or tickable(who).filter(pk=change.object_pk).exists()
        return mine and TICK.issuperset(_changed(change))
    return who.role in rule.changed_by or _is_own(who, change, rule)


def _is_own(who, change, rule):
    """Whether a student may still change what the Change is of: theirs, and by their own word."""
    if who.role != Role.STUDENT or rule.own_change is None:
        return False
    values = [each for each in (change.before, change.after) if each]
    own = all(each.get(key) == word for each in values for key, word in rule.own_change.children)
    students = within(who, apps.get_model("students", "Student"))
    return own and students.filter(pk=change.student_pk).exists()


def _changed(change):
    """Return the names of the values that a Change changed."""
    before, after = change.before or {}, change.after or {}
    return {key for key in before | after if before.get(key) != after.get(key)}


def _is_for_good(change):
    """Whether nobody takes it back: who owns the studio, and that it was opened."""
    if change.model == "accounts.studio":
        return change.before is None
    seats = [each for each in (change.before, change.after) if each]
    if change.model != "accounts.membership" or not _changed(change) & HELD:
        return False
    return any(seat["role"] == Role.OWNER for seat in seats)


def _is_owners(change):
    """Whether it changed what of the studio's settings is for its owner alone to change."""
    return change.model == "accounts.studio" and bool(_changed(change) & OWNERS)


def _one(allowed, who, rows, lookup):
    model = getattr(rows, "model", rows)
    chosen = allowed(who, model)
    if rows is not model:
        chosen = rows.filter(pk__in=chosen.values("pk"))
    return get_object_or_404(chosen, **lookup)


def at_address(rows, token):
    """Return the Student or Studio whose calendar address ends in `token`, or None.

    Whoever knows an address may read what stands there: nobody can guess one.
    """
    return rows.filter(feed_token=token).first()


def reader_of(studio):
    """Return a seat that nobody holds and that reads all of a studio, for calendar addresses."""
    return Membership(studio=studio, role=Role.ASSISTANT)


def may_add(who, model):
    """Whether `who` may add rows of `model` to the studio."""
    return who is not None and who.role in reach(model).changed_by


def add_or_404(who, model):
    """Refuse, as not found, whoever may not add rows of `model`."""
    if not may_add(who, model):
        raise Http404(NOT_FOUND)


def may_add_for(who, model, student):
    """Whether `who` may add rows of `model` about `student`: staff, or a student about themselves.

    The student may where such rows are theirs to change.
    """
    own = who is not None and who.role == Role.STUDENT and student.membership_id == who.pk
    return may_add(who, model) or (own and reach(model).own_change is not None)


def add_for_or_404(who, model, student):
    """Refuse, as not found, whoever may add no rows of `model` about `student`."""
    if not may_add_for(who, model, student):
        raise Http404(NOT_FOUND)


def staff_or_404(who):
    """Refuse, as not found, whoever is not staff of a studio; return the seat."""
    if who is None or who.role not in STAFF:
        raise Http404(NOT_FOUND)
    return who


def teacher_or_404(who):
    """Refuse, as not found, whoever is not a teacher or the owner of a studio; return the seat."""
    if who is None or who.role not in TEACHERS:
        raise Http404(NOT_FOUND)
    return who
