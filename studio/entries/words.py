"""Checks and days as a teacher would say them, the same on every page."""

from studio.entries.models import LessonCheck


def ago(on, today):
    """Return "today", "yesterday", "3 days ago", "5 weeks ago"."""
    days = (today - on).days
    if days < 2:
        return ("today", "yesterday")[days] if days >= 0 else f"{on:%-d %B}"
    if days < 14:
        return f"{days} days ago"
    return f"{days // 7} weeks ago"


def tempo(check):
    """Return "96 of 112", "clean at 96" where no target is known, or ""."""
    if check.tempo is None:
        return ""
    goal = check.target or check.piece.target_tempo
    return f"{check.tempo} of {goal}" if goal else f"clean at {check.tempo}"


def marks(check, names):
    """Return "Tone 6, Rhythm 7": the marks that were given, by the studio's names."""
    given = zip(names, (getattr(check, mark) for mark in LessonCheck.MARKS), strict=False)
    return ", ".join(f"{name} {mark}" for name, mark in given if mark is not None)


def memory(check):
    """Return "memory: partly", or ""."""
    return f"memory: {check.get_memory_display().lower()}" if check.memory else ""


def heard(check, names):
    """Return the most telling of what a check holds: tempo, else marks, memory, or the note."""
    return tempo(check) or marks(check, names) or memory(check) or check.note


def due(rule):
    """Return "28 days before", "10 working days before" or "on the day" of a lead time."""
    if not rule.lead:
        return "on the day"
    return f"{count(rule.lead, rule.lead_unit)} before"


def work(rule):
    """Return "2 days of work", or ""."""
    return f"{count(rule.takes, 'days')} of work" if rule.takes else ""


def waits(rule):
    """Return what a lead time's task waits for, in words, or ""."""
    words = [f"“{rule.after}”"] if rule.after else []
    if rule.needs:
        words.append(rule.get_needs_display().lower())
    return ", ".join(words)


def where(rule):
    """Return "Youth orchestra", "once for all" of a lead time, or ""."""
    return " · ".join(filter(None, [rule.get_of_display(), "once for all" if rule.shared else ""]))


def count(number, unit):
    """Return "1 day", "10 working days"."""
    return f"{number} {unit[:-1] if number == 1 else unit}"
