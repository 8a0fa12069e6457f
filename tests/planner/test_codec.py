import hashlib
import json
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from decimal import Decimal
from enum import StrEnum
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.codec import Unreadable, digest, loads, read, write


class Colour(StrEnum):
    RED = "red"
    BLUE = "blue"


@dataclass(frozen=True)
class Inner:
    call: time
    minutes: int = 0

    def __post_init__(self):
        if self.minutes < 0:
            raise ValueError("minutes cannot be below 0")


@dataclass(frozen=True)
class Outer:
    day: date
    auditions: tuple[Inner, ...] = ()
    at: datetime | None = None
    fee: Decimal = Decimal("0")
    ratio: float = 0.0
    pair: tuple[str, int] = ("", 0)
    pencils: dict[str, Colour] | None = None
    level: Literal["one", "two"] = "one"
    grade: Literal[1, 2] = 1
    sure: bool = False


@dataclass(frozen=True)
class Twin:
    day: date


@dataclass(frozen=True)
class OtherTwin:
    day: date


inners = st.builds(Inner, st.times(), st.integers(0, 10**9))
outers = st.builds(
    Outer,
    day=st.dates(),
    auditions=st.lists(inners, max_size=3).map(tuple),
    at=st.none() | st.datetimes(timezones=st.just(UTC)),
    fee=st.decimals(allow_nan=False, allow_infinity=False),
    ratio=st.floats(allow_nan=False, allow_infinity=False),
    pair=st.tuples(st.text(), st.integers()),
    pencils=st.none() | st.dictionaries(st.text(), st.sampled_from(Colour), max_size=3),
    level=st.sampled_from(["one", "two"]),
    grade=st.sampled_from([1, 2]),
    sure=st.booleans(),
)


@given(outers)
def test_what_is_written_reads_back_the_same(outer):
    again = loads(Outer, json.dumps(write(outer)))
    assert again == outer
    assert digest(again) == digest(outer)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"auditions": [{"call": "10:40"}, {"call": "11"}]}, "auditions[1].call: write a time as"),
        ({"auditions": [{}]}, "auditions[0]: missing: call"),
        ({"auditions": [{"call": "10:40", "minute": 1}]}, 'did you mean "minutes"?'),
        ({"auditions": [{"call": "10:40", "minutes": -1}]}, "auditions[0]: minutes cannot be"),
        ({"auditions": [{"call": "10:40", "minutes": True}]}, "minutes: write a whole number"),
        ({"auditions": [{"call": "10:40", "minutes": 1.5}]}, "minutes: write a whole number"),
        ({"auditions": {}}, "auditions: write a list"),
        ({"auditions": [7]}, "auditions[0]: write an object"),
        ({"at": "2027-02-06T10:40:00"}, "at: write a moment with its offset"),
        ({"at": "2027-02-06"}, "at: write a moment with its offset"),
        ({"fee": "12,50"}, 'fee: write an amount as "12.50"'),
        ({"fee": "NaN"}, 'fee: write an amount as "12.50"'),
        ({"ratio": 10**400}, "ratio: write a finite number"),
        ({"ratio": "1"}, "ratio: write a number"),
        ({"pair": ["a"]}, "pair: write 2 values, not 1"),
        ({"pencils": {"a": "green"}}, 'pencils["a"]: write one of "red", "blue"'),
        ({"level": "three"}, 'level: write one of "one", "two"'),
        ({"grade": True}, "grade: write one of 1, 2"),
        ({"sure": 1}, "sure: write true or false"),
        ({"day": "20270206"}, "day: write a date as 2027-02-06"),
        ({"day": None}, "day: write a date as 2027-02-06"),
    ],
)
def test_what_does_not_fit_is_named_with_its_place(data, message):
    with pytest.raises(Unreadable) as refused:
        read(Outer, {"day": "2027-02-06"} | data)
    assert message in str(refused.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("{", "not JSON"),
        ('{"day": "2027-02-06", "day": "2027-02-07"}', '"day" is written twice'),
        ('{"day": "2027-02-06", "ratio": NaN}', "NaN is not a number"),
        ("[" * 100_000, "nested too deeply"),
        ("[]", "write an object"),
        ("{}", "missing: day"),
        ('{"day": "2027-02-06", "pair": ["\\ud800", 1]}', "half a character"),
        ('{"day": ' + "1" * 5000 + "}", "not JSON"),
    ],
)
def test_text_that_is_no_problem_is_refused(text, message):
    with pytest.raises(Unreadable, match=message):
        loads(Outer, text)


def test_a_moment_may_end_in_z():
    found = read(Outer, {"day": "2027-02-06", "at": "2027-02-06T15:40:00Z"})
    assert found.at == datetime(2027, 2, 6, 15, 40, tzinfo=UTC)


def test_a_naive_moment_is_not_written():
    with pytest.raises(TypeError, match="no time zone"):
        write(Outer(date(2027, 2, 6), at=datetime(2027, 2, 6, 10, 40)))


def test_the_digest_tells_problems_and_types_apart():
    day, next_day = date(2027, 2, 6), date(2027, 2, 7)
    assert digest(Twin(day)) == digest(Twin(day))
    assert len({digest(Twin(day)), digest(Twin(next_day)), digest(OtherTwin(day))}) == 3


def test_the_digest_is_the_sha256_of_canonical_json():
    canonical = b'{"data":"10:40","type":"datetime.time"}'
    assert digest(time(10, 40)) == hashlib.sha256(canonical).hexdigest()
