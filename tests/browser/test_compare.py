"""Pieces against auditions as they are drawn: ties between the right columns, nothing collides."""

from datetime import timedelta

import pytest
from django.urls import reverse

from tests.factories import AssignmentFactory, EntryFactory, PieceFactory, RequirementFactory

SHORT = (
    "Fairmont",
    "Lake Ardent",
    "Hollins Bay",
    "Thornhythe Conservatoire",
    "Carrow",
    "Norwood State",
    "Youth Orchestra",
    "Wessell Lake",
    "Saint Ebbe’s Cathedral",
    "Calder Ridge",
    "Regional",
    "Arden Hall",
)
# The slices of every tie of a row as boxes on the screen, and the middles of its noteheads.
DRAWN = """row => ({
  ties: [...row.querySelectorAll(".sharing-tie")].map(tie => {
    const whole = tie.getBoundingClientRect();
    const cell = tie.closest("td").getBoundingClientRect();
    return [Math.max(whole.left, cell.left), Math.min(whole.right, cell.right), whole.top];
  }),
  heads: [...row.querySelectorAll(".sharing-head use")].map(head => {
    const box = head.getBoundingClientRect();
    return [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
  }),
})"""
BOXES = """labels => labels.map(label => {
  const text = document.createRange();
  text.selectNodeContents(label);
  const {left, right} = text.getBoundingClientRect();
  return [left, right];
})"""


@pytest.fixture
def season(people):
    """Sam's season: `season(12)` auditions; returns a piece played at those in `places`."""
    student = people.sam_student

    def entered(number, places=()):
        piece = PieceFactory(studio=student.studio, work="Romance", kind="solo")
        for place in range(number):
            entry = EntryFactory(
                student=student,
                audition__institution__name=f"{SHORT[place]}, School of Music",
                audition__institution__short_name=SHORT[place],
                chosen_date__on=student.studio.today + timedelta(weeks=3 + place),
            )
            need = RequirementFactory(
                requirement_set=entry.requirement_set, kind="solo", name="Solo", memory="yes"
            )
            if place in places:
                AssignmentFactory(entry=entry, requirement=need, piece=piece)
        return reverse("compare", args=[student.pk])

    return entered


@pytest.fixture
def opened(people, open_page):
    """Open a page as the teacher."""

    def opened(url, **how):
        page = open_page(people.ines.user, **how)
        assert page.goto(url).status == 200
        return page

    return opened


def drawn(page, title):
    return page.get_by_role("row", name=title).evaluate(DRAWN)


def joined(slices):
    """Join slices that meet, within a pixel, into ties from left to right."""
    ties = []
    for left, right, _ in sorted(slices):
        if ties and abs(ties[-1][1] - left) <= 1:
            ties[-1] = (ties[-1][0], right)
        else:
            ties.append((left, right))
    return ties


def test_ties_are_drawn_from_notehead_to_notehead(season, opened):
    row = drawn(opened(season(6, places=(0, 1, 4))), "Romance")
    middles = [x for x, _ in row["heads"]]
    assert len(middles) == 3
    ties = joined(row["ties"])
    between = list(zip(middles, middles[1:], strict=False))
    assert len(ties) == len(between) == 2
    for (left, right), (first, last) in zip(ties, between, strict=True):
        assert first + 5 < left < first + 30
        assert last - 30 < right < last - 5
    assert all(top > y for _, _, top in row["ties"] for _, y in row["heads"])


def test_a_notehead_stands_under_the_name_of_its_audition(season, opened):
    page = opened(season(6, places=(2, 5)))
    heads = [x for x, _ in drawn(page, "Romance")["heads"]]
    for name, x in zip(("Hollins Bay", "Norwood State"), heads, strict=True):
        box = page.get_by_role("columnheader", name=name).bounding_box()
        assert abs(box["x"] + box["width"] / 2 - x) < 1


@pytest.mark.parametrize("number", [3, 8, 12])
def test_names_of_neighbouring_auditions_do_not_collide(season, opened, number):
    page = opened(season(number, places=(0, number - 1)))
    labels = page.locator("thead .sharing-audition a, thead .sharing-under")
    boxes = labels.evaluate_all(BOXES)
    assert len(boxes) == 2 * number
    names = sorted(boxes[::2])
    for (_, right), (left, _) in zip(names, names[1:], strict=False):
        assert right < left
    assert page.evaluate("document.documentElement.scrollWidth") <= 1440


def test_twelve_auditions_are_seen_whole_on_a_laptop(season, opened):
    page = opened(season(12, places=(0, 11)))
    box = page.locator(".sharing-box").bounding_box()
    last = page.locator("thead .sharing-audition").last.bounding_box()
    assert last["x"] + last["width"] <= box["x"] + box["width"]


def test_names_stay_in_sight_while_one_reads_down(season, opened):
    page = opened(season(6))
    page.set_viewport_size({"width": 1440, "height": 300})
    name = page.get_by_role("columnheader", name="Fairmont")
    name.evaluate("head => scrollTo(0, head.getBoundingClientRect().top + 30)")
    assert name.bounding_box()["y"] == pytest.approx(0, abs=1)


def test_on_a_phone_the_drawing_scrolls_in_its_box_and_the_piece_stays(season, opened):
    page = opened(season(12, places=(0, 11)), phone=True)
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    piece = page.get_by_role("rowheader", name="Romance")
    before = piece.bounding_box()
    page.locator(".sharing-box").evaluate("box => box.scrollTo(9999, 0)")
    assert page.get_by_role("columnheader", name="Arden Hall").is_visible()
    assert piece.bounding_box()["x"] == pytest.approx(before["x"], abs=1)


def test_the_same_set_across_an_instrument_reads_slot_by_slot_on_a_phone(people, season, opened):
    season(1, places=(0,))
    url = reverse("compare_instrument", args=[people.sam_student.instrument_id])
    page = opened(url, phone=True)
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    slot = page.get_by_role("rowheader", name="Solo").bounding_box()
    piece = page.get_by_role("cell", name="Romance").bounding_box()
    assert piece["y"] >= slot["y"] + slot["height"]
    assert piece["x"] == pytest.approx(slot["x"], abs=1)
