"""Chances and ranges as a teacher would say them, the same on every page and sheet.

`answer` is any answer of planner.readiness that foresees a day: of a piece, a requirement, an
audition. A chance is that of being ready some days before the audition (Studio.ease_days).
"""

from datetime import timedelta

from planner.readiness.words import day, days

RARE, SURE = 0.05, 0.95


def chance_words(chance):
    """Return "about 7 in 10", at the ends "less than 1 in 20"; "" where it is not known.

    chance: 0 to 1, or None. Nothing is called certain, or out of the question.
    """
    if chance is None:
        return ""
    if chance < RARE:
        return "less than 1 in 20"
    if chance > SURE:
        return "more than 19 in 20"
    return f"about {min(max(int(10 * chance + 0.5), 1), 9)} in 10"


def is_ready(answer, today):
    """Whether it is ready today: what is not is expected tomorrow at the earliest."""
    return answer.ready_on == today


def in_short(answer, today):
    """Return its chance for a cell of a table: "about 7 in 10", "ready", "not known yet"."""
    if is_ready(answer, today):
        return "ready"
    return chance_words(answer.chance) or "not known yet"


def said(answer, today, ease_days):
    """Return "All ready three days before: about 7 in 10.", "" where the chance is not known.

    answer: AuditionReadiness.
    """
    if answer.chance is None or is_ready(answer, today):
        return ""
    before = f"{days(ease_days)} before" if ease_days else "by the day"
    if answer.on - timedelta(days=ease_days) <= today:
        before = "as it stands today"
    return f"All ready {before}: {chance_words(answer.chance)}."


def at(season, answer):
    """Return what `said` says of one of a Season's answers."""
    return said(answer, season.today, season.student.studio.ease_days)


def expected(answer, today):
    """Return "28 January, between 20 January and 9 February"; "" where no day is foreseen."""
    if answer.ready_on is None or answer.ready_on <= today:
        return ""
    words = day(answer.ready_on, today)
    if answer.earliest is None or answer.earliest == answer.latest:
        return words
    first = day(answer.earliest, today)
    if answer.latest is None:
        return f"{words}, not before {first}, how late is not known"
    return f"{words}, between {first} and {day(answer.latest, today)}"


def in_range(answer, today):
    """Return how sure the expected day is, in a sentence; "" where there is no range."""
    if not answer.earliest or not answer.ready_on or answer.ready_on <= today:
        return ""
    first = day(answer.earliest, today)
    if answer.latest is None:
        return f"From {first} on, four times in five (the 80 % range); how late is not known yet."
    last = day(answer.latest, today)
    if first == last:
        return f"By {first}, four times in five (the 80 % range): an estimate."
    return f"Between {first} and {last}, four times in five (the 80 % range): an estimate."


def meaning(ease_days):
    """Return what a chance is the chance of."""
    by = f"{days(ease_days)} before the audition" if ease_days else "by the day of the audition"
    return (
        "“About 7 in 10” means: of ten students who stand just so today, about seven are ready "
        f"{by}. A range holds four times in five, and misses once."
    )
