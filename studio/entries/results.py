"""What came of the auditions: which offer wants a reply by when, and who waits for news longest.

Nothing but `season_results` queries.
"""

from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.db.models import F, Prefetch

from planner.deadlines.wording import count_days, dated
from studio.accounts.access import readable
from studio.entries.models import Entry, Task
from studio.institutions.models import Deadline, Institution

SOON = 14  # days before a reply is due from which it presses: common practice, no source
DEGREES = frozenset({Institution.Kind.UNIVERSITY, Institution.Kind.SCHOOL})
Result = Entry.Result


@dataclass(frozen=True)
class Reply:
    """What is to be said of the reply to an offer. presses: it is due soon, late, or not known."""

    words: str
    presses: bool = False


def reply_by(entry):
    """Return the day by which a reply is wanted, None if it is not written down.

    The audition's own day; without one the earliest deadline of replies that the entry's tasks,
    loaded with their deadlines, were drawn up from.
    """
    if entry.audition.reply_by:
        return entry.audition.reply_by
    deadlines = (task.deadline for task in entry.tasks.all() if task.deadline_id)
    days = [each.on for each in deadlines if each.kind == Deadline.Kind.REPLY and each.on]
    return min(days, default=None)


def elsewhere(entry, others):
    """Return where the student has accepted a place for a degree, if this entry is for one too.

    others: entries to look among. A seat in a band keeps nobody from a university, so "" there.
    """
    if entry.audition.institution.kind not in DEGREES:
        return ""
    taken = (
        each.audition.institution
        for each in others
        if each.reply == Entry.Reply.ACCEPTED
        and each.student_id == entry.student_id
        and each.pk != entry.pk
    )
    return next((place.short for place in taken if place.kind in DEGREES), "")


def reply(entry, today: date, accepted: str = ""):
    """Return the Reply of an entry with an offer; None where there is none to reply to.

    accepted: as of `elsewhere`.
    """
    if entry.reply:
        on = f" on {dated(entry.replied_on, today, full=False)}" if entry.replied_on else ""
        return Reply(f"The offer was {entry.get_reply_display().lower()}{on}")
    if entry.result != Result.OFFERED:
        return None
    on = reply_by(entry)
    if accepted:
        by = f" by {dated(on, today)}" if on and on >= today else ""
        return Reply(f"{accepted} is accepted: decline this offer{by}", True)
    if on is None:
        return Reply("An offer, and no day to reply by is written down: ask the institution", True)
    days, words = (on - today).days, dated(on, today)
    if days < 0:
        return Reply(
            f"The reply was due on {words}, {count_days(-days)} ago: ask whether the place stands",
            True,
        )
    left = f"in {count_days(days)}" if days else "today"
    return Reply(f"Reply to the offer by {words}, {left}", days <= SOON)


def heard(entry, today: date):
    """Return what came of it in words: "Offered a place, 3 March", "Waiting list, place 4"."""
    words = entry.get_result_display()
    if entry.result == Result.WAITING_LIST and entry.waiting_place:
        words += f", place {entry.waiting_place}"
    return f"{words}, {dated(entry.result_on, today, full=False)}" if entry.result_on else words


def overdue(entry, today: date):
    """Return how many days ago its news was announced for and has not come; 0: none is missing.

    What was heard of one round before the day of the last is not that news.
    """
    on = entry.audition.results_on
    if on is None or on >= today or entry.result not in {Result.WAITING, Result.THROUGH}:
        return 0
    heard_since = entry.result_on is not None and entry.result_on >= on
    return 0 if heard_since else (today - on).days


@dataclass(frozen=True)
class Line:
    """An entry as a line of the studio's results. accepted: as of `elsewhere`."""

    entry: Entry
    today: date
    accepted: str = ""

    @property
    def name(self):
        """The student, with the instrument where it is another than their own."""
        entry = self.entry
        own = entry.instrument_id == entry.student.instrument_id
        return str(entry.student) if own else f"{entry.student}, {entry.instrument}"

    @property
    def day(self):
        """The day of the audition, or that there is none."""
        return dated(self.entry.on, self.today) if self.entry.on else "No date"

    @property
    def heard(self):
        """What came of it; before the day, that it is still to be played."""
        entry = self.entry
        ahead = entry.on is not None and entry.on > self.today
        if ahead and entry.result == Result.WAITING:
            return "Still to play"
        return heard(entry, self.today)

    @cached_property
    def reply(self):
        """The Reply, or None."""
        return reply(self.entry, self.today, self.accepted)

    @property
    def overdue(self):
        """For how many days its news is overdue."""
        return overdue(self.entry, self.today)

    @property
    def news(self):
        """When news is to come, or should have; "" once it is there or nothing is announced."""
        on = self.entry.audition.results_on
        if self.entry.result not in {Result.WAITING, Result.THROUGH} or on is None:
            return ""
        if self.overdue:
            ago = count_days(self.overdue)
            return f"Announced for {dated(on, self.today)}, {ago} ago, not heard yet"
        return f"Announced for {dated(on, self.today)}" if on >= self.today else ""


class Results:
    """All entries of a season, by audition day, and what of them needs somebody."""

    def __init__(self, entries, today):
        entries = list(entries)
        taken = [entry for entry in entries if entry.reply == Entry.Reply.ACCEPTED]
        self.lines = [Line(entry, today, elsewhere(entry, taken)) for entry in entries]

    @property
    def unheard(self):
        """Those whose news is overdue, longest first."""
        found = [line for line in self.lines if line.overdue]
        return sorted(found, key=lambda line: (-line.overdue, line.name))

    @property
    def pressing(self):
        """Those whose reply is due soon or late, the earliest first."""
        found = [line for line in self.lines if line.reply and line.reply.presses]
        return sorted(found, key=lambda line: (reply_by(line.entry) or date.min, line.name))


def season_results(who):
    """Return the entries of the current season that the asker may see, by audition day. Two
    queries."""
    drawn = Task.objects.filter(deadline__kind=Deadline.Kind.REPLY).select_related("deadline")
    return (
        readable(who, Entry)
        .filter(audition__season=who.studio.season)
        .select_related("student", "instrument", "audition__institution", "chosen_date")
        .prefetch_related(Prefetch("tasks", drawn))
        .order_by(F("chosen_date__on").asc(nulls_last=True), "student__name", "pk")
    )
