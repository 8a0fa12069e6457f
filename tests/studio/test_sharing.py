"""Pieces against auditions as a drawing: noteheads, ties, and what nothing covers yet."""

import re

import pytest

from studio.entries.sharing import (
    SPAN,
    Column,
    Mark,
    Played,
    Sharing,
    bands,
    open_row,
    piece_row,
)

PLACES = ("Fairmont", "Lake Ardent", "Carrow", "Norwood")
COLUMNS = tuple(Column(key, name) for key, name in enumerate(PLACES))


def row(**played):
    """Return the row of a piece that is played in the slot "Solo" where it is said how."""
    places = {PLACES.index(name.replace("_", " ")): each for name, each in played.items()}
    return piece_row("Romance", places, COLUMNS)


def solo(**words):
    return [Played("Solo", **words)]


def spans(row):
    """Return each tie as (first column, last column), in hundredths, as its slices tell it."""
    found = []
    for index, cell in enumerate(row.cells):
        for tie in cell.ties:
            left, right = re.match(r"M(-?\d+) \d+Q-?\d+ \d+ (-?\d+)", tie.path).groups()
            found.append((index * SPAN + int(left), index * SPAN + int(right)))
    return found


def ends(row):
    """Return each tie once, as the columns between which it is drawn."""
    return sorted({(left // SPAN, right // SPAN) for left, right in spans(row)})


def test_a_notehead_stands_where_a_piece_is_played():
    cells = row(Lake_Ardent=solo()).cells
    assert [bool(cell.heads) for cell in cells] == [False, True, False, False]
    assert cells[1].heads[0].sign == "notehead"
    assert cells[1].words == "Solo"


def test_what_is_recorded_is_a_triangle():
    (head,) = row(Carrow=solo(round="Screening recording")).cells[2].heads
    assert head.sign == "notehead-triangle"


def test_recording_and_audition_stand_side_by_side():
    both = [*solo(), Played("Solo, recorded", round="Screening recording", memory=True)]
    cell = row(Carrow=both).cells[2]
    assert [(head.sign, head.x) for head in cell.heads] == [
        ("notehead-triangle", -9),
        ("notehead", 9),
    ]
    assert cell.memory
    assert cell.words == "Solo; Solo, recorded, screening recording, from memory"


def test_two_slots_of_one_audition_are_one_notehead():
    cell = row(Carrow=[*solo(), Played("Own choice")]).cells[2]
    assert len(cell.heads) == 1
    assert cell.words == "Solo; Own choice"


def test_ties_join_the_auditions_that_share_a_piece():
    shared = row(Fairmont=solo(), Lake_Ardent=solo(), Norwood=solo())
    assert ends(shared) == [(0, 1), (1, 3)]


def test_a_piece_of_one_audition_has_no_tie():
    assert spans(row(Fairmont=solo())) == []


def test_a_tie_passes_through_the_columns_between():
    shared = row(Fairmont=solo(), Norwood=solo())
    assert [len(cell.ties) for cell in shared.cells] == [1, 1, 1, 1]


def test_the_slices_of_a_tie_meet():
    shared = row(Fairmont=solo(), Norwood=solo())
    assert len(set(spans(shared))) == 1


def test_what_is_dropped_is_not_tied():
    shared = row(Fairmont=solo(), Lake_Ardent=solo(mark=Mark.DROPPED), Carrow=solo())
    assert ends(shared) == [(0, 2)]
    assert shared.cells[1].heads[0].mark is Mark.DROPPED
    assert shared.cells[1].words == "Solo, dropped"


def test_a_tie_to_a_new_place_is_new():
    shared = row(Fairmont=solo(), Lake_Ardent=solo(), Carrow=solo(mark=Mark.NEW))
    assert [tie.mark for tie in shared.cells[2].ties] == [Mark.NEW]
    assert [tie.mark for tie in shared.cells[0].ties] == [Mark.KEPT]


def test_a_notehead_is_dropped_only_if_all_it_stands_for_is():
    cell = row(Carrow=[*solo(mark=Mark.DROPPED), Played("Own choice")]).cells[2]
    assert cell.heads[0].mark is Mark.KEPT


def test_memory_is_not_marked_where_the_piece_is_dropped():
    dropped = row(Carrow=solo(memory=True, mark=Mark.DROPPED))
    assert not dropped.cells[2].memory


def test_a_slot_that_nothing_covers_stands_open():
    made = open_row("Solo", {1: "Solo: nothing chosen yet"}, COLUMNS, "nothing chosen yet")
    assert made.open
    assert made.under == "nothing chosen yet"
    assert [cell.words for cell in made.cells] == ["", "Solo: nothing chosen yet", "", ""]
    assert made.cells[1].heads[0].sign == "notehead-whole"


def test_bands_without_rows_are_left_out():
    made = bands([("Solo", []), ("Studies", [row(Fairmont=solo())])])
    assert [band.title for band in made] == ["Studies"]


@pytest.mark.parametrize(
    ("number", "size"),
    [(1, "few"), (5, "few"), (6, "some"), (9, "many"), (14, "most"), (15, "all")],
)
def test_more_auditions_stand_closer(number, size):
    columns = tuple(Column(key, "Place") for key in range(number))
    assert Sharing("All", columns, ()).size == size
