"""Rules and constraints in the words of a page: "by Mozart or Haydn", "2 to 2½ minutes"."""

from collections.abc import Sequence

from planner.readiness.words import number
from planner.repertoire.model import Binding, Together
from planner.repertoire.rules import About, Rule

_PARTS = {0: "", 15: "¼", 30: "½", 45: "¾"}
_PUT = {
    About.COMPOSER: "by {}",
    About.BOOK: "from {}",
    About.LANGUAGE: "in {}",
    About.EDITION: "in the edition {}",
    About.BARS: "bars {}",
    About.INSTRUMENT: "for {}",
    About.YEARS: "written {}",
    About.LEVEL: "level {}",
    About.NUMBER: "number {}",
}


def phrase(rule: Rule) -> str:
    """Return one rule in plain words: "written before 1900", "not by Mozart"."""
    return f"{'not ' if rule.barred else ''}{_phrase(rule)}"


def _phrase(rule: Rule) -> str:
    if rule.about is About.PIECE:
        count = len(rule.words)
        return "the piece named" if count == 1 else f"one of the {count} pieces named"
    if rule.about is About.NUMBER and set(rule.words) <= {"odd", "even"} and rule.words:
        return f"{either(rule.words)}-numbered"
    if rule.about is About.MINUTES:
        return f"{wanted(rule)} {unit(rule.least, rule.most)}"
    return _PUT.get(rule.about, "{}").format(wanted(rule))


def wanted(rule: Rule) -> str:
    """Return what a rule asks for, without its label: "Mozart or Haydn", "before 1900"."""
    if rule.words:
        return either(rule.words)
    if rule.about is About.YEARS:
        return span_of_years(rule.least, rule.most)
    show = spoken_minutes if rule.about is About.MINUTES else str
    return span(rule.least, rule.most, show)


def bound(together: Together) -> str:
    """Return a constraint in plain words: "at least one: concerto, first movement"."""
    least, most = together.least, together.most
    if together.binding is Binding.LENGTH:
        return f"{span(least, most, spoken_minutes)} {unit(least, most)} in all"
    rules = ", ".join(map(phrase, together.rules))
    if together.binding is Binding.AT_LEAST:
        return f"at least {number(least)}: {rules}"
    if together.binding is Binding.AT_MOST:
        return f"at most {number(most)}: {rules}" if most else f"none: {rules}"
    return together.binding.value


def either(words: Sequence[str]) -> str:
    """Return "A", "A or B", "A, B or C"."""
    *ahead, last = words
    return f"{', '.join(ahead)} or {last}" if ahead else last


def span(least, most, show=str) -> str:
    """Return "2 to 3", "at least 2", "at most 3", "2"; one of the two may be None."""
    if least == most:
        return show(least)
    if most is None:
        return f"at least {show(least)}"
    return f"at most {show(most)}" if least is None else f"{show(least)} to {show(most)}"


def span_of_years(least: int | None, most: int | None) -> str:
    """Return "before 1900", "from 1950", "1850 to 1900", "in 1904"; one may be None."""
    if least is not None and most is not None:
        return f"in {least}" if least == most else f"{least} to {most}"
    if most is None:
        return f"after {least - 1}" if least % 10 == 1 else f"from {least}"
    return f"before {most + 1}" if most % 10 == 9 else f"up to {most}"


def unit(least: int | None, most: int | None) -> str:
    """Return "minute" where the last number said is one, else "minutes"."""
    return "minute" if (least if most is None else most) == 60 else "minutes"


def spoken_minutes(seconds: int) -> str:
    """Return minutes as they are said: 150 seconds "2½", 140 seconds "2:20"."""
    whole, rest = divmod(seconds, 60)
    if rest not in _PARTS:
        return f"{whole}:{rest:02}"
    return f"{whole or ''}{_PARTS[rest]}" or "0"
