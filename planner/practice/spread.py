"""The minutes of each day: a plan that meets every date and is good to work with.

A clear rule instead of an optimum, for what a musician likes is no single number. Day after day:

1. What cannot wait. All pieces due by b need so much in all; what the days after today up to b
   cannot hold has to be done today. If for every due day b at least that much of the pieces due by
   b is done, and if the pieces that begin later fit among themselves, then the rest still fits
   after today: these are all the spans that today touches. So every date is met, whatever the next
   steps do with the room that is left, and nothing needs to be taken back. The days to come are
   taken for less than they hold, halfway between what would just do and all of it: so they keep
   room for steps 2 and 3.
2. What would rest for too long before the next day with time gets a shortest stretch, the longest
   rest first.
3. Even shares. Each piece gains credit: its minutes left times today's share of all minutes there
   are until a few days before its date. From a shortest stretch on the credit is played.

A piece that was never worked on does not rest yet: it begins when its credit says so. Amounts are
whole, rounded up to five minutes where there is room; no remainder shorter than a stretch is left
where that can be helped. Only 1 may take more than the longest stretch (it is then parted).
"""

from dataclasses import dataclass

from planner.practice.case import Case, Job, scaled, sums
from planner.practice.edf import fits
from planner.practice.wishes import Wishes

ROUND = 5  # minutes; nobody practises 17
FINE = 1000  # credit is counted in thousandths of a minute, to stay in whole numbers
DATE, REST, SHARE = "date", "rest", "share"


@dataclass
class Given:
    """Minutes for a job on a day, and the first rule that asked for them."""

    minutes: int
    why: str


def spread(case: Case, jobs: list[Job], wishes: Wishes) -> dict[int, dict[int, Given]]:
    """Return by day what each job (index) gets; `jobs` must fit into `wishes.caps`."""
    course = _Course(case, jobs, wishes)
    days = range(case.today, max((job.due for job in jobs), default=-1) + 1)
    plan = {day: course.day(day) for day in days}
    return {day: given for day, given in plan.items() if given}


def _with_reserve(jobs: list[Job], caps: list[int]) -> list[int]:
    """Return what the days are taken to hold for later work; the jobs fit into that."""
    low, high = 0, 100
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if fits(jobs, scaled(caps, middle)) else (middle, high)
    return scaled(caps, (high + 100) // 2)


def _following(caps: list[int], least: int) -> list[int]:
    """Return for each day the next one that holds a stretch."""
    found, after = [0] * len(caps), len(caps)
    for day in range(len(caps) - 1, -1, -1):
        found[day] = after
        after = day if caps[day] >= least else after
    return found


class _Course:
    def __init__(self, case: Case, jobs: list[Job], wishes: Wishes):
        self.settings, self.jobs, self.wishes = case.settings, jobs, wishes
        self.caps, self.before = wishes.caps, sums(wishes.caps)
        self.ahead = sums(_with_reserve(jobs, wishes.caps))
        self.following = _following(wishes.caps, case.settings.shortest)
        self.left = [job.need for job in jobs]
        self.credit = [0] * len(jobs)
        self.by_due = sorted(range(len(jobs)), key=lambda one: (jobs[one].due, jobs[one].key))
        self.last = [
            None if piece.last_played is None else case.number(piece.last_played)
            for piece in case.pieces
        ]

    def day(self, day: int) -> dict[int, Given]:
        """Give out one day and go on."""
        self.given: dict[int, Given] = {}
        self.room = self.caps[day]
        self.open = [i for i in self.by_due if self.left[i] and self.jobs[i].first <= day]
        runs = self.wishes.runs.get(day, ())
        self.run = {i for i in self.by_due if any(self.jobs[i].key in one.pieces for one in runs)}
        for i in self.open:
            self._earn(i, day)
        for due, least in self._cannot_wait(day):
            self._meet(day, due, least)
        self._wake(day)
        self._share()
        self._go_on(day)
        return self.given

    # ---- the three rules

    def _cannot_wait(self, day: int) -> list[tuple[int, int]]:
        """Return (due day, minutes that the pieces due by then must get today) where any."""
        found, need = [], 0
        for i in self.by_due:
            need += self.left[i]
            due = self.jobs[i].due
            least = need - (self.ahead[due + 1] - self.ahead[day + 1]) if due >= day else 0
            if least > 0:
                found.append((due, least))
        return found

    def _meet(self, day: int, due: int, least: int) -> None:
        pool = [i for i in self.open if self.jobs[i].due <= due]

        def order(i):
            minutes = self._minutes(i)
            return minutes >= self.settings.longest, not minutes, -self._rested(i, day)

        while (wanting := least - sum(self._minutes(i) for i in pool)) > 0:
            if not self.room:
                raise ArithmeticError("what cannot wait is more than the day holds")
            # Of equals the first is taken: the earliest date, then the key.
            i = min((i for i in pool if self._minutes(i) < self.left[i]), key=order)
            below = self.settings.longest - self._minutes(i)
            wanting = min(wanting, below) if below > 0 else wanting
            self._give(i, self._amount(i, wanting, DATE), DATE)

    def _wake(self, day: int) -> None:
        until = self.following[day] - day
        due = [i for i in self.open if self._rested(i, day) + until > self.settings.rest_days]
        due = [i for i in due if self.last[i] is not None]
        for i in sorted(due, key=lambda i: -self._rested(i, day)):
            wanting = min(self.settings.shortest, self.left[i]) - self._minutes(i)
            if 0 < wanting <= self.room and i not in self.run:
                self._give(i, self._amount(i, wanting, REST), REST)

    def _share(self) -> None:
        for i in sorted(self.open, key=lambda i: -self.credit[i]):
            minutes = self._minutes(i)
            wanting = min(self.credit[i] // FINE, self.settings.longest, self.left[i]) - minutes
            least = min(self.settings.shortest, self.left[i]) - minutes
            if wanting <= 0 or least > min(wanting, self.room):
                continue
            amount = self._amount(i, wanting, SHARE)
            rest = self.left[i] - minutes - amount
            if not 0 < rest < self.settings.shortest:
                self._give(i, amount, SHARE)

    # ---- what they stand on

    def _earn(self, i: int, day: int) -> None:
        job = self.jobs[i]
        until = max(day, job.due - self.settings.spare_days)
        holds = self.before[until + 1] - self.before[day]
        if holds:
            self.credit[i] += FINE * self.left[i] * self.caps[day] // holds
        self.credit[i] = min(self.credit[i], FINE * self.left[i])

    def _give(self, i: int, amount: int, why: str) -> None:
        entry = self.given.setdefault(i, Given(0, why))
        entry.minutes += amount
        self.room -= amount

    def _amount(self, i: int, wanted: int, why: str) -> int:
        """Return what is wanted, or a little more where that makes a better stretch."""
        had = self._minutes(i)
        most = min(self.left[i] - had, self.room)
        easy = min(most, max(wanted, self.settings.longest - had))
        amount = max(wanted, self.settings.shortest - had)
        amount = min(-(-(had + amount) // ROUND) * ROUND - had, easy)
        rest = self.left[i] - had - amount
        if 0 < rest < self.settings.shortest:
            return amount + rest if amount + rest <= easy else self._lower(i, amount, wanted, why)
        return amount

    def _lower(self, i: int, amount: int, wanted: int, why: str) -> int:
        """Return less, so that a whole stretch is left, if that is still enough."""
        had, shortest = self._minutes(i), self.settings.shortest
        less = self.left[i] - had - shortest
        enough = max(shortest - had, wanted if why != SHARE else 1)
        return less if enough <= less <= amount else amount

    def _minutes(self, i: int) -> int:
        return self.given[i].minutes if i in self.given else 0

    def _rested(self, i: int, day: int) -> int:
        """Days in a row without this piece before this day; -1 if it was never played."""
        return -1 if self.last[i] is None else day - self.last[i] - 1

    def _go_on(self, day: int) -> None:
        for i, given in self.given.items():
            self.left[i] -= given.minutes
            self.credit[i] = max(0, self.credit[i] - FINE * given.minutes)
            self.last[i] = day
        for i in self.run:
            if self.last[i] is not None:
                self.last[i] = day
