"""Scores by published rubrics, ranks and z-scores against another program."""

import random
from decimal import Decimal

import pytest
from scipy import stats

from planner.rubric import (
    Problem,
    Sheet,
    answer,
    read_points,
    read_rubric,
    score,
    spoken_rubric,
    write_rubric,
)

# Published audition pages, as counted in the trade notes.
WIND = "scales: 15; chromatic: 5; solo: 30; sight-reading: 30; terms: 5; tone: 15"
OF_70 = "tone: 15; technique: 15; musicianship: 10; rhythm: 10; intonation: 10; scales: 10"
STRINGS = (
    "tone: 20; intonation: 10; technique: 20; accuracy: 15; interpretation: 20; scales: 5; "
    "sight-reading: 10"
)


@pytest.mark.parametrize(("text", "most"), [(WIND, 100), (OF_70, 70), (STRINGS, 100)])
def test_published_rubrics_come_to_their_totals(text, most):
    rubric = read_rubric(text)
    assert rubric.most == most
    assert write_rubric(rubric) == text
    assert spoken_rubric(rubric).endswith(f"; {most} points in all")
    full = score(rubric, [read_points(text)])  # everything at its most
    assert (full.total, full.share, full.missing) == (most, 1.0, ())


@pytest.mark.parametrize("text", [WIND, OF_70, STRINGS])
def test_what_one_player_scores_is_the_sum_of_what_was_given(text):
    draw = random.Random(7)
    rubric = read_rubric(text)
    for _ in range(50):
        given = {
            one.name: Decimal(draw.randint(0, int(one.most * 2))) / 2 for one in rubric.criteria
        }
        points = "; ".join(f"{name}: {value}" for name, value in given.items())
        assert score(rubric, [read_points(points)]).total == sum(given.values())


def sheets(draw, players, judges):
    return tuple(
        Sheet(
            player,
            f"tone: {draw.randint(0, 4)}; solo: {draw.randint(0, 4)}; scales: {draw.randint(0, 3)}",
            judge,
        )
        for player in players
        for judge in judges
    )


PLAYERS = [f"player {number}" for number in range(40)]


@pytest.mark.parametrize("seed", range(5))
def test_ranks_with_ties_are_scipys(seed):
    """Method "min": players who are equal share the better rank."""
    given = sheets(random.Random(seed), PLAYERS, ["one", "two"])
    found = {p.player: p for p in answer(Problem("tone: 4; solo: 4; scales: 4", given)).places}
    totals = [float(found[player].score.total) for player in PLAYERS]
    expected = stats.rankdata([-total for total in totals], method="min")
    assert len(set(totals)) < len(totals)  # there are ties
    assert [found[player].rank for player in PLAYERS] == list(expected)


@pytest.mark.parametrize("seed", range(5))
def test_ranks_after_the_order_for_ties_are_scipys(seed):
    """Total first, then tone, then scales, as one number in base 100."""
    given = sheets(random.Random(seed), PLAYERS, ["one"])
    rubric = "tone: 4; solo: 4; scales: 4; ties: tone, scales"
    found = {p.player: p for p in answer(Problem(rubric, given)).places}
    lines = {player: {x.name: x.points for x in found[player].score.lines} for player in PLAYERS}
    joint = [
        int(found[p].score.total) * 10_000 + int(lines[p]["tone"]) * 100 + int(lines[p]["scales"])
        for p in PLAYERS
    ]
    expected = stats.rankdata([-number for number in joint], method="min")
    assert [found[player].rank for player in PLAYERS] == list(expected)


@pytest.mark.parametrize("seed", range(5))
def test_z_scores_of_judges_are_scipys(seed):
    """Population z-scores of each judge's totals, then their mean."""
    given = sheets(random.Random(seed), PLAYERS, ["one", "two", "three"])
    rubric = read_rubric("tone: 4; solo: 4, times 2; scales: 4")
    by_judge = {
        judge: [
            float(score(rubric, [read_points(sheet.points)]).total)
            for player in PLAYERS
            for sheet in given
            if (sheet.player, sheet.judge) == (player, judge)
        ]
        for judge in ("one", "two", "three")
    }
    columns = [stats.zscore(totals) for totals in by_judge.values()]
    expected = sum(columns) / len(columns)
    found = {p.player: p for p in answer(Problem(write_rubric(rubric), given, True)).places}
    assert [found[player].z for player in PLAYERS] == pytest.approx(list(expected), abs=1e-12)
    ranked = stats.rankdata([-round(z, 9) for z in expected], method="min")
    assert [found[player].rank for player in PLAYERS] == list(ranked)
