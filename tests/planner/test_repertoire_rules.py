"""Whether a piece obeys a rule and fits a slot. Pieces are invented, composers' names are not."""

from dataclasses import replace

import pytest

from planner.repertoire.fitting import Fit, fit
from planner.repertoire.model import Piece, Slot
from planner.repertoire.rules import About, Rule, number, obeys, years

PIECE = Piece(
    key="p1",
    name="Malínek, Concertino no. 10",
    prep=600,
    kind="solo",
    instrument="Trombone",
    composer="Jaroslav Malínek",
    work="Concertino no. 10 in E♭ minor, op. 3",
    section="first movement",
    book="Recital Pieces",
    genre="concerto",
    period="Late Romantic",
    year=1898,
    character=("dramatic", "slow"),
    seconds=370,
    piano="with piano",
    language="Czech",
    edition="Weir & Daughters",
    bars="1 to 64",
    level=7,
)
BARE = Piece(key="p2", name="Romance", prep=60)


def words(about, *some, barred=False):
    return Rule(about, words=some, barred=barred)


# ---- names and words


@pytest.mark.parametrize(
    ("about", "word", "kept"),
    [
        (About.COMPOSER, "malinek", True),
        (About.COMPOSER, "MALÍNEK", True),
        (About.COMPOSER, "Malínek, Jaroslav", True),
        (About.COMPOSER, "Malin", False),
        (About.WORK, "Concertino no. 10", True),
        (About.WORK, "Concertino 10", True),
        (About.WORK, "Concertino no. 1", False),
        (About.WORK, "Concertino op. 3", True),
        (About.WORK, "Concertino opus 3", True),
        (About.WORK, "Concertino no. 3", False),
        (About.WORK, "Concertino op. 10", False),
        (About.WORK, "Concertino in E flat minor", True),
        (About.WORK, "Concertino in Eb minor", True),
        (About.WORK, "E-flat minor Concertino", True),
        (About.WORK, "Concertino in E flat", False),
        (About.WORK, "Concertino in E", False),
        (About.WORK, "no.", False),
        (About.WORK, "–", False),
        (About.SECTION, "movement: first", True),
        (About.SECTION, "1st mvt.", True),
        (About.SECTION, "first movements", False),
        (About.GENRE, "Concerto", True),
        (About.PERIOD, "Romantic", True),
        (About.CHARACTER, "slow", True),
        (About.CHARACTER, "slow, dramatic", True),
        (About.CHARACTER, "lyrical", False),
        (About.BOOK, "Pieces", True),
        (About.LANGUAGE, "Italian", False),
        (About.EDITION, "Weir and Daughters", True),
        (About.EDITION, "Weir", True),
        (About.BARS, "1–64", True),
        (About.BARS, "bars 1 to 64", False),
        (About.BARS, "1 to 64", True),
        (About.LISTED, "Malinek Concertino no. 10", True),
        (About.LISTED, "Malinek Concertino first movement", True),
        (About.LISTED, "Brenn Concertino no. 10", False),
        (About.INSTRUMENT, "trombone", True),
        (About.INSTRUMENT, "bass trombone", False),
        (About.PIECE, "p1", True),
        (About.PIECE, "p10", False),
    ],
)
def test_words_are_compared_one_by_one(about, word, kept):
    assert obeys(PIECE, words(about, word)) is kept
    assert obeys(PIECE, words(about, word, barred=True)) is not kept


@pytest.mark.parametrize(
    ("composer", "word"),
    [
        ("Antonín Dvořák", "Dvorak"),
        ("Witold Lutosławski", "lutoslawski"),
        ("Vagn Holmbœ", "holmboe"),
        ("Heinz Preiß", "PREISS"),
        ("Ján Cikker", "ja\u0301n"),
        ("C. P. E. Bach", "C.P.E. Bach"),
    ],
)
def test_accents_and_points_make_no_difference(composer, word):
    assert obeys(replace(PIECE, composer=composer), words(About.COMPOSER, word)) is True


def test_one_of_several_is_enough():
    assert obeys(PIECE, words(About.COMPOSER, "Brenn", "Malínek")) is True
    assert obeys(PIECE, words(About.COMPOSER, "Brenn", "Vaal")) is False


def test_a_trombone_is_no_bass_trombone_and_the_other_way_round():
    bass = replace(PIECE, instrument="Bass trombone")
    assert obeys(bass, words(About.INSTRUMENT, "Trombone")) is False
    assert obeys(bass, words(About.INSTRUMENT, "trombone (bass)")) is True


def test_a_key_without_a_mode_is_major():
    major = replace(PIECE, work="Concerto in C")
    minor = replace(PIECE, work="Concerto in C minor")
    sharp = replace(PIECE, work="Concerto in C sharp minor")
    rule = words(About.WORK, "Concerto in C")
    assert [obeys(piece, rule) for piece in (major, minor, sharp)] == [True, False, False]
    rule = words(About.WORK, "Concerto in C major")
    assert [obeys(piece, rule) for piece in (major, minor, sharp)] == [True, False, False]
    rule = words(About.WORK, "C sharp minor")
    assert [obeys(piece, rule) for piece in (major, minor, sharp)] == [False, False, True]


# ---- facts that are not recorded


@pytest.mark.parametrize(
    "rule",
    [
        words(About.COMPOSER, "Vaal"),
        words(About.WORK, "Romance"),
        words(About.BOOK, "Studies"),
        words(About.GENRE, "aria"),
        words(About.PERIOD, "Baroque"),
        words(About.CHARACTER, "slow"),
        words(About.LANGUAGE, "Italian"),
        words(About.EDITION, "Weir"),
        words(About.BARS, "1 to 64"),
        words(About.LISTED, "Vaal Romance"),
        words(About.NUMBER, "odd"),
        Rule(About.YEARS, most=1899),
        Rule(About.MINUTES, most=600),
        Rule(About.LEVEL, least=3),
        Rule(About.NUMBER, least=3),
    ],
)
def test_what_is_not_recorded_decides_nothing(rule):
    assert obeys(BARE, rule) is None
    assert obeys(BARE, replace(rule, barred=True)) is None


def test_no_section_is_the_whole_work():
    assert obeys(BARE, words(About.SECTION, "first movement")) is False
    assert obeys(BARE, words(About.SECTION, "cadenza", barred=True)) is True


def test_no_instrument_is_any():
    assert obeys(BARE, words(About.INSTRUMENT, "Piccolo")) is True
    assert obeys(BARE, words(About.INSTRUMENT, "Piccolo", barred=True)) is True


def test_a_work_may_be_the_book_that_is_asked_for():
    study = replace(BARE, work="Forty Studies", section="no. 14")
    assert obeys(study, words(About.BOOK, "Forty Studies")) is True
    assert obeys(study, words(About.BOOK, "Sixty Studies")) is None
    assert obeys(study, words(About.BOOK, "Forty Studies", barred=True)) is False
    assert obeys(replace(study, book="Book I"), words(About.BOOK, "Forty Studies")) is False


def test_a_work_without_a_composer_may_be_on_the_list():
    carol = replace(BARE, work="Sea Carol")
    assert obeys(carol, words(About.LISTED, "Sea Carol")) is True
    assert obeys(carol, words(About.LISTED, "Vaal Sea Carol")) is None


# ---- numbers


@pytest.mark.parametrize(
    ("least", "most", "kept"),
    [
        (120, 150, False),
        (None, 370, True),
        (None, 369, False),
        (370, None, True),
        (371, None, False),
    ],
)
def test_minutes_are_kept_to_the_second(least, most, kept):
    assert obeys(PIECE, Rule(About.MINUTES, least=least, most=most)) is kept
    assert obeys(PIECE, Rule(About.MINUTES, least=least, most=most, barred=True)) is not kept


def test_levels():
    assert obeys(PIECE, Rule(About.LEVEL, least=7)) is True
    assert obeys(PIECE, Rule(About.LEVEL, least=8)) is False


@pytest.mark.parametrize(
    ("work", "section", "found"),
    [
        ("Forty Studies", "no. 14", 14),
        ("Study no. 7", "", 7),
        ("Caprices, op. 10", "no. 4", 4),
        ("Study op. 10 no. 4", "", 4),
        ("Study, Opus 12", "", None),
        ("Forty Studies", "1st study", None),
        ("Suite no. 2", "second movement", 2),
        ("Studies", "no. 14a", 14),
    ],
)
def test_the_number_of_a_study(work, section, found):
    assert number(replace(BARE, work=work, section=section)) == found


def test_odd_and_even_numbers():
    study = replace(BARE, work="Forty Studies", section="no. 14")
    assert obeys(study, words(About.NUMBER, "even")) is True
    assert obeys(study, words(About.NUMBER, "odd")) is False
    assert obeys(study, words(About.NUMBER, "odd", barred=True)) is True
    assert obeys(study, words(About.NUMBER, "3", "14")) is True
    assert obeys(study, words(About.NUMBER, "3", "140")) is False
    assert obeys(study, Rule(About.NUMBER, least=1, most=20)) is True
    assert obeys(study, Rule(About.NUMBER, least=15)) is False


# ---- years


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("1904", (1904, 1904)),
        ("1904–07", (1904, 1907)),
        ("1904-1912", (1904, 1912)),
        ("c. 1780", (1770, 1790)),
        ("1930s", (1930, 1939)),
        ("1930’s", (1930, 1939)),
        ("1900s", (1900, 1999)),
        ("19th century", (1800, 1899)),
        ("Early 20th century", (1900, 1999)),
        ("late 18th to early 19th century", (1700, 1899)),
        ("1780s or 1804", (1780, 1804)),
        ("before 1750", None),
        ("Late Romantic", None),
        ("opus 19", None),
        ("", None),
    ],
)
def test_datings(text, span):
    assert years(text) == span


@pytest.mark.parametrize(
    ("year", "period", "kept"),
    [
        (1899, "", True),
        (1900, "", False),
        (1900, "19th century", False),
        (None, "19th century", True),
        (None, "1890s", True),
        (None, "1930s", False),
        (None, "1895–1905", None),
        (None, "Baroque", None),
        (None, "", None),
    ],
)
def test_before_1900(year, period, kept):
    piece = replace(BARE, year=year, period=period)
    assert obeys(piece, Rule(About.YEARS, most=1899)) is kept
    barred = obeys(piece, Rule(About.YEARS, most=1899, barred=True))
    assert barred is (None if kept is None else not kept)


def test_a_first_year_alone_and_both():
    piece = replace(BARE, period="1930s")
    assert obeys(piece, Rule(About.YEARS, least=1930)) is True
    assert obeys(piece, Rule(About.YEARS, least=1935)) is None
    assert obeys(piece, Rule(About.YEARS, least=1850, most=1929)) is False


# ---- rules that say nothing


@pytest.mark.parametrize(
    "facts",
    [
        {"about": About.COMPOSER},
        {"about": About.YEARS},
        {"about": About.YEARS, "words": ("1900",)},
        {"about": About.COMPOSER, "words": ("Vaal",), "least": 3},
        {"about": About.GENRE, "most": 3},
        {"about": About.NUMBER, "words": ("odd",), "least": 3},
    ],
)
def test_a_rule_that_says_nothing_is_refused(facts):
    with pytest.raises(ValueError, match="a rule about"):
        Rule(**facts)


# ---- slots


def slot(**facts):
    return Slot("s", "Solo", **facts)


def test_an_open_slot_takes_any_piece():
    assert fit(PIECE, slot()) == fit(BARE, slot()) == Fit(True)


def test_a_kind():
    assert fit(PIECE, slot(kind="solo")).verdict is True
    assert fit(PIECE, slot(kind="etude")) == Fit(False, ("a solo, not an etude",))
    assert fit(BARE, slot(kind="etude")) == Fit(None, (), ("its kind is not recorded",))


def test_an_instrument():
    assert fit(PIECE, slot(instrument="trombone")).verdict is True
    assert fit(BARE, slot(instrument="Horn")).verdict is True
    assert fit(PIECE, slot(instrument="Horn")) == Fit(False, ("for trombone, not for horn",))
    bass = fit(PIECE, slot(instrument="Bass trombone"))
    assert bass == Fit(False, ("for trombone, not for bass trombone",))


def test_a_rule_about_the_instrument_replaces_the_players():
    asked = slot(instrument="Flute", rules=(words(About.INSTRUMENT, "Piccolo"),))
    flute, piccolo = (replace(PIECE, instrument=name) for name in ("Flute", "Piccolo"))
    assert fit(piccolo, asked).verdict is True
    assert fit(flute, asked) == Fit(False, ("for flute, asked for piccolo",))
    either = slot(instrument="Flute", rules=(words(About.INSTRUMENT, "Flute", "Piccolo"),))
    assert fit(flute, either).verdict is fit(piccolo, either).verdict is True


def test_a_barred_instrument_leaves_the_players():
    asked = slot(instrument="Flute", rules=(words(About.INSTRUMENT, "Piccolo", barred=True),))
    flute, piccolo, oboe = (
        replace(PIECE, instrument=name) for name in ("Flute", "Piccolo", "Oboe")
    )
    assert fit(flute, asked).verdict is True
    assert fit(piccolo, asked).against == ("for piccolo, not for flute", "for piccolo, ruled out")
    assert fit(oboe, asked).against == ("for oboe, not for flute",)


@pytest.mark.parametrize(
    ("kind", "piano", "asked", "verdict"),
    [
        ("solo", "with piano", "with piano", True),
        ("solo", "with piano", "without piano", False),
        ("solo", "without piano", "with piano", False),
        ("solo", "not stated", "with piano", None),
        ("solo", "not stated", "without piano", None),
        ("solo", "not stated", "not stated", True),
        ("other", "not stated", "without piano", None),
        ("etude", "not stated", "without piano", True),
        ("etude", "not stated", "with piano", False),
        ("etude", "with piano", "without piano", False),
        ("excerpt", "not stated", "without piano", True),
        ("scales", "not stated", "without piano", True),
    ],
)
def test_the_piano(kind, piano, asked, verdict):
    found = fit(replace(PIECE, kind=kind, piano=piano), slot(piano=asked))
    assert found.verdict is verdict
    assert (len(found.against), len(found.unknown)) == (verdict is False, verdict is None)


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        (Rule(About.YEARS, most=1850), "written in 1898, asked for up to 1850"),
        (Rule(About.YEARS, least=1901), "written in 1898, asked for after 1900"),
        (Rule(About.MINUTES, least=120, most=150), "6:10 minutes, asked for 2 to 2½"),
        (Rule(About.LEVEL, least=8), "level 7, asked for at least 8"),
        (words(About.NUMBER, "odd"), "number 10, asked for odd"),
        (words(About.COMPOSER, "Vaal", "Brenn"), "by Jaroslav Malínek, asked for Vaal or Brenn"),
        (words(About.SECTION, "finale"), "first movement, asked for finale"),
        (words(About.LISTED, "Vaal Romance"), "not on the list"),
        (words(About.PIECE, "p2"), "not one of the pieces named"),
        (words(About.CHARACTER, "lyrical"), "dramatic, slow, asked for lyrical"),
        (words(About.BOOK, "Studies"), "from Recital Pieces, asked for Studies"),
        (words(About.LANGUAGE, "Latin"), "in Czech, asked for Latin"),
        (words(About.EDITION, "Vaal"), "edition Weir & Daughters, asked for Vaal"),
        (words(About.BARS, "7 to 9"), "bars 1 to 64, asked for 7 to 9"),
        (words(About.COMPOSER, "Malínek", barred=True), "by Jaroslav Malínek, ruled out"),
        (words(About.LISTED, "Malínek", barred=True), "on the list, ruled out"),
    ],
)
def test_reasons_in_words(rule, text):
    assert fit(PIECE, slot(rules=(rule,))) == Fit(False, (text,))


def test_a_piece_of_one_minute_is_said_so():
    asked = slot(rules=(Rule(About.MINUTES, least=120),))
    assert fit(replace(PIECE, seconds=60), asked).against == ("1 minute, asked for at least 2",)


def test_the_whole_work_and_a_period_are_named_in_reasons():
    asked = slot(rules=(words(About.SECTION, "finale"), Rule(About.YEARS, least=1950)))
    found = fit(replace(BARE, period="1930s"), asked)
    assert found == Fit(
        False, ("the whole work, asked for finale", "of 1930s, asked for from 1950")
    )


def test_what_speaks_against_it_and_what_is_not_known_are_both_told():
    asked = slot(kind="etude", rules=(words(About.GENRE, "aria"), Rule(About.YEARS, most=1899)))
    found = fit(replace(PIECE, year=None, genre=""), asked)
    assert found.verdict is False
    assert found.against == ("a solo, not an etude",)
    assert found.unknown == ("its genre is not recorded", "its year is not recorded")


def test_the_teachers_word_is_stronger_than_any_rule():
    asked = slot(kind="etude", instrument="Horn", rules=(Rule(About.YEARS, least=1950),))
    assert fit(PIECE, asked).verdict is False
    assert fit(PIECE, replace(asked, judged={"p1": True})) == Fit(True)
    assert fit(PIECE, slot(judged={"p1": False})) == Fit(False)
    assert fit(PIECE, replace(asked, judged={"p2": True})).verdict is False
