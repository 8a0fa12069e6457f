"""The drawing of the score, without a database: where words, noteheads and staves stand."""

from datetime import date, timedelta
from itertools import combinations
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.readiness import AuditionReadiness
from studio.score import lanes, staves, widths
from studio.score.players import Audition, Away, Due, Player
from studio.score.span import span
from studio.score.staves import LEFT, RIGHT, WIDTH, draw

TODAY = date(2027, 1, 12)
FONTS = Path(__file__).resolve().parents[2] / "static" / "fonts"
PLACES = ("Fairmont", "Lake Ardent", "Hollins Bay", "Norwood", "Carrow", "A School of a Long Name")

LONG_NAME = "Maximiliana Konstantinopoulou-Fitzgerald"

places = st.one_of(st.sampled_from(PLACES), st.text(min_size=1, max_size=60))
days = st.integers(-200, 500).map(lambda n: TODAY + timedelta(days=n))
close_days = st.integers(10, 30).map(lambda n: TODAY + timedelta(days=n))


def audition(on, place="Fairmont", **fields):
    return Audition(on=on, place=place, name="BMus", url="/entries/1/", **fields)


def answer(history=(), **fields):
    values = dict.fromkeys(AuditionReadiness.__dataclass_fields__)
    return AuditionReadiness(
        **{**values, "history": history, "forecast": (), "late": False, "short": "", **fields}
    )


def player(name="Ines Okafor", family="Brass", **fields):
    return Player(key=1, name=name, instrument="Horn", family=family, url="/students/1/", **fields)


def in_order(auditions):
    return tuple(sorted(auditions, key=lambda audition: audition.on))


players = st.builds(
    player,
    name=st.one_of(st.text(min_size=1, max_size=60), st.sampled_from(["W" * 40, LONG_NAME])),
    family=st.sampled_from(["Brass", "Strings"]),
    short=st.sampled_from(["5 days in hand", "at least 112 days short", "pace not known yet"]),
    auditions=st.lists(
        st.builds(audition, on=st.one_of(days, close_days), place=places), max_size=9
    ).map(in_order),
    away=st.lists(
        st.builds(lambda on, n: Away(on, on + timedelta(days=n)), days, st.integers(0, 40)),
        max_size=2,
    ).map(tuple),
    doubts=st.lists(
        st.sampled_from(["Fairmont: wrong instrument", "Lake: erratum to pass on"]), max_size=3
    ).map(tuple),
    dues=st.lists(
        st.builds(
            Due,
            on=days,
            name=st.just("Send it"),
            place=places,
            state=st.sampled_from(["open", "overdue", "done"]),
            recording=st.booleans(),
        ),
        max_size=6,
    ).map(tuple),
)


def overlap(one, other):
    """Whether two boxes (left, top, right, bottom) share any room."""
    return (
        one[0] < other[2] - 0.01
        and other[0] < one[2] - 0.01
        and one[1] < other[3] - 0.01
        and other[1] < one[3] - 0.01
    )


def baseline_box(words, size, face, ends):
    long = widths.width(words.text, size, face)
    left = words.x - long if ends else words.x
    return left, words.y - 0.72 * size, left + long, words.y + 0.2 * size


def strip_boxes(row):
    """Return the box of every word and sign of a strip."""
    for sign in row.signs:
        yield sign.left, sign.y - 11.5, sign.right, sign.y + 1
    yield baseline_box(row.instrument, staves.INSTRUMENT_TYPE, "italic", True)
    for name in row.names:
        yield baseline_box(name, staves.NAME_TYPE, "bold", True)
    yield baseline_box(row.figure, 21, "bold", False)
    for short in (*row.shorts, *row.doubts):
        yield baseline_box(short, staves.SHORT_TYPE, "bold", False)
    if row.bracket.name:
        yield baseline_box(row.bracket.name, staves.FAMILY_TYPE, "sans", True)


def header_boxes(score):
    """Return the box of every word above the strips."""
    for month in score.months:
        if month.name:
            yield baseline_box(staves.Words(month.name_x, 18, month.name), 14, "sans", False)
    yield baseline_box(score.today, 14, "bold", False)


@settings(max_examples=60, deadline=None)
@given(st.lists(players, min_size=1, max_size=4), st.booleans())
def test_no_two_words_overlap_and_none_leaves_the_drawing(some, by_family):
    score = draw(some, TODAY, by_family=by_family)
    parts = [(score.header, list(header_boxes(score)))]
    parts += [(row.height, list(strip_boxes(row))) for row in score.rows]
    for height, boxes in parts:
        for box in boxes:
            assert box[0] >= 0 and box[2] <= WIDTH, box
            assert box[1] >= 0 and box[3] <= height, box
        for one, other in combinations(boxes, 2):
            assert not overlap(one, other), (one, other)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 700), places), max_size=12))
def test_flags_keep_apart_and_their_lines_cross_no_other(wanted):
    flags = [lanes.Flag(n, x, text) for n, (x, text) in enumerate(wanted)]
    placed = lanes.place(flags, -8, 708)
    assert sorted(flag.key for flag in placed) == list(range(len(flags)))
    for one, other in combinations(placed, 2):
        if one.lane == other.lane:
            assert one.right < other.left or other.right < one.left
        lower, upper = sorted((one, other), key=lambda flag: flag.lane)
        if lower.lane < upper.lane and upper.led:
            assert not lower.left < upper.x < lower.right


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 700), places), max_size=12), st.floats(0, 700))
def test_no_word_crosses_the_line_of_today_where_its_other_side_has_room(wanted, today):
    flags = [lanes.Flag(n, x, text) for n, (x, text) in enumerate(wanted)]
    for flag in lanes.place(flags, -8, 708, today):
        long = widths.width(flag.text, lanes.TYPE)
        start = flag.text_x - long if flag.ends else flag.text_x
        if start < today < start + long:
            turned = flag.x + 9 + long <= 708 if flag.ends else flag.x - 9 - long >= -8
            assert not turned, (flag, today)


def test_an_audition_in_a_few_days_has_its_name_clear_of_today():
    soon = (audition(TODAY + timedelta(days=5), "Youth Orchestra"),)
    later = (audition(TODAY + timedelta(days=12), "Hollins Bay"),)
    score = draw([player(auditions=soon + later)], TODAY)
    for sign in score.rows[0].signs:
        assert not sign.left < score.today_x < sign.right


def test_far_apart_auditions_share_the_lowest_lane():
    placed = lanes.place([lanes.Flag(n, 100 * n + 20, "Norwood") for n in range(6)], 0, 700)
    assert {flag.lane for flag in placed} == {0}
    assert not any(flag.ends for flag in placed)


def test_a_weekend_of_auditions_is_stacked_with_lines_down_to_the_days():
    friday, saturday = lanes.place(
        [lanes.Flag(1, 300, "Fairmont"), lanes.Flag(2, 320, "Carrow")], 0, 700
    )
    assert (friday.lane, saturday.lane) == (1, 0)
    assert friday.led


def test_a_word_at_the_right_edge_stands_at_the_left_of_its_sign():
    (flag,) = lanes.place([lanes.Flag(1, 695, "Fairmont")], 0, 708)
    assert flag.ends
    assert flag.right <= 708


def test_a_row_grows_when_its_auditions_need_more_lanes():
    one = draw([player(auditions=(audition(TODAY + timedelta(days=30)),))], TODAY)
    crowd = tuple(audition(TODAY + timedelta(days=30 + n), PLACES[n]) for n in range(5))
    assert draw([player(auditions=crowd)], TODAY).rows[0].height > one.rows[0].height


def test_auditions_of_one_day_share_a_fermata_that_names_them_all():
    on = TODAY + timedelta(days=20)
    row = draw([player(auditions=(audition(on), audition(on, "Norwood")))], TODAY).rows[0]
    (sign,) = row.signs
    assert sign.text.text == "Fairmont +1"
    assert "Norwood" in sign.title


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("Ana Ruiz", ("Ana Ruiz",)),
        (
            LONG_NAME,
            ("Maximiliana", "Konstantinopoulou-", "Fitzgerald"),
        ),
    ],
)
def test_long_names_wrap(name, lines):
    row = draw([player(name)], TODAY).rows[0]
    assert tuple(line.text for line in row.names) == lines


def test_a_word_too_long_for_a_line_is_shortened_and_told_whole():
    row = draw([player("W" * 40)], TODAY).rows[0]
    assert row.names[0].text.endswith("…")
    assert "W" * 40 in row.player.label


def brackets(score):
    """Return the brackets as lists of strips' heights, joined where one goes on."""
    joined = []
    for row in score.rows:
        if row.bracket.begins:
            joined.append([])
        joined[-1].append(row)
        assert row.bracket.bottom == (row.bottom if row.bracket.ends else row.seam)
        assert row.bracket.top == (row.staff if row.bracket.begins else 0)
    return joined


def test_families_are_bracketed_in_their_order():
    some = [player("A", "Woodwind"), player("B", "Brass"), player("C", "Brass")]
    score = draw(some, TODAY)
    assert [row.bracket.name and row.bracket.name.text for row in score.rows] == [
        "Woodwind",
        "Brass",
        None,
    ]
    assert [len(rows) for rows in brackets(score)] == [1, 2]
    assert [row.bracket.ends for row in score.rows] == [True, False, True]


def test_another_order_has_one_bracket_without_a_name():
    some = [player("A", "Woodwind"), player("B", "Brass"), player("C", "Woodwind")]
    score = draw(some, TODAY, by_family=False)
    assert [row.bracket.name for row in score.rows] == [None] * 3
    assert [len(rows) for rows in brackets(score)] == [3]


@pytest.mark.parametrize("students", [0, 1, 12, 60])
def test_every_student_has_a_strip(students):
    some = [player(f"Student {n}") for n in range(students)]
    assert [row.player for row in draw(some, TODAY).rows] == some


def test_what_is_due_stands_on_its_day_and_late_things_come_first():
    dues = (
        Due(TODAY - timedelta(days=4), "Form", "Norwood", "overdue"),
        Due(TODAY + timedelta(days=3), "Tape", "Carrow", "open", recording=True),
        Due(TODAY - timedelta(days=9), "Fee", "Carrow", "done"),
    )
    score = draw([player(dues=dues)], TODAY)
    late, recording, done = score.rows[0].notes
    assert (late.state, late.symbol) == ("overdue", "notehead")
    assert (recording.state, recording.symbol) == ("open", "notehead-triangle")
    assert done.state == "done"
    assert done.x < late.x < score.today_x < recording.x
    assert late.title == "Norwood: Form, due Fri 8 Jan, overdue"


def test_neighbouring_noteheads_take_different_lines():
    dues = [Due(TODAY + timedelta(days=n), "Form", "Norwood", "open") for n in range(4)]
    notes = draw([player(dues=tuple(dues))], TODAY).rows[0].notes
    for one, other in combinations(notes, 2):
        assert abs(one.x - other.x) >= 10 or abs(one.y - other.y) >= 5


def test_overdue_things_close_together_share_a_ring():
    days_ago = (3, 4, 20)
    dues = [Due(TODAY - timedelta(days=n), "Form", "Norwood", "overdue") for n in days_ago]
    dues.append(Due(TODAY, "Fee", "Norwood", "open"))
    row = draw([player(dues=tuple(dues))], TODAY).rows[0]
    alone, shared = row.rings
    by_x = sorted(note.x for note in row.notes if note.state == "overdue")
    assert alone.x == by_x[0]
    assert shared.x - shared.wide < by_x[1] - 5
    assert shared.x + shared.wide > by_x[2] + 5
    assert shared.wide > alone.wide


def test_things_of_one_day_are_one_notehead_that_tells_them_all():
    dues = tuple(Due(TODAY, name, "Norwood", "open") for name in ("Form", "Fee"))
    (note,) = draw([player(dues=dues)], TODAY).rows[0].notes
    assert "Form" in note.title
    assert "Fee" in note.title


def test_days_away_interrupt_the_staff():
    away = Away(TODAY + timedelta(days=7), TODAY + timedelta(days=13), "Family")
    score = draw([player(away=(away,))], TODAY)
    row = score.rows[0]
    ((x, breadth),) = row.gaps
    assert breadth == pytest.approx(7 * score.span.per_day, abs=0.2)
    (sign,) = row.signs
    assert sign.symbol == "caesura"
    assert sign.title == "Away Tue 19 Jan to Mon 25 Jan, Family"
    assert x < sign.x < x + breadth


def test_the_hairpin_is_drawn_between_staff_and_next_row():
    heard = ((TODAY - timedelta(days=30), 20.0), (TODAY, 60.0))
    row = draw([player(answer=answer(heard))], TODAY).rows[0]
    heights = [float(point.split(",")[1]) for point in row.hairpin.solid.split()]
    assert row.bottom < min(heights)
    assert max(heights) < row.height


def test_the_span_reaches_from_the_first_check_to_two_weeks_after_the_last_audition():
    first, last = date(2026, 11, 4), date(2027, 2, 20)
    shown = span([last], [first], TODAY, LEFT, RIGHT)
    assert shown.first == date(2026, 11, 2)
    assert shown.last == date(2027, 3, 7)
    assert shown.edge(shown.first) == LEFT
    assert shown.bars[-1] == RIGHT


def test_the_span_is_twelve_weeks_at_least():
    shown = span([], [], TODAY, LEFT, RIGHT)
    assert shown.first <= TODAY - timedelta(weeks=4)
    assert (shown.last - shown.first).days + 1 == 12 * 7


def test_a_slip_of_the_keyboard_does_not_stretch_the_span():
    shown = span([date(2072, 2, 20)], [date(1927, 1, 1)], TODAY, LEFT, RIGHT)
    assert (shown.last - shown.first).days < 102 * 7


def test_months_are_named_where_they_have_room():
    shown = span([date(2027, 2, 15)], [date(2026, 10, 28)], TODAY, LEFT, RIGHT)
    names = [month.name for month in shown.months]
    assert names == ["Oct", "November", "December", "January 2027", "February", "Mar"]
    year = span([date(2027, 11, 20)], [date(2026, 7, 28)], TODAY, LEFT, RIGHT)
    assert [month.name for month in year.months][:3] == ["", "Aug", "Sep"]


@pytest.mark.parametrize("month", range(1, 13))
def test_no_month_is_built_in(month):
    today = date(2027, month, 15)
    shown = span([today + timedelta(days=40)], [], today, LEFT, RIGHT)
    assert LEFT < shown.x(today) < RIGHT


def test_the_widths_are_those_of_the_fonts():
    files = {"sans": "sans-400", "bold": "sans-600", "italic": "serif-400-italic"}
    for face, file in files.items():
        font = TTFont(FONTS / f"anacrusis-{file}.ttf")
        glyphs, advances = font.getBestCmap(), font["hmtx"]
        real = {sign: advances[glyphs[ord(sign)]][0] for sign in widths.SIGNS}
        assert widths.FACES[face] == real


def test_accented_letters_are_never_measured_too_narrow():
    font = TTFont(FONTS / "anacrusis-sans-600.ttf")
    for code, glyph in font.getBestCmap().items():
        if chr(code).isalpha():
            real = font["hmtx"][glyph][0] / 1000
            assert widths.width(chr(code), 1, "bold") >= real, chr(code)


@given(st.text(max_size=80), st.floats(20, 300))
def test_wrapped_lines_fit_their_room(text, room):
    lines = widths.wrap(text, room, 15, "bold", lines=3)
    assert len(lines) <= 3
    assert all(widths.width(line, 15, "bold") <= room for line in lines)


def test_a_player_without_an_answer_sorts_after_those_short_of_time():
    late = player(answer=answer(days_in_hand=-7, late=True), late=True)
    stuck = player(answer=answer(late=True), late=True)
    fine = player(answer=answer(days_in_hand=5))
    unknown, idle = player(answer=answer()), player()
    some = [idle, unknown, fine, late, stuck]
    assert sorted(some, key=lambda line: line.urgency) == [stuck, late, fine, unknown, idle]
