"""Rubrics and points: written, read back, spoken; one player's score, and what is not decided."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import codec
from planner.clauses import Unclear
from planner.rubric import (
    RUBRIC_HELP,
    Answer,
    Criterion,
    Deduction,
    Point,
    Problem,
    Rubric,
    Sheet,
    answer,
    misfits,
    read_points,
    read_rubric,
    said,
    same,
    score,
    spoken_points,
    spoken_rubric,
    write_points,
    write_rubric,
)

EXAMPLE = (
    "tone: 20; technique: 20, times 1.5; scales: 15, at least 7; memory slips: minus 2 each, "
    "at most 10; pass: 70 %; ties: tone, technique"
)
POINTS = st.decimals("0.01", "1000", places=2)
WORDS = st.from_regex(r"[a-z]{3,8}( [a-z]{3,8})?", fullmatch=True).filter(
    lambda name: name not in ("pass", "ties")
)


@st.composite
def rubrics(draw):
    names = draw(st.lists(WORDS, min_size=2, max_size=6, unique_by=same))
    cut = draw(st.integers(1, len(names)))
    weighted = draw(st.booleans())
    criteria = []
    for place, name in enumerate(names[:cut]):
        most = draw(POINTS)
        least = draw(st.none() | st.decimals("0.01", most, places=2))
        weight = None
        if weighted:  # even shares, the rest on the first
            share = Decimal(100 // cut)
            weight = share if place else 100 - share * (cut - 1)
        times = Decimal(1) if weighted else draw(st.decimals("0.25", "9", places=2))
        criteria.append(Criterion(name, most, times, weight, least))
    off = [
        Deduction(name, each, draw(st.none() | st.decimals(each, "1000", places=2)))
        for name in names[cut:]
        for each in (draw(POINTS),)
    ]
    ties = draw(st.lists(st.sampled_from(names[:cut]), unique=True))
    mark = draw(st.none() | st.decimals("0.01", "100", places=2))
    return Rubric(tuple(criteria), tuple(off), mark, mark is not None, tuple(ties))


@given(rubrics())
def test_what_is_written_is_read_back_the_same(rubric):
    assert read_rubric(write_rubric(rubric)) == rubric
    assert write_rubric(read_rubric(write_rubric(rubric))) == write_rubric(rubric)


@given(st.lists(st.builds(Point, WORDS, POINTS), unique_by=lambda point: same(point.name)))
def test_points_are_read_back_the_same(points):
    assert read_points(write_points(tuple(points))) == tuple(points)


def test_a_rubric_is_read_as_a_teacher_types_it():
    rubric = read_rubric(
        "Tone: 20 points; Technique: 20, x1½; scales:15,at least 50%; "
        "Memory slips: -2 each, at most 10; Pass: 60 percent; ties: by tone, then Technique"
    )
    assert rubric.criteria == (
        Criterion("Tone", Decimal(20)),
        Criterion("Technique", Decimal(20), times=Decimal("1.5")),
        Criterion("scales", Decimal(15), least=Decimal("7.5")),
    )
    assert rubric.deductions == (Deduction("Memory slips", Decimal(2), Decimal(10)),)
    assert (rubric.pass_mark, rubric.percent, rubric.ties) == (60, True, ("Tone", "Technique"))
    assert (rubric.most, rubric.pass_at) == (65, 39)


def test_a_comma_within_a_figure_is_a_decimal_one():
    assert read_rubric("tone: 7,5, times 1,25").criteria == (
        Criterion("tone", Decimal("7.5"), times=Decimal("1.25")),
    )


def test_an_empty_text_is_a_rubric_of_nothing():
    assert read_rubric("") == Rubric() and write_rubric(Rubric()) == ""
    assert (read_points(""), spoken_rubric(Rubric())) == ((), "")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("tone 20", "“tone 20”: A colon is missing."),
        ("tone:", "Something is missing after “tone:”"),
        (": 20", "A name is missing"),
        ("tone: good", "“good” is not a number of points"),
        ("tone: 20, tims 2", "Did you mean “times”"),
        ("tone: 20, at most 5", "“at most” does not belong here"),
        ("slips: minus 2 each, times 2", "“times” does not belong here"),
        ("tone: 20, times 2, times 3", "“times” stands twice"),
        ("tone: 20; Tone: 10", "“Tone” stands twice"),
        ("sight reading: 20; Sight-reading: 10", "stands twice"),
        ("tone: 0", "give points above 0"),
        ("tone: 1001", "1000 at most"),
        ("tone: 99999999", "is not a number of points"),
        ("tone: 20, times 101", "100 at most"),
        ("tone: 20, at least 21", "goes from above 0 to its 20 points"),
        ("tone: 20, at least 0", "goes from above 0 to its 20 points"),
        ("tone: 20, weight 40 %; scales: 10", "“scales” has no weight"),
        ("tone: 20, weight 40 %; scales: 10, weight 50 %", "come to 90 %"),
        ("tone: 20, times 2, weight 100 %", "keep the weight"),
        ("tone: 20, weight 0 %", "a weight is above 0"),
        ("tone: 20; pass: 21", "no more than the 20 points there are"),
        ("tone: 20; pass: 101 %", "no more than 100 %"),
        ("tone: 20; pass: 0", "give more than 0"),
        ("tone: 20; pass: 10; pass: 12", "“pass” stands twice"),
        ("tone: 20; ties: tome", "Did you mean “tone”"),
        ("tone: 20; ties: tone, tone", "“tone” stands twice"),
        ("pass: 70", "Say what is scored"),
        ("slips: minus 0 each; tone: 20", "take off more than 0"),
        ("slips: minus 3 each, at most 2; tone: 20", "at most is less than once"),
        ("tone, round: 20", "cannot hold commas"),
        (f"{'tone' * 20}: 20", "60 characters at most"),
        ("; ".join(f"line {n}: 1" for n in range(41)), "more than 40 lines"),
    ],
)
def test_what_makes_no_sense_is_refused_with_what_to_do(text, message):
    with pytest.raises(Unclear) as error:
        read_rubric(text)
    assert message in str(error.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("tone: good", "not a number of points"),
        ("tone", "A colon is missing"),
        ("tone: 1; tone: 2", "stands twice"),
        ("tone: -1", "not a number of points"),
    ],
)
def test_bad_points_are_refused(text, message):
    with pytest.raises(Unclear) as error:
        read_points(text)
    assert message in str(error.value)


def test_every_line_of_the_help_can_be_read():
    for line in RUBRIC_HELP:
        text = line.example
        if line.label or "minus" in text:
            text = f"tone: 60; technique: 40; {text}"
        elif "weight" in text:
            text = f"{text}; scales: 10, weight 60 %"
        rubric = read_rubric(text)
        assert read_rubric(write_rubric(rubric)) == rubric


def one(rubric, points):
    return score(read_rubric(rubric), [read_points(points)])


def test_multipliers_and_deductions_count():
    found = one(EXAMPLE, "tone: 15; technique: 12.5; scales: 9; memory slips: 2")
    assert (found.total, found.most) == (Decimal("38.75"), 65)  # 15 + 18.75 + 9 - 4
    assert found.share == pytest.approx(38.75 / 65, abs=1e-15)
    assert [(loss.name, loss.times, loss.off) for loss in found.losses] == [("memory slips", 2, 4)]


def test_a_deduction_ends_at_its_most_and_a_total_at_nothing():
    assert one(EXAMPLE, "tone: 20; technique: 0; scales: 9; memory slips: 50").total == 19
    found = one("tone: 20; slips: minus 5 each", "tone: 4; slips: 3")
    assert (found.total, found.best) == (0, 0)


def test_weights_make_each_criterion_its_share_of_a_hundred():
    found = one("solo: 10, weight 40 %; scales: 30, weight 60 %; pass: 50", "solo: 5; scales: 15")
    assert (found.total, found.most, found.result) == (50, 100, "passed")
    assert [line.counted for line in found.lines] == [20, 30]


def test_a_pass_mark_is_not_missed_by_rounding():
    text = "tone: 1, times 0.7; scales: 1, times 0.1; pass: 0.8"
    assert 0.7 + 0.1 < 0.8  # as floats have it
    assert one(text, "tone: 1; scales: 1").result == "passed"
    third = [read_points(f"tone: {points}") for points in (3, 3, 4)]
    assert score(read_rubric("tone: 10; pass: 33.33 %"), third).result == "passed"
    assert score(read_rubric("tone: 10; pass: 33.34 %"), third).result == "failed"


@pytest.mark.parametrize(
    ("points", "result"),
    [
        ("tone: 20; technique: 15; scales: 7", "passed"),
        ("tone: 20; technique: 20; scales: 6.5", "failed"),  # the gate alone
        ("tone: 10; technique: 10; scales: 7", "failed"),  # the total alone
        ("tone: 20; technique: 20", "undecided"),  # enough points, the gate open
        ("tone: 20; scales: 15", "undecided"),
        ("scales: 6", "failed"),  # nothing can open the gate again
        ("tone: 0; technique: 0", "failed"),  # not enough is left
        ("", "undecided"),
    ],
)
def test_passed_failed_or_not_decided_yet(points, result):
    assert one(EXAMPLE, points).result == result


def test_what_is_still_possible_while_something_is_missing():
    found = one(EXAMPLE, "tone: 15; memory slips: 1")
    assert (found.total, found.worst, found.best) == (13, 13, 58)
    assert found.missing == ("technique", "scales")


def test_without_a_pass_mark_only_a_gate_can_fail():
    assert one("tone: 20, at least 5; scales: 10", "tone: 6; scales: 1").result == "not stated"
    assert one("tone: 20, at least 5; scales: 10", "tone: 4; scales: 9").result == "failed"


def test_what_the_rubric_has_not_and_what_is_too_high_is_told_and_does_not_count():
    found = one("tone: 20; scales: 10; pass: 15", "Tone: 12; bow: 9; scales: 11")
    assert (found.total, found.missing) == (12, ("scales",))
    assert (found.unknown, found.too_high) == (("bow",), ("scales",))
    rubric = read_rubric("tone: 20; scales: 10; slips: minus 1 each")
    assert misfits(rubric, read_points("tone: 20; slips: 3")) == ()
    wrong = misfits(rubric, read_points("tome: 2; scales: 11; slips: 1001"))
    assert [text.split(":")[0] for text in wrong] == [
        "“tome” is not scored here. Did you mean “tone”?",
        "“scales”",
        "“slips”",
    ]


def test_several_judges_count_by_their_mean():
    rubric = read_rubric("tone: 20; scales: 10; slips: minus 2 each, at most 4")
    judges = ["tone: 10; scales: 4; slips: 9", "tone: 13; slips: 1", "tone: 13; scales: 5"]
    found = score(rubric, [read_points(text) for text in judges])
    assert [line.points for line in found.lines] == [12, Decimal("4.5")]
    assert found.losses[0].off == 2  # 4, 2 and 0
    assert found.total == Decimal("14.5")


def test_all_of_it_is_said_in_words():
    assert spoken_rubric(read_rubric(EXAMPLE)) == (
        "tone 20, technique 20 counted 1.5 times, scales 15 (at least 7, or nothing passes); "
        "2 off each time for memory slips, 10 at most; 65 points in all; 70 % passes; "
        "equal totals go by tone, then technique"
    )
    assert spoken_rubric(
        read_rubric("solo: 10, weight 40 %; scales: 9, weight 60 %, at least 5")
    ) == (
        "solo 40 % of the total (out of 10), scales 60 % of the total (out of 9; at least 5, or "
        "nothing passes); 100 points in all"
    )
    assert spoken_points(read_points("tone: 15; slips: 1")) == "tone 15, slips 1"


@pytest.mark.parametrize(
    ("points", "sentence"),
    [
        ("tone: 20; technique: 18; scales: 9", "56 of 65: passed, pass mark 45.5."),
        (
            "tone: 10; technique: 10; scales: 9",
            "34 of 65: not passed, 11.5 short of the pass mark 45.5.",
        ),
        (
            "tone: 20; technique: 20; scales: 6",
            "56 of 65: not passed, scales 6 where at least 7 is asked.",
        ),
        (
            "tone: 15; scales: 9",
            "24 of 35: not decided yet, pass mark 45.5. Not scored yet: technique. "
            "24 to 54 is still possible.",
        ),
        ("", "Nothing is scored yet."),
    ],
)
def test_a_score_is_a_sentence(points, sentence):
    assert said(one(EXAMPLE, points)) == sentence


def test_no_pass_mark_is_said_too():
    assert said(one("tone: 20", "tone: 13.5")) == "13.5 of 20; no pass mark is stated."


def sheets(*rows):
    return tuple(Sheet(player, points, judge) for player, judge, points in rows)


def test_ties_go_by_the_stated_order_then_ranks_are_shared():
    given = sheets(
        ("Ines", "", "tone: 8; scales: 5"),
        ("Jun", "", "tone: 7; scales: 6"),
        ("Mila", "", "tone: 7; scales: 6"),
        ("Tess", "", "tone: 9; scales: 1"),
        ("Omar", "", "tone: 9"),
    )
    found = answer(Problem("tone: 10; scales: 10; ties: scales", given))
    assert [(place.player, place.rank) for place in found.places] == [
        ("Jun", 1),
        ("Mila", 1),
        ("Ines", 3),
        ("Tess", 4),
        ("Omar", None),
    ]
    assert any("has no rank" in note for note in found.notes)
    plain = answer(Problem("tone: 10; scales: 10", given))
    assert [place.rank for place in plain.places] == [1, 1, 1, 4, None]


def test_a_strict_judge_and_a_kind_one_count_alike_if_that_is_asked():
    given = sheets(
        ("Ines", "kind", "tone: 18"),
        ("Jun", "kind", "tone: 20"),
        ("Mila", "strict", "tone: 8"),
        ("Tess", "strict", "tone: 4"),
        ("Ines", "even", "tone: 10"),
        ("Mila", "even", "tone: 10"),
    )
    plain = answer(Problem("tone: 20", given))
    assert [place.player for place in plain.places] == ["Jun", "Ines", "Mila", "Tess"]
    alike = {p.player: (p.z, p.rank) for p in answer(Problem("tone: 20", given, True)).places}
    assert alike == {"Jun": (1, 1), "Mila": (0.5, 2), "Ines": (-0.5, 3), "Tess": (-1, 4)}


@pytest.mark.parametrize(
    ("problem", "message"),
    [
        (Problem(""), "Say what is scored"),
        (Problem("tone: 20", sheets(("", "", "tone: 1"))), "Name the player"),
        (Problem("tone: 20", sheets(("Ines", "Bo", "tone: 21"))), "Ines, Bo: “tone”: give 0 to 20"),
        (Problem("tone: 20", sheets(("Ines", "", "tine: 2"))), "Did you mean “tone”"),
        (Problem("tone: 20", sheets(("Ines", "", "tone: x"))), "Ines: “tone: x”"),
        (Problem("tone: 20", sheets(*[("Ines", "Bo", "tone: 2")] * 2)), "two sheets of Bo"),
        (Problem("tone: 20", sheets(*[("Ines", "", "")] * 2001)), "more than 2000 sheets"),
    ],
)
def test_a_problem_that_makes_no_sense_is_refused(problem, message):
    with pytest.raises(ValueError, match=message):
        answer(problem)


def test_an_answer_goes_through_json_and_back():
    problem = Problem(EXAMPLE, sheets(("Ines", "", "tone: 14.25; technique: 9; scales: 11")))
    found = answer(problem)
    assert codec.read(Answer, codec.write(found)) == found
    assert codec.read(Problem, codec.write(problem)) == problem
