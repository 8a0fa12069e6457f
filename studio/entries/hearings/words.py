"""Hearings in words, one line each, for pages that show other things as well."""

from planner.readiness.words import day
from planner.rubric import written
from planner.rubric.words import shown, total_words
from studio.entries.hearings.bridge import hearings_of

RESULTS = {
    "passed": "passed",
    "failed": "not passed",
    "undecided": "not decided yet",
    "not stated": "",
}


def line(heard, today):
    """Return "Mock audition of 12 January: 78 of 100, pass 70: passed" of a bridge.Heard."""
    name = f"{heard.row.get_kind_display()} of {day(heard.row.on, today)}"
    return f"{name}: {total(heard)}"


def total(heard):
    """Return "78 of 100, pass 70: passed"."""
    score = heard.score
    if not score.lines or len(score.missing) == len(score.lines):
        return "no points given"
    words = total_words(score)
    if score.pass_at is not None:
        words += f", pass {shown(score.pass_at)}"
    return ": ".join(filter(None, (words, RESULTS[score.result])))


def latest(season, entry):
    """Return the `line` of an entry's latest hearing, "" where there is none."""
    found = hearings_of(entry, season.student.studio)
    return line(found[-1], season.today) if found else ""


def change(now, before):
    """Return "2 more", "1.5 fewer" or "as before"; "" where either is not known."""
    if now is None or before is None:
        return ""
    if now == before:
        return "as before"
    return f"{written(abs(now - before))} {'more' if now > before else 'fewer'}"


def scored(season, entry):
    """Return the totals of an entry's hearings of takes, by take key."""
    found = {}
    for heard in hearings_of(entry, season.student.studio):
        if heard.row.take_id:
            found.setdefault(heard.row.take_id, []).append(total(heard))
    return found
