"""What follows by itself from one change: a deadline or an entry brings its tasks.

Changes are listened to, not rows: a change is written after its row and says what was before, and
what follows is then written after it, so that undoing takes everything back in the right order.
Rows written in bulk (a workbook, an undo) draw up nothing here: a workbook does so at its end.
"""

from django.db.models.signals import post_save
from django.dispatch import receiver

from studio.accounts.models import Change
from studio.entries.models import Entry
from studio.entries.tasks import draw_up, draw_up_for, keep_up, let_go
from studio.institutions.models import Deadline

DRAWN_BY = ("kind", "name", "round")  # what of a deadline its tasks follow


@receiver(post_save, sender=Change, dispatch_uid="draw up")
def follow(sender, instance, created, **_):
    """Draw up the tasks that a recorded change brings."""
    act = FOLLOWED.get(instance.model)
    if act and created and instance.after:
        act(instance, instance.before or {})


def _follow_entry(change, before):
    if any(before.get(field) != change.after[field] for field in ("audition_id", "round")):
        entries = Entry.objects.filter(pk=change.object_pk)
        if before:
            entry = entries.select_related("student", "audition__institution").get()
            let_go(entry, before["audition_id"])
        draw_up(entries)


def _follow_deadline(change, before):
    if not before:
        draw_up_for(change.after["audition_id"])
    elif any(before[field] != change.after[field] for field in DRAWN_BY):
        deadline = Deadline.objects.select_related("audition__institution").get(pk=change.object_pk)
        keep_up(deadline, Deadline(**{field: before[field] for field in DRAWN_BY}))


FOLLOWED = {"entries.entry": _follow_entry, "institutions.deadline": _follow_deadline}
