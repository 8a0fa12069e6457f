"""What a weekly e-mail says: the cues of the week and the next, as the pages have them."""

from dataclasses import dataclass
from functools import cached_property

from django.template.loader import render_to_string

from planner.deadlines.wording import dated
from planner.zones import zone
from studio.accounts.access import TEACHERS
from studio.entries import cues
from studio.entries.checklist import within
from studio.entries.words import count

MOST = 40  # lines under a heading; the rest is counted


@dataclass(frozen=True)
class Section:
    """A heading and its lines; more: how many lines were left out."""

    title: str
    lines: tuple
    more: int


@dataclass(frozen=True)
class Letter:
    """One seat's e-mail of one moment.

    seat: a Membership. seasons: bridge.Seasons of all that the seat may see. site: scheme and
    host. stop: the path at which the mail is stopped.
    """

    seat: object
    seasons: tuple
    now: object
    site: str
    stop: str

    @property
    def is_teachers(self):
        """Whether it tells of the whole studio."""
        return self.seat.role in TEACHERS

    @property
    def called(self):
        """How the reader is greeted."""
        if not self.is_teachers:
            return self._season.student.called
        name = str(self.seat.user)
        first = name.split()[0]
        return name if first.endswith(".") else first  # R. Amadi is not "R."

    @property
    def _season(self):
        return self.seasons[0]

    @cached_property
    def groups(self):
        """CueGroups: of the whole studio for a teacher, of a student those that they do."""
        groups = cues.grouped(self.seasons)
        if self.is_teachers:
            return groups
        return cues.under_headings([c for group in groups for c in group.cues if not c.who])

    @property
    def sections(self):
        """The groups as headings with lines."""
        return [
            Section(
                group.label,
                tuple(map(self._line, group.cues[:MOST])),
                max(0, len(group.cues) - MOST),
            )
            for group in self.groups
        ]

    def _line(self, cue):
        whose = f"{cue.entry.student.called} · " if self.is_teachers else ""
        doer = f" ({cue.who.lower()})" if cue.who else ""
        # A student is told all of it, a teacher of sixty what the score says.
        words = cue.due.short if self.is_teachers else cue.due.sentence
        trouble = f" · {cue.trouble}" if cue.trouble else ""
        return _one_line(f"{whose}{cue.place} · {cue.name}{doer}: {words}{trouble}")

    @property
    def auditions(self):
        """The auditions of the next three weeks, a line each, by date."""
        ahead = sorted(
            ((season, entry) for season in self.seasons for entry in season.live_entries),
            key=lambda pair: (pair[1].on or self.today, pair[0].student.name),
        )
        return [self._audition(*pair) for pair in ahead if self._is_near(pair[1])]

    @property
    def today(self):
        """The reader's date."""
        return self.now.astimezone(zone(home(self.seat))).date()

    def _is_near(self, entry):
        return entry.on is not None and 0 <= (entry.on - self.today).days <= 21

    def _audition(self, season, entry):
        whose = f"{season.student.called} · " if self.is_teachers else ""
        days = within((entry.on - self.today).days)
        place = entry.audition.institution.short
        return _one_line(f"{whose}{place}, {dated(entry.on, self.today)}, {days}")

    @cached_property
    def erasures(self):
        """For a teacher: who is put down for erasure and when, a line each."""
        if not self.is_teachers:
            return []
        waiting = [season.student for season in self.seasons if season.student.erase_on]
        waiting.sort(key=lambda student: (student.erase_on, student.name))
        return [_one_line(f"{s.called}, {dated(s.erase_on, self.today)}") for s in waiting[:MOST]]

    @property
    def subject(self):
        """How much there is, and nobody's name: subjects are shown on locked screens."""
        total = sum(len(group.cues) for group in self.groups)
        late = sum(len(group.cues) for group in self.groups if group.late)
        words = f"Your week: {count(total, 'things')} to do"
        return f"{words}, {late} late" if late else words

    @property
    def is_empty(self):
        """Whether there is nothing to tell."""
        return not self.groups and not self.auditions and not self.erasures

    @property
    def text(self):
        """The whole text."""
        return render_to_string("reminders/weekly.txt", {"letter": self})


def _one_line(text):
    """Return `text` on one line, whatever breaks a name has in it."""
    return " ".join(text.split())


def home(seat):
    """Return the name of the zone that a seat's holder lives in."""
    student = getattr(seat, "student", None)
    return student.home_zone if student else seat.studio.time_zone
