"""The answer in sentences, as a teacher would say it."""

from collections.abc import Sequence

from planner.dates.model import Closed
from planner.deadlines.wording import count_of, listed, short_day
from planner.readiness.words import number
from planner.together.booking import Engagement
from planner.together.clashes import Clash
from planner.together.model import Problem, Taken

CARE = (
    "Somebody has to ask those who come along before anything is booked: here they are only "
    "planned with.",
    "Verify each date with the institution itself, and book no travel before it has confirmed.",
    "Points weigh money, hours, nights and school days in the figures of the settings: estimates "
    "to compare plans by, not financial advice.",
    "How somebody who comes along gets from one place to another overnight is not looked at.",
)
NAMES = 4  # so many are named, the rest is counted


def answered(problem: Problem, taken: Sequence[Taken], found, clashes: Sequence[Clash]) -> str:
    """Return the plans in two or three sentences. found: what was settled."""
    if not problem.students:
        return "There are no students to plan for."
    planned = [one for one in taken if one.plan]
    said = []
    if found.conflicts:
        without = len(taken) - len(planned)
        said.append(
            f"For {number(without)} of {count_in_words(len(taken))} no dates "
            f"{'go together' if all(one.proven for one in found.conflicts) else 'were found'}."
        )
    if planned:
        who = "All others" if found.conflicts else "Everybody"
        said += [_given_up(planned, clashes, who), _proof(planned, found)]
    return " ".join(said)


def _given_up(planned: Sequence[Taken], clashes: Sequence[Clash], who: str) -> str:
    giving = [one for one in planned if one.extra]
    if not any(one.moved for one in planned):
        return f"{who} can take their own best dates."
    if not giving:
        return f"{who} can take dates as good as their own best ones."
    extra = sum(one.extra for one in giving)
    dearer = f"{number(len(giving)).capitalize()} of {count_in_words(len(planned))}"
    verb = "give" if len(giving) > 1 else "gives"
    return f"{dearer} {verb} up {extra:,} points in all{_avoided(len(clashes))}."


def _avoided(count: int) -> str:
    if not count:
        return ""
    return f", which avoids {number(count)} clash{'' if count == 1 else 'es'}"


def _proof(planned: Sequence[Taken], found) -> str:
    if found.proven:
        return "Proven: no other choice of dates comes to fewer points in all."
    points = sum(one.plan.burden.points for one in planned)
    if points == found.bound:
        return "No choice asks fewer points; whether one is liked better was not proven in time."
    return (
        f"Not proven within the time: another choice might ask up to {points - found.bound:,} "
        "points less."
    )


def reasons(
    taken: Sequence[Taken], clashes: Sequence[Clash], own: int, in_turn: int, stranded: int
) -> tuple[str, ...]:
    """Return how it came about.

    own: points if everybody took their own best dates, in_turn: if one after another took what is
    left, and stranded: how many would be left without.
    """
    planned = [one for one in taken if one.plan]
    if not planned:
        return ()
    points = sum(one.plan.burden.points for one in planned)
    said = []
    if points > own:
        said.append(f"Alone, their best dates would ask {own:,} points; together it is {points:,}.")
    turns = "If one after another took the best dates left,"
    if stranded:
        said.append(f"{turns} {count_in_words(stranded)} would be left without any.")
    elif in_turn > points:
        said.append(f"{turns} it would be {in_turn:,} points.")
    if clashes:
        some = " ".join(one.sentence for one in clashes[:NAMES])
        rest = len(clashes) - NAMES
        more = f" The same holds for {number(rest)} more." if rest > 0 else ""
        said.append(f"If everybody took their own best dates: {some}{more}")
    return tuple(said)


def count_in_words(students: int) -> str:
    """Return "one student" or "three students"."""
    return f"{number(students)} student{'' if students == 1 else 's'}"


def notes(booked: Sequence[Engagement]) -> tuple[str, ...]:
    """Return what to be careful about."""
    untimed = [one for one in booked if None in (one.booking.starts, one.booking.ends)]
    said = []
    if untimed:
        said.append(
            f"{_auditions(len(untimed))} no stated times yet: when they come, look again whether "
            "two players are heard at once."
        )
    return (*said, *CARE) if booked else CARE[1:3]


def _auditions(count: int) -> str:
    return f"{number(count).capitalize()} audition{' has' if count == 1 else 's have'}"


def conflict(problem: Problem, nets: Sequence[int], companions: Sequence[str], proven: bool) -> str:
    """Return why some students, by number, have no plan."""
    who = _named([problem.students[net].name for net in nets])
    if not companions:
        if proven:
            return f"The dates of {who} do not go together even if nobody has to come along."
        return f"No dates for {who} were found within the time; there may be some."
    with_whom = _named([c.name for c in problem.companions if c.key in companions], "or")
    if not proven:
        return f"No dates for {who} were found within the time; there may be some."
    if len(nets) == 1:
        return f"There are no dates for {who} to which {with_whom} can come along."
    return f"There are no dates for {who} together to which {with_whom} can come along."


def _named(names: Sequence[str], last: str = "and") -> str:
    if len(names) > NAMES:
        names = [*names[: NAMES - 1], f"{number(len(names) - NAMES + 1)} others"]
    return listed(list(names)) if last == "and" else f" {last} ".join(names)


def way_out(problem: Problem, change, points: int, proven: bool) -> str:
    """Return what to do. change: what was tried."""
    names = {one.key: one.name for one in problem.companions}
    asks = f"all who have dates then ask {points:,} points{'' if proven else ', perhaps fewer'}"
    if change.kind == "more":
        much = count_of(change.most, "audition")
        return f"Ask {names[change.companion]} to play at up to {much} a day: {asks}."
    if change.kind == "come":
        return f"Ask {names[change.companion]} to come along in spite of {change.away}: {asks}."
    student = problem.students[change.net]
    audition = next(a.name for a in student.dates.auditions if a.key == change.audition)
    if change.kind == "without":
        whom = names[change.companion]
        return f"Find somebody else than {whom} for {student.name} at {audition}: {asks}."
    return f"Leave out {audition} for {student.name}: {asks}."


def stretch(closed: Closed) -> str:
    """Return days away in words: "concerts, 19 February to 21 February"."""
    first, last = short_day(closed.first), short_day(closed.last)
    days = first if closed.first == closed.last else f"{first} to {last}"
    return f"{closed.name}, {days}" if closed.name else f"being away, {days}"
