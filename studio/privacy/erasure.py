"""Erasing a student for good, after days of grace: rows, history, account, and what is kept beside.

A teacher puts a student down, and can take that back until the day. `manage.py erase_due` erases
whose day has come, and who has lain in the bin too long; it keeps an Erasure, which names nobody.
"""

import logging
from dataclasses import dataclass
from datetime import timedelta

from django.apps import apps
from django.db import transaction
from django.db.models import Exists, Max, OuterRef

from planner.zones import zone
from studio.accounts.history import acting
from studio.accounts.models import Change, Erasure, Membership, Studio, User
from studio.privacy import cleaning, retention, traces
from studio.students.models import Guardian, Student, StudioDay

GRACE = timedelta(days=14)
BINNED = timedelta(days=30)
# What shows that somebody was still here: rows about a student, and their day.
LASTS = (
    ("entries.entry", "chosen_date__on"),
    ("entries.lessoncheck", "on"),
    ("entries.keycheck", "on"),
    ("entries.practicelog", "on"),
)
log = logging.getLogger(__name__)


@dataclass
class Done:
    """What one run did, in numbers. clean: whether nothing is left in the database's file."""

    put_down: int = 0
    erased: int = 0
    rows: int = 0
    clean: bool = True


def put_down(student, today):
    """Put a student down for erasure when the days of grace, counted from `today`, are over."""
    student.erase_on = today + GRACE
    student.save(update_fields=["erase_on"])


def keep(student):
    """Take that back."""
    student.erase_on = None
    student.save(update_fields=["erase_on"])


def run(now):
    """Do what is due at `now` (aware); return Done."""
    done = Done()
    for studio in Studio.objects.order_by("pk"):
        today = now.astimezone(zone(studio.time_zone)).date()
        with transaction.atomic(), acting(None):
            for student in over(studio, today):
                put_down(student, today)
                done.put_down += 1
        for pk in (*due(studio, today), *binned(studio, now)):
            rows = erase(studio, pk, now)
            done.rows += rows
            done.erased += bool(rows)
    done.clean = cleaning.finish()
    log.info("erase_due: %d put down, %d erased, %d rows", done.put_down, done.erased, done.rows)
    return done


def due(studio, today):
    """Return the keys of the studio's students whose day has come."""
    students = Student.objects.filter(studio=studio, erase_on__lte=today).order_by("pk")
    return list(students.values_list("pk", flat=True))


def binned(studio, now):
    """Return the keys of students in the bin: those there longer than BINNED, or whose day came."""
    removed = Change.objects.filter(
        studio=studio, model=traces.STUDENT, action=Change.Action.REMOVED
    )
    later = Change.objects.filter(
        model=traces.STUDENT, object_pk=OuterRef("object_pk"), pk__gt=OuterRef("pk")
    )
    there = Student.objects.filter(pk=OuterRef("object_pk"))
    gone = removed.filter(~Exists(later), ~Exists(there)).order_by("object_pk")
    today = now.astimezone(zone(studio.time_zone)).date().isoformat()
    return [
        pk
        for pk, at, before in gone.values_list("object_pk", "at", "before")
        if at < now - BINNED or (before.get("erase_on") or "9999") <= today
    ]


def _is_kept(studio, pk, now):
    """Whether somebody took an erasure back since the run began."""
    today = now.astimezone(zone(studio.time_zone)).date()
    student = Student.objects.select_for_update().filter(pk=pk).first()
    return student is not None and (student.erase_on is None or student.erase_on > today)


def over(studio, today):
    """Return the studio's students who have had nothing for longer than it keeps them."""
    if not studio.keep_months:
        return []
    students = list(Student.objects.filter(studio=studio, erase_on=None).select_related("studio"))
    lasts = [_last(studio, label, day) for label, day in LASTS] + [_kept_on(studio)]
    entries = apps.get_model("entries", "Entry").objects.filter(audition__season=studio.season)
    playing = set(entries.exclude(result="withdrawn").values_list("student_id", flat=True))
    found = []
    for student in students:
        days = [last.get(student.pk) for last in lasts]
        known = retention.Known(retention.latest(student.since, *days), student.pk in playing)
        if retention.is_over(known, today, studio.keep_months):
            found.append(student)
    return found


def _last(studio, label, day):
    """Return the last day that rows of one model name, by the student's key."""
    rows = apps.get_model(label)._base_manager.filter(student__studio=studio).order_by()
    return dict(rows.values_list("student_id").annotate(last=Max(day)))


def _kept_on(studio):
    """Return on which day somebody last took a putting-down back, by the student's key."""
    changes = Change.objects.filter(studio=studio, model=traces.STUDENT, action="changed")
    here = zone(studio.time_zone)
    return {
        pk: at.astimezone(here).date()
        for pk, at, before, after in changes.order_by("pk").values_list(
            "object_pk", "at", "before", "after"
        )
        if before.get("erase_on") and not after.get("erase_on")
    }


def erase(studio, pk, now):
    """Erase a student, there or in the bin, with everything about them; return how many rows.

    One transaction: all of it or nothing. Nothing too, if they were taken back meanwhile, or if
    another run was quicker.
    """
    cleaning.begin()
    with transaction.atomic(), acting(None) as act:
        if _is_kept(studio, pk, now):
            return 0
        by = _by(studio, pk)
        found = traces.find(studio, pk)
        words = traces.pattern(found)
        rows = _rows(found)
        Change.objects.filter(batch=act.batch).delete()  # what the removal itself wrote down
        rows += traces.history(found, words)
        if words:
            rows += traces.mentions(found, words)
        rows += cleaning.sessions(found.users, words)
        cleaning.uploads(studio)
        by = None if by and by.pk in found.users else by
        if rows:
            Erasure.objects.create(studio=studio, at=now, by=by, rows=rows)
    return rows


def _by(studio, pk):
    """Return who put the student down, or removed them; None: the program, or themselves."""
    changes = Change.objects.filter(studio=studio, model=traces.STUDENT, object_pk=pk)
    for change in changes.select_related("by").order_by("-pk"):
        was, now = change.before or {}, change.after or {}
        if change.action == Change.Action.REMOVED or was.get("erase_on") != now.get("erase_on"):
            return change.by
    return None


def _rows(found):
    """Delete the student, their guardians, seats and accounts; return how many rows."""
    others = Student.objects.exclude(pk=found.pk)
    only = StudioDay.objects.filter(students=found.pk).exclude(students__in=others)
    done = 0
    for rows in (
        only,  # to name nobody would mean everybody
        Student.objects.filter(pk=found.pk),
        Guardian.objects.filter(pk__in=found.guardians),
        Membership.objects.filter(pk__in=found.seats),
        User.objects.filter(pk__in=found.users),
    ):
        done += rows.delete()[0]
    return done
