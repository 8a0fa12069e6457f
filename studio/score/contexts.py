"""What the score's pages show: everything is decided here, the templates only print it."""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from planner.deadlines import When
from planner.readiness.words import days
from planner.zones import zone
from studio.accounts.access import may_add, readable
from studio.entries import cues, queries
from studio.entries.bridge import Season
from studio.entries.checklist import within
from studio.entries.models import Doer
from studio.entries.words import count
from studio.institutions.models import Audition
from studio.score.players import player
from studio.score.risks import Risks
from studio.score.staves import draw
from studio.students.models import Student

MOST = 150  # cues under a heading of the page of all cues
# The further away, the fewer stand beside the score.
SHOWN = {When.OVERDUE: 8, When.TODAY: 8, When.THIS_WEEK: 5, When.NEXT_WEEK: 3}
ORDERS = (("", "Score order"), ("name", "By name"), ("days", "Shortest of time first"))
KEYS = {"name": lambda player: player.name.casefold(), "days": lambda player: player.urgency}


@dataclass(frozen=True)
class Empty:
    """What a page says when there is nothing to show, and what comes next."""

    title: str
    text: str
    url: str = ""
    label: str = ""


class ScorePage:
    """The teacher's overview for `who`, as asked for by `asked` (the query) at `now`."""

    def __init__(self, who, asked, now=None):
        self.who = who
        self.now = now or timezone.now()
        self.today = self.now.astimezone(zone(who.studio.time_zone)).date()
        self.q = asked.get("q", "").strip()
        self.order = asked.get("order", "") if asked.get("order") in KEYS else ""
        self.orders = ORDERS

    @property
    def title(self):
        """The heading."""
        return f"Full score, {self.who.studio.season}"

    @cached_property
    def seasons(self):
        """The season of every student who was asked for, in score order."""
        students = queries.find(queries.scored(self.who), self.q)
        return [Season(student, self.now) for student in students]

    @cached_property
    def players(self):
        """The students' lines in the order asked for."""
        players = [player(season) for season in self.seasons]
        return sorted(players, key=KEYS[self.order]) if self.order else players

    @cached_property
    def score(self):
        """The drawing."""
        return draw(self.players, self.today, by_family=not self.order)

    @cached_property
    def groups(self):
        """The cues to see to, under their headings, the first few of each."""
        return [Group.first(group, SHOWN[group.when]) for group in cues.grouped(self.seasons)]

    @cached_property
    def risks(self):
        """Who is most at risk of not being ready in time."""
        return Risks(self.seasons, self.today)

    @property
    def ease(self):
        """By when to be ready: "three days before"."""
        ease = self.who.studio.ease_days
        return f"{days(ease)} before" if ease else "by the day"

    @property
    def summary(self):
        """How many, and what comes next."""
        students, auditions = len(self.players), sum(player.entered for player in self.players)
        counted = f"{count(students, 'students')}, {count(auditions, 'auditions')}."
        return f"{counted} {self._coming()}".strip()

    def _coming(self):
        ahead = [player.ahead for player in self.players if player.ahead]
        if not ahead:
            return ""
        on = min(audition.on for audition in ahead)
        places = Counter(audition.place for audition in ahead if audition.on == on).most_common()
        named = " and ".join(f"{place}, {count(n, 'players')}" for place, n in places[:2])
        more = f" and {count(len(places) - 2, 'more places')}" if len(places) > 2 else ""
        return f"The next is {within((on - self.today).days)}: {named}{more}."

    @property
    def empty(self):
        """What to say instead of a drawing, or None."""
        if self.players:
            return None
        if self.q:
            return Empty(
                "Nobody found", f"No student matches “{self.q}”.", reverse("score"), "Show all"
            )
        return no_students(self.who)

    @cached_property
    def hint(self):
        """What comes next while there are students but no entries, or None."""
        if not self.players or any(player.entered for player in self.players):
            return None
        held = readable(self.who, Audition).filter(season=self.who.studio.season)
        if held.exists():
            text = "Nobody is entered yet: open a student and add the first audition."
            return Empty("", text, reverse("students"), "Go to the students")
        text = "Next, write down an institution with its audition, deadlines and dates."
        return Empty("", text, reverse("institutions"), "Go to the institutions")

    @property
    def second(self):
        """Another way out of an empty studio: the workbook, for those who may load one."""
        return reverse("workbook") if not self.q and may_add(self.who, Student) else ""

    @property
    def cues_url(self):
        """All cues of the students who were asked for."""
        asked = f"?{urlencode({'q': self.q})}" if self.q else ""
        return f"{reverse('cues')}{asked}"


@dataclass(frozen=True)
class Group:
    """Cues under one heading; `more` are not shown."""

    label: str
    late: bool
    cues: tuple
    more: int

    @property
    def all(self):
        """How many there are, shown or not."""
        return len(self.cues) + self.more

    @classmethod
    def first(cls, group, shown):
        """Return the first `shown` cues of a CueGroup."""
        more = max(len(group.cues) - shown, 0)
        return cls(group.label, group.late, group.cues[:shown], more)


def no_students(who):
    """What an empty studio is told."""
    text = "Add your students one by one, or load a whole season from a spreadsheet."
    if not may_add(who, Student):
        return Empty("No students yet", "The teacher adds them, or loads a workbook.")
    return Empty("No students yet", text, reverse("student_add"), "Add a student")


class CuesPage:
    """All cues, of the students that match `q` and of one doer."""

    def __init__(self, who, asked, now=None):
        self.base = ScorePage(who, asked, now)
        self.q = self.base.q
        self.doer = asked.get("doer", "") if asked.get("doer") in Doer.values else ""
        self.doers = (("", "Everybody"), *Doer.choices)

    @cached_property
    def asked_for(self):
        """All cues asked for, as CueGroups; headings with none are left out."""
        headings = tuple(cues.HEADINGS)
        groups = cues.grouped(self.base.seasons, headings)
        asked = [cue for group in groups for cue in group.cues if self._is_asked(cue)]
        return cues.under_headings(asked, headings)

    @property
    def groups(self):
        """The cues up to next week under their headings, no more than a page can take."""
        return [Group.first(group, MOST) for group in self.asked_for if group.when in cues.SOON]

    @cached_property
    def months(self):
        """The cues after next week by month, each a fold of the page."""
        later = (
            cue for group in self.asked_for if group.when not in cues.SOON for cue in group.cues
        )
        return [Group.first(month, MOST) for month in cues.by_month(later, self.base.today)]

    @property
    def opens_first(self):
        """Whether the first month is unfolded: where nothing comes before it."""
        return not self.groups

    @cached_property
    def undated(self):
        """What waits for a date to count from, or None."""
        found = [cue for season in self.base.seasons for cue in season.open_undated]
        asked = sorted(filter(self._is_asked, found), key=lambda cue: (cue.place, cue.name))
        return Group(cues.UNDATED, False, tuple(asked[:MOST]), max(len(asked) - MOST, 0))

    def _is_asked(self, cue):
        return not self.doer or cue.task.doer == self.doer

    @property
    def is_asked(self):
        """Whether something is left out on request."""
        return bool(self.q or self.doer)

    @property
    def summary(self):
        """How much there is to do."""
        todo = sum(len(group.cues) for group in self.asked_for) + len(self.undated.cues)
        late = sum(len(group.cues) for group in self.asked_for if group.late)
        return f"{todo} to do, {late} overdue." if late else f"{todo} to do."

    @property
    def empty(self):
        """What to say when there is nothing to do."""
        if self.is_asked:
            return Empty("Nothing to do", "No cue matches.", reverse("cues"), "Show all")
        text = "Cues come from the deadlines of the auditions that students are entered for."
        return Empty("Nothing to do", text, reverse("students"), "Go to the students")

    @property
    def can_ask(self):
        """Whether there is anything to choose from."""
        return self.is_asked or bool(self.asked_for or self.undated.cues)
