"""How rules about pieces are written: one line, in a musician's words, for a form or a cell.

Clauses stand between semicolons. A label is followed by a colon; several words, between which
"or" stands, are alternatives; commas and strokes part nothing, since names hold them; "not"
before the label bars what it says. What holds a ";" or an "or" stands between quotation marks.
Capitals, missing spaces and a few other words for a label are forgiven on reading.

Rules about one piece (RULE_HELP lists every label)::

    rules   = clause { ";" clause }
    clause  = [ "not" ] label ":" ( words { "or" words } | range )
    range   = "2 to 3" | "at least 2" | "at most 3" | "4" | for years also "before 1900",
              "after 1900", "from 1950", "up to 1950", "1930s", "19th century"
    minutes = whole or decimal, or with seconds after a colon: 2, 2.5, 2:20

Pieces together (TOGETHER_HELP)::

    together = binding { ";" binding }
    binding  = "different composers" | "different works" | "contrasting"
             | "minutes:" range
             | ( "at least" | "at most" ) number "with" clause { "and" clause }
"""

import re
from collections.abc import Iterable

from planner.clauses import (
    Help,
    Unclear,
    alternatives,
    count,
    did_you_mean,
    each,
    held,
    let_go,
    minutes,
    quoted,
    span,
    written_minutes,
)
from planner.repertoire import phrases
from planner.repertoire.model import Binding, Together
from planner.repertoire.rules import RANGES, About, Rule, years

RULE_HELP = (
    Help("composer", "composer: Mozart or Haydn", "by one of them"),
    Help("listed", "listed: Brenn Concerto in E flat or Ferrant Concerto no. 1", "on this list"),
    Help("work", "work: Concerto no. 2", "the title has these words"),
    Help("section", "section: first movement", "the movement or section has these words"),
    Help("book", "book: Forty Studies", "out of this book or collection"),
    Help("genre", "genre: concerto", "a piece of this genre"),
    Help("period", "period: Baroque or Classical", "of one of these periods"),
    Help("years", "years: before 1900", "written then; also from 1950, after 1900, 1850 to 1900"),
    Help("character", "character: lyrical", "it goes like this"),
    Help("minutes", "minutes: 2 to 2.5", "so long; also at least 3, at most 10, 2:20 to 4"),
    Help("level", "level: at least 5", "so hard, on your scale from 1 to 10"),
    Help("number", "number: odd", "of a study: odd, even, 3 or 14, 1 to 20"),
    Help("language", "language: Italian", "sung in it"),
    Help("edition", "edition: Weir & Daughters", "in this edition"),
    Help("bars", "bars: 1 to 64", "these bars of it"),
    Help("instrument", "instrument: Piccolo", "for this instrument instead of the player’s own"),
    Help("not", "not composer: Mozart", "before any label: it must not be so"),
)
TOGETHER_HELP = (
    Help("", "different composers", "no two pieces by one composer"),
    Help("", "different works", "no two pieces out of one work"),
    Help("", "contrasting", "no two pieces share a word of their character"),
    Help("minutes", "minutes: at most 10", "so long in all; also at least 8, 8 to 10"),
    Help("", "at least 1 with genre: concerto and section: first movement", "so many at least"),
    Help("", "at most 1 with genre: aria", "so many at most"),
)

_EXAMPLES = {line.label: line.example for line in RULE_HELP}
_LABELS = {about.value: about for about in About if about is not About.PIECE}
_OTHERS = {
    "by": About.COMPOSER,
    "composers": About.COMPOSER,
    "title": About.WORK,
    "works": About.WORK,
    "movement": About.SECTION,
    "sections": About.SECTION,
    "collection": About.BOOK,
    "books": About.BOOK,
    "list": About.LISTED,
    "style": About.PERIOD,
    "periods": About.PERIOD,
    "year": About.YEARS,
    "written": About.YEARS,
    "length": About.MINUTES,
    "duration": About.MINUTES,
    "difficulty": About.LEVEL,
    "grade": About.LEVEL,
    "numbers": About.NUMBER,
    "measures": About.BARS,
}
_CLAUSE = re.compile(r"(?i)(?P<barred>not\b)?(?P<label>[^:]*):(?P<value>.*)")
_AND = re.compile(r"(?i)(?: and |(?<= )\+ ?|\+ ?)(?=(?:not )?[^\W\d]+ ?:)")


# ---- rules about one piece


def read_rules(text: str) -> tuple[Rule, ...]:
    """Return the rules that `text` holds; raise Unclear, naming each clause to mend."""
    return each(text, _rule)


def write_rules(rules: Iterable[Rule]) -> str:
    """Return the line that `read_rules` reads as `rules`.

    Words that would be parted are put between quotation marks, which make no difference to what
    they match. Raises ValueError for a rule about keys of pieces: nobody can type these.
    """
    return "; ".join(map(_written, rules))


def spoken_rules(rules: Iterable[Rule]) -> str:
    """Return rules in plain words: "by Mozart or Haydn, written before 1900"."""
    return ", ".join(map(phrases.phrase, rules))


def _rule(clause: str) -> Rule:
    found = _CLAUSE.fullmatch(clause)
    if not found:
        raise Unclear(_no_colon(clause))
    about, value = _about(found["label"].strip()), found["value"].strip()
    barred = bool(found["barred"])
    if not value:
        raise Unclear(f"Write something after the colon, as in “{_EXAMPLES[about]}”.")
    if about not in RANGES:
        return Rule(about, _words(value, about), barred=barred)
    if about is About.NUMBER:
        value = re.sub(r"(?i)^nos?\b\.? ?", "", value)
        if words := _numbers(value):
            return Rule(about, words, barred=barred)
    least, most = _READ[about](value)
    return Rule(about, least=least, most=most, barred=barred)


def _no_colon(clause: str) -> str:
    first = clause.split()[0].casefold()
    if about := _LABELS.get(first) or _OTHERS.get(first):
        return f"Put a colon after “{first}”, as in “{_EXAMPLES[about]}”."
    return "Write what it is about, and a colon, before it, as in “composer: Mozart or Haydn”."


def _about(label: str) -> About:
    said = label.casefold()
    if about := _LABELS.get(said) or _OTHERS.get(said):
        return about
    if said in ("piece", "pieces"):
        raise Unclear(f"Write composer and title, as in “{_EXAMPLES[About.LISTED]}”.")
    hint = did_you_mean(said, _LABELS)
    known = "" if hint else f" Write one of {phrases.either(tuple(_LABELS))}."
    raise Unclear(f"“{let_go(label)}” is not a label here.{hint}{known}")


def _words(value: str, about: About) -> tuple[str, ...]:
    words = alternatives(value)
    if any(word.casefold().startswith("not ") for word in words):
        raise Unclear(f"Write “not” first, as in “not {_EXAMPLES[about]}”.")
    return words


def _numbers(value: str) -> tuple[str, ...]:
    """The words of a rule about the number; none where it is a range."""
    words = alternatives(value.casefold())
    return words if all(re.fullmatch(r"odd|even|\d+", word) for word in words) else ()


def _years(value: str) -> tuple[int | None, int | None]:
    said = value.casefold().removeprefix("in ").removeprefix("the ")
    if re.fullmatch(r"\d{3}0[’']?s|\d{1,2}(st|nd|rd|th)[ -]century", said):
        return years(said)
    return span(said, _year, "Write “before 1900”, “from 1950” or “1850 to 1900”.")


def _year(figure: str) -> int:
    if len(figure) != 4:
        raise ValueError(figure)
    return int(figure)


def _minutes(value: str) -> tuple[int | None, int | None]:
    advice = "Write “at most 10”, “at least 3” or “2 to 2.5”."
    unit = r"(?i) ?\b(?:minutes?|mins?|seconds?|secs?)\b\.?"
    in_seconds = re.search(r"(?i)\bsec", value) and not re.search(r"(?i)\bmin(?:ute)?s?\b", value)
    bare = re.sub(unit, "", value) if re.search(r"\d.*[a-z]", value) else value
    least, most = span(bare, int if in_seconds else minutes, advice, strict=False)
    if least == most and not re.search(r"\d\D+\d", re.sub(r"[.,:]", "", bare)):
        raise Unclear(f"Is that the least or the most? {advice}")
    return least, most


def _level(value: str) -> tuple[int | None, int | None]:
    bare = re.sub(r"(?i)\b(?:level|grade) ?", "", value)
    return span(bare, int, "Write “at least 5”, “at most 7” or “5 to 7”.")


def _number(value: str) -> tuple[int | None, int | None]:
    return span(value, int, "Write “odd”, “even”, “3 or 14”, “at least 10” or “1 to 20”.")


_READ = {
    About.YEARS: _years,
    About.MINUTES: _minutes,
    About.LEVEL: _level,
    About.NUMBER: _number,
}


def _written(rule: Rule) -> str:
    if rule.about is About.PIECE:
        raise ValueError("a rule about keys of pieces cannot be written in words")
    return f"{'not ' if rule.barred else ''}{rule.about.value}: {_value(rule)}"


def _value(rule: Rule) -> str:
    if rule.words:
        return " or ".join(map(_protected, rule.words))
    if rule.about is About.YEARS:
        return phrases.span_of_years(rule.least, rule.most).removeprefix("in ")
    return _range(rule.least, rule.most, rule.about)


def _range(least: int | None, most: int | None, about: About) -> str:
    show = written_minutes if about is About.MINUTES else str
    if least == most and about in (About.MINUTES, About.NUMBER):
        return f"{show(least)} to {show(most)}"
    return phrases.span(least, most, show)


def _protected(word: str) -> str:
    """The word, between quotation marks if it would be parted."""
    text = held(word)
    joined = _AND.search(f" {text}")
    parted = ";" in text or joined or re.search(r"(?i)(?:^| )or(?: |$)|^not |^:", text)
    return quoted(word) if parted else word


# ---- pieces together


def read_together(text: str) -> tuple[Together, ...]:
    """Return what `text` says of pieces together; raise Unclear, naming each clause to mend.

    Each is named by its words. Its scope is None: the caller knows whose pieces it binds.
    """
    return tuple(together for found in each(text, _together) for together in found)


def write_together(bindings: Iterable[Together]) -> str:
    """Return the line that `read_together` reads as `bindings`, names and scopes apart.

    Raises ValueError as `write_rules` does, and for a count that says nothing.
    """
    return "; ".join(map(_written_together, bindings))


def spoken_together(bindings: Iterable[Together]) -> str:
    """Return constraints in plain words: "contrasting; at most 10 minutes in all"."""
    return "; ".join(map(phrases.bound, bindings))


_PLAIN = re.compile(
    r"(?i)(?:by |of |all )?(?:(?:different|distinct|separate) (?P<what>composers?|works?|pieces?)"
    r"|contrast(?:ing)?(?: pieces)?)"
)
_LENGTH = re.compile(r"(?i)(?:total )?(?:minutes|length|duration)(?: in all| together)? ?:(.*)")
_COUNTED = re.compile(
    r"(?i)(?P<how>at least|at most|exactly|(?:no|not) more than|none|not? any)"
    r"(?: (?P<count>\d+|no|one|two|three|four|five|six|seven|eight|nine|ten))?"
    r"(?: of (?:them|these))?(?: with| which has| has)?(?P<colon> ?:)?"
    r"(?: (?P<rules>(?:not )?[^\W\d]+ ?:.*))?"
)
_NONE = ("none", "no any", "not any")
_COUNTING = re.compile(r"(?i)(?:at least|at most|exactly)\b")
_ADVICE = "Write it as in “at least 1 with genre: concerto and section: first movement”."


def _together(clause: str) -> tuple[Together, ...]:
    if plain := _PLAIN.fullmatch(clause):
        what = (plain["what"] or "").casefold().rstrip("s")
        binding = {"": Binding.CONTRASTING, "composer": Binding.COMPOSERS}.get(what, Binding.WORKS)
        return (_named(binding),)
    if length := _LENGTH.fullmatch(clause):
        value = re.sub(r"(?i) ?\b(?:in all|in total|altogether|together)$", "", length[1].strip())
        return (_named(Binding.LENGTH, *_minutes(value)),)
    if counted := _COUNTED.fullmatch(clause):
        return _counted(counted)
    if _COUNTING.match(clause):
        raise Unclear(_ADVICE)
    known = ("different composers", "different works", "contrasting", "minutes", "at least 1 with")
    hint = did_you_mean(clause.casefold().partition(":")[0], known)
    if not hint and _CLAUSE.fullmatch(clause):
        raise Unclear(f"How many of the pieces? For example “at least 1 with {let_go(clause)}”.")
    other = " Write “different composers”, “contrasting” or “minutes: at most 10”, for example."
    raise Unclear(f"This says nothing of pieces together.{hint or other}")


def _counted(found: re.Match) -> tuple[Together, ...]:
    how = found["how"].casefold()
    if not found["rules"]:
        raise Unclear(f"What must they have? {_ADVICE}")
    if bool(found["count"]) is (how in _NONE):
        raise Unclear(f"How many? {_ADVICE}")
    number = count(found["count"] or "no")
    rules = tuple(map(_rule, _AND.split(found["rules"])))
    least = _named(Binding.AT_LEAST, number, None, rules)
    most = _named(Binding.AT_MOST, None, number, rules)
    if how == "exactly":
        return least, most
    return (least,) if how == "at least" else (most,)


def _named(binding, least=None, most=None, rules=()) -> Together:
    bare = Together("", binding, None, least, most, rules)
    return Together(phrases.bound(bare), binding, None, least, most, rules)


def _written_together(together: Together) -> str:
    least, most = together.least, together.most
    if together.binding is Binding.LENGTH:
        return f"minutes: {_range(least, most, About.MINUTES)}"
    if together.binding not in (Binding.AT_LEAST, Binding.AT_MOST):
        return together.binding.value
    number = least if together.binding is Binding.AT_LEAST else most
    if number is None or not together.rules:
        raise ValueError(f"“{together.name}” counts nothing")
    rules = " and ".join(map(_written, together.rules))
    return f"{together.binding.value} {number} with {rules}"
