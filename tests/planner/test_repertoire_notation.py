"""Rules and constraints on one line: written, read back, spoken, and what is said of a slip."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.clauses import Unclear
from planner.repertoire import phrases
from planner.repertoire.model import Binding, Piece, Together
from planner.repertoire.notation import (
    RULE_HELP,
    TOGETHER_HELP,
    read_rules,
    read_together,
    spoken_rules,
    spoken_together,
    write_rules,
    write_together,
)
from planner.repertoire.rules import RANGES, About, Rule, obeys


def rule(about, *words, least=None, most=None, barred=False):
    return Rule(About(about), words, least, most, barred)


# ---- what is written is read back

PLAIN = st.from_regex(
    r"[A-Zbd-mp-z][a-z]{1,7}(, [a-z]{3,6}| & [A-Z][a-z]{3,6}| no\. \d)?", fullmatch=True
)
# What parts a line, and what looks like it.
PARTING = st.sampled_from(
    ["or", "Or", "not", "and", ";", ":", "+", ",", "bars:", "and genre: aria", "+ not bars: 3"]
    + ["no. 1", "Äther", "Orbis", "Now", "’", "/", '"', "“", "”", "4", "to"]
)
AWKWARD = st.lists(PARTING, min_size=1, max_size=5).map(" ".join)


def ranges(lowest, highest):
    numbers = st.integers(lowest, highest)
    both = st.tuples(numbers, numbers).map(sorted).map(tuple)
    return both | st.tuples(numbers, st.none()) | st.tuples(st.none(), numbers)


def ranged(about, lowest, highest):
    return st.builds(
        lambda ends, barred: Rule(about, (), *ends, barred), ranges(lowest, highest), st.booleans()
    )


def worded(words, abouts):
    some = st.lists(words, min_size=1, max_size=3).map(tuple)
    return st.builds(Rule, st.sampled_from(abouts), words=some, barred=st.booleans())


WORDED = [about for about in About if about not in {*RANGES, About.PIECE}]
RULES = st.one_of(
    worded(PLAIN, WORDED),
    worded(st.sampled_from(["odd", "even", "3", "14"]), [About.NUMBER]),
    ranged(About.YEARS, 1000, 2100),
    ranged(About.MINUTES, 0, 7200),
    ranged(About.LEVEL, 0, 10),
    ranged(About.NUMBER, 0, 99),
)
COUNTS = st.tuples(
    st.sampled_from([Binding.AT_LEAST, Binding.AT_MOST]),
    st.integers(0, 12),
    st.lists(RULES, min_size=1, max_size=3).map(tuple),
).map(
    lambda one: (
        (one[0], one[1], None, one[2])
        if one[0] is Binding.AT_LEAST
        else (one[0], None, one[1], one[2])
    )
)
PAIRS = st.sampled_from([Binding.COMPOSERS, Binding.WORKS, Binding.CONTRASTING])
BOUND = (
    COUNTS
    | PAIRS.map(lambda binding: (binding, None, None, ()))
    | ranges(0, 7200).map(lambda ends: (Binding.LENGTH, *ends, ()))
)


@given(st.lists(RULES, max_size=4).map(tuple))
def test_rules_that_are_written_are_read_back_the_same(rules):
    assert read_rules(write_rules(rules)) == rules


@given(st.lists(BOUND, max_size=4))
def test_constraints_that_are_written_are_read_back_the_same(several):
    bare = [Together("", binding, None, *rest) for binding, *rest in several]
    named = tuple(replace(one, name=phrases.bound(one)) for one in bare)
    assert read_together(write_together(named)) == named


def bare(word):
    """Words as `read_rules` may give them back: between quotation marks or not."""
    return word if word[:1] not in '"“' else word[1:-1]


def writable(word):
    """No more quotation marks than can stand between others."""
    return not any(mark in word for mark in '"“”')


@given(worded(AWKWARD.filter(writable), WORDED))
def test_words_that_would_be_parted_come_back_between_quotation_marks(one):
    (read,) = read_rules(write_rules([one]))
    assert tuple(map(bare, read.words)) == one.words
    assert replace(read, words=one.words) == one
    assert read_rules(write_rules([read])) == (read,)


@given(worded(AWKWARD.filter(writable), WORDED))
def test_words_that_would_be_parted_are_kept_among_several_rules(one):
    together = Together("", Binding.AT_LEAST, None, 1, None, (one, rule("genre", "aria")))
    (read,) = read_together(write_together([together]))
    assert [tuple(map(bare, rule.words)) for rule in read.rules] == [one.words, ("aria",)]


def test_quotation_marks_make_no_difference_to_what_is_matched():
    piece = Piece("p", "Vale", 60, composer="Ilse Orrin", work="Now or Never")
    (read,) = read_rules(write_rules([rule("work", "Now or Never")]))
    assert read.words == ('"Now or Never"',)
    assert obeys(piece, read) is True


def test_words_with_marks_of_both_kinds_cannot_be_written():
    with pytest.raises(ValueError, match="quotation marks of both kinds"):
        write_rules([rule("work", 'A "or" “B” or C')])


def test_keys_of_pieces_and_counts_of_nothing_cannot_be_written():
    with pytest.raises(ValueError, match="keys of pieces"):
        write_rules([rule("piece", "p1")])
    for one in (
        Together("nothing", Binding.AT_LEAST, None, 1),
        Together("nothing", Binding.AT_MOST, None, 1, None, (rule("genre", "aria"),)),
    ):
        with pytest.raises(ValueError, match="“nothing” counts nothing"):
            write_together([one])


# ---- read as it is typed


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("", []),
        (" ; ;", []),
        ("composer:Mozart OR Haydn", [rule("composer", "Mozart", "Haydn")]),
        ("  NOT   Composer :  Mozart ", [rule("composer", "Mozart", barred=True)]),
        ("by: Mozart; title: Sonata", [rule("composer", "Mozart"), rule("work", "Sonata")]),
        ("movement: first or third", [rule("section", "first", "third")]),
        ("list: Brenn, Suite/Vale, Aria", [rule("listed", "Brenn, Suite/Vale, Aria")]),
        ("collection: Forty Studies", [rule("book", "Forty Studies")]),
        ("style: Baroque", [rule("period", "Baroque")]),
        ("measures: 1 to 64", [rule("bars", "1 to 64")]),
        ("work: Dust: a ballad", [rule("work", "Dust: a ballad")]),
        ("work: “Now or Never; Then” or Orbis", [rule("work", "“Now or Never; Then”", "Orbis")]),
        ("years: before 1900", [rule("years", most=1899)]),
        ("years: after 1900", [rule("years", least=1901)]),
        ("year: from 1950", [rule("years", least=1950)]),
        ("written: up to 1950", [rule("years", most=1950)]),
        ("years: in the 1930s", [rule("years", least=1930, most=1939)]),
        ("years: 19th century", [rule("years", least=1800, most=1899)]),
        ("years: 1904", [rule("years", least=1904, most=1904)]),
        ("years: 1850–1900", [rule("years", least=1850, most=1900)]),
        ("minutes: 2 to 2.5", [rule("minutes", least=120, most=150)]),
        ("minutes: 2:20 to 2½ min", [rule("minutes", least=140, most=150)]),
        ("length: at most 10 minutes", [rule("minutes", most=600)]),
        ("duration: 90 seconds or more", [rule("minutes", least=90)]),
        ("minutes: at least 2 and at most 3", [rule("minutes", least=120, most=180)]),
        ("difficulty: 5 or more", [rule("level", least=5)]),
        ("level: grade 5 to grade 7", [rule("level", least=5, most=7)]),
        ("number: Odd", [rule("number", "odd")]),
        ("number: nos. 3 or 14", [rule("number", "3", "14")]),
        ("number: 1 to 20", [rule("number", least=1, most=20)]),
        ("number: at least 10", [rule("number", least=10)]),
    ],
)
def test_rules_are_read_as_a_teacher_types_them(text, read):
    assert read_rules(text) == tuple(read)


ARIA = (rule("genre", "aria"),)
FIRST = (rule("genre", "concerto"), rule("section", "first movement"))


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("by different composers", [(Binding.COMPOSERS, None, None, ())]),
        ("Distinct Works", [(Binding.WORKS, None, None, ())]),
        ("separate pieces", [(Binding.WORKS, None, None, ())]),
        ("Contrast", [(Binding.CONTRASTING, None, None, ())]),
        ("contrasting pieces", [(Binding.CONTRASTING, None, None, ())]),
        ("total length: 8 to 10 in all", [(Binding.LENGTH, 480, 600, ())]),
        ("minutes in all: at most 10", [(Binding.LENGTH, None, 600, ())]),
        ("at least one with genre: aria", [(Binding.AT_LEAST, 1, None, ARIA)]),
        ("At least 2 of them: genre: aria", [(Binding.AT_LEAST, 2, None, ARIA)]),
        ("no more than two with genre: aria", [(Binding.AT_MOST, None, 2, ARIA)]),
        ("none with genre: aria", [(Binding.AT_MOST, None, 0, ARIA)]),
        (
            "exactly 1 with genre: aria",
            [(Binding.AT_LEAST, 1, None, ARIA), (Binding.AT_MOST, None, 1, ARIA)],
        ),
        (
            "at least 1 with genre: concerto and movement: first movement",
            [(Binding.AT_LEAST, 1, None, FIRST)],
        ),
        (
            "at least 1 with genre: concerto + section: first movement",
            [(Binding.AT_LEAST, 1, None, FIRST)],
        ),
        (
            "at most 1 with genre: song and dance and not level: at most 3",
            [
                (
                    Binding.AT_MOST,
                    None,
                    1,
                    (rule("genre", "song and dance"), rule("level", most=3, barred=True)),
                )
            ],
        ),
        (
            "contrasting; minutes: at most 10",
            [(Binding.CONTRASTING, None, None, ()), (Binding.LENGTH, None, 600, ())],
        ),
    ],
)
def test_constraints_are_read_as_a_teacher_types_them(text, read):
    found = read_together(text)
    assert [(one.binding, one.least, one.most, one.rules) for one in found] == read
    assert all(one.name == spoken_together([one]) and one.scope is None for one in found)


@pytest.mark.parametrize("line", RULE_HELP, ids=lambda line: line.example)
def test_every_example_of_the_help_on_rules_is_read(line):
    (read,) = read_rules(line.example)
    assert line.label == ("not" if read.barred else read.about.value)
    assert read_rules(write_rules([read])) == (read,)


def test_the_help_on_rules_leaves_no_label_out():
    labels = {line.label for line in RULE_HELP} - {"not"}
    assert labels == {about.value for about in About} - {About.PIECE.value}


@pytest.mark.parametrize("line", TOGETHER_HELP, ids=lambda line: line.example)
def test_every_example_of_the_help_on_pieces_together_is_read(line):
    (read,) = read_together(line.example)
    assert read_together(write_together([read])) == (read,)


def test_the_help_on_pieces_together_leaves_no_binding_out():
    shown = [one.binding for line in TOGETHER_HELP for one in read_together(line.example)]
    assert sorted(shown) == sorted(Binding)


# ---- spoken


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        (
            "composer: Mozart or Haydn; years: before 1900",
            "by Mozart or Haydn, written before 1900",
        ),
        ("not composer: A or B or C", "not by A, B or C"),
        ("years: from 1986", "written from 1986"),
        ("years: after 1900", "written after 1900"),
        ("minutes: 2 to 2.5", "2 to 2½ minutes"),
        ("minutes: at most 2:20", "at most 2:20 minutes"),
        ("minutes: 1 to 1", "1 minute"),
        ("level: at least 5", "level at least 5"),
        ("number: odd", "odd-numbered"),
        ("number: 3 or 14", "number 3 or 14"),
        ("book: Forty Studies", "from Forty Studies"),
        ("language: Italian; bars: 1 to 64", "in Italian, bars 1 to 64"),
        ("edition: Weir; instrument: Piccolo", "in the edition Weir, for Piccolo"),
        ("genre: concerto; section: first movement", "concerto, first movement"),
    ],
)
def test_rules_in_plain_words(text, spoken):
    assert spoken_rules(read_rules(text)) == spoken


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        ("contrasting; minutes: at most 10", "contrasting; at most 10 minutes in all"),
        ("by different composers", "different composers"),
        (
            "at least 1 with genre: concerto and section: first movement",
            "at least one: concerto, first movement",
        ),
        ("at most 1 with genre: aria", "at most one: aria"),
        ("none with composer: Mozart", "none: by Mozart"),
        ("exactly 1 with number: odd", "at least one: odd-numbered; at most one: odd-numbered"),
    ],
)
def test_constraints_in_plain_words(text, spoken):
    assert spoken_together(read_together(text)) == spoken


# ---- what is said of a slip


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("composer Mozart", "Put a colon after “composer”, as in “composer: Mozart or Haydn”."),
        ("Mozart", "Write what it is about, and a colon, before it, as in “composer: Mozart"),
        ("compser: Mozart", "“compser” is not a label here. Did you mean “composer”?"),
        ("key: C", "“key” is not a label here. Write one of composer, work, section, "),
        ("piece: Sonata", "Write composer and title, as in “listed: "),
        ("book:", "Write something after the colon, as in “book: Forty Studies”."),
        ("composer: Mozart or", "Something is missing before or after “or”."),
        ("composer: not Mozart", "Write “not” first, as in “not composer: "),
        ("years: long ago", "Write “before 1900”, “from 1950” or “1850 to 1900”."),
        ("years: 19", "Write “before 1900”, “from 1950” or “1850 to 1900”."),
        ("minutes: 3", "Is that the least or the most? Write “at most 10”"),
        ("minutes: under 3", "Write “at most 10”, “at least 3” or “2 to 2.5”."),
        ("minutes: 5 to 3", "Nothing lies between the two."),
        ("level: hard", "Write “at least 5”, “at most 7” or “5 to 7”."),
        ("number: prime", "Write “odd”, “even”, “3 or 14”, “at least 10” or “1 to 20”."),
    ],
)
def test_an_unclear_rule_is_named_with_what_to_write(text, told):
    with pytest.raises(Unclear) as error:
        read_rules(f"genre: sonata; {text}")
    assert str(error.value).startswith(f"“{text}”: {told}")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("at least 1", "What must they have? Write it as in “at least 1 with genre: concerto"),
        ("at least with genre: aria", "How many? Write it as in “at least 1 with "),
        ("no more than with genre: aria", "How many? Write it as in “at least 1 with "),
        ("none 2 with genre: aria", "How many? Write it as in “at least 1 with "),
        ("at least 1 aria", "Write it as in “at least 1 with "),
        ("at least 1 with gnre: aria", "“gnre” is not a label here. Did you mean “genre”?"),
        ("genre: aria", "How many of the pieces? For example “at least 1 with genre: aria”."),
        (
            "diferent composers",
            "This says nothing of pieces together. Did you mean “different",
        ),
        ("well played", "This says nothing of pieces together. Write “different composers”, "),
        ("minutes: 10", "Is that the least or the most? Write “at most 10”"),
    ],
)
def test_an_unclear_constraint_is_named_with_what_to_write(text, told):
    with pytest.raises(Unclear) as error:
        read_together(f"contrasting; {text}")
    assert str(error.value).startswith(f"“{text}”: {told}")


def test_every_unclear_clause_is_named_at_once():
    with pytest.raises(Unclear) as error:
        read_rules("compser: A; genre: sonata; years: soon")
    assert "“compser: A”: " in str(error.value)
    assert "“years: soon”: " in str(error.value)
    assert "sonata" not in str(error.value)
