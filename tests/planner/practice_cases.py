"""Invented practice problems, drawn from a seed."""

import random
from datetime import date, timedelta

from planner.practice import Audition, Away, Extra, Piece, Problem, Settings

TODAY = date(2027, 1, 4)  # a Monday


def on(number):
    """Return the day so many days from today."""
    return TODAY + timedelta(number)


def practice(*pieces, weekdays=(60,) * 7, **others):
    """Return a problem with an hour a day, and nothing wished for unless it is named."""
    plain = Settings(rest_days=365, spare_days=0, run_shares=(), light_days=0, light_share=100)
    return Problem(TODAY, weekdays, pieces, **{"settings": plain} | others)


def jobs(seed, pieces=6, days=20):
    """Return pieces and weekdays only; about half of them do not fit."""
    pick = random.Random(seed)
    found = []
    for number in range(pick.randint(1, pieces)):
        first = pick.randrange(days)
        due = min(days, first + pick.randint(0, 10))
        found.append(Piece(f"p{number}", f"P{number}", pick.randint(1, 160), on(due), on(first)))
    weekdays = tuple(pick.choice((0, 20, 30, 45, 60, 90)) for _ in range(7))
    return practice(*found, weekdays=weekdays)


def season(seed, pieces=8, days=40, auditions=3):
    """Return a whole problem with everything in it."""
    pick = random.Random(seed)
    found = []
    for number in range(pick.randint(1, pieces)):
        due = pick.randint(-2, days)
        begin = pick.choice((None, on(due - pick.randint(0, days))))
        minutes = pick.choice((0, 5, pick.randint(0, 260)))
        played = pick.choice((None, on(-pick.randint(0, 9))))
        hard = pick.randint(0, 3)
        found.append(Piece(f"p{number}", f"P{number}", minutes, on(due), begin, hard, played))
    return Problem(
        today=TODAY,
        weekdays=tuple(pick.choice((0, 20, 30, 45, 60, 90)) for _ in range(7)),
        pieces=tuple(found),
        away=tuple(
            Away(on(start), on(start + pick.randint(0, 4))) for start in pick.sample(range(days), 2)
        ),
        extra=(Extra(on(pick.randrange(days)), pick.randint(-60, 60)),),
        auditions=tuple(
            Audition(
                f"a{number}",
                f"A{number}",
                on(pick.randint(-2, days)),
                tuple(piece.key for piece in found if pick.random() < 0.5),
                pick.randint(0, 30),
            )
            for number in range(pick.randint(0, auditions))
        ),
        settings=Settings(rest_days=pick.randint(0, 4), spare_days=pick.randint(0, 4)),
    )
