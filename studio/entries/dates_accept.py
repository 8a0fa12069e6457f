"""Taking over the plan of dates: entries get the dates that the plan has for them."""

from django.db import transaction

from studio.accounts.history import bulk_update
from studio.entries.models import Entry
from studio.institutions.models import Audition

State = Entry.DateState


def accept(dating, entry=""):
    """Give entries the dates of the plan and return them; all of them, or one only (as posted).

    What is confirmed or assigned stays as it is, and so do entries that are left out. Where the
    institution ranks, the date is then ranked; else it is to be asked for. Read anew within the
    transaction: what was confirmed meanwhile is never written over.
    """
    turns = [turn for turn in dating.turns if turn.changes and entry in {"", str(turn.entry.pk)}]
    with transaction.atomic():
        keys = [turn.entry.pk for turn in turns]
        free = Entry.objects.select_for_update().filter(pk__in=keys).order_by("pk")
        free = set(free.exclude(date_state=State.CONFIRMED).values_list("pk", flat=True))
        taken = [_taken(turn) for turn in turns if turn.entry.pk in free]
        bulk_update(taken, ["chosen_date", "date_state"])
    return taken


def _taken(turn):
    entry = turn.entry
    entry.chosen_date = turn.planned.date
    ranks = entry.audition.date_choice == Audition.DateChoice.RANKED
    entry.date_state = State.RANKED if ranks else State.ASKED
    return entry
