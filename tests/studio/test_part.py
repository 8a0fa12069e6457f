"""The part: a student sees their own and nothing else, ticks cues, logs a clean tempo."""

import re
from datetime import date, time

import pytest
import time_machine
from django.urls import reverse

from studio.accounts.models import Membership, Role
from studio.entries.bridge import Season
from studio.entries.models import LessonCheck, Task
from studio.entries.parts import WHOSE, Part, possessive
from studio.entries.queries import parts
from tests.factories import (
    AssignmentFactory,
    AuditionDayFactory,
    AuditionFactory,
    DayAwayFactory,
    DeadlineFactory,
    EntryFactory,
    ErratumFactory,
    InstrumentFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    RequirementFactory,
    StudentFactory,
    TaskFactory,
    full_entry,
    seat,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("in_january")]
OWN = LessonCheck.Source.STUDENT


@pytest.fixture
def in_january():
    with time_machine.travel("2027-01-12T18:00:00Z", tick=False):
        yield


def entry_of(student, place="Fairmont", on=date(2027, 2, 6), **given):
    """Return an entry at `place` on a day."""
    audition = AuditionFactory(
        institution__studio=student.studio, institution__name=f"{place} School",
        institution__short_name=place,
    )  # fmt: skip
    chosen = OfferedDateFactory(audition=audition, on=on) if on else None
    return EntryFactory(student=student, audition=audition, chosen_date=chosen, **given)


@pytest.fixture
def entry(people):
    return entry_of(people.sam_student)


def read(client, url="/part/"):
    """Return the page as its words stand on it, spaces evened."""
    response = client.get(url)
    assert response.status_code == 200
    words = re.sub(r"<[^>]+>", "", response.content.decode())
    return re.sub(r"\s+", " ", words)


def part_of(people, student=None, staff=False):
    student = student or people.sam_student
    return Part(Season(parts(people.ines).get(pk=student.pk)), staff=staff)


# Whose part


def test_a_student_sees_their_own_part_and_nobody_elses(as_student, people, entry):
    TaskFactory(entry=entry_of(people.mia_student, "Norwood"), name="Write to Norwood")
    page = read(as_student)
    assert "Sam’s part" in page
    assert "Fairmont" in page
    assert "Norwood" not in page
    assert "Mia" not in page
    for student in (people.sam_student, people.mia_student):
        assert as_student.get(reverse("student", args=[student.pk])).status_code == 404


def test_staff_are_sent_to_the_score(as_teacher):
    assert as_teacher.get("/part/").url == reverse("score")


def test_a_seat_without_a_student_has_no_part(client, people):
    client.force_login(seat(people.studio, Role.STUDENT).user)
    assert client.get("/part/").status_code == 404


def test_a_user_without_a_studio_has_no_part(client, people):
    Membership.objects.filter(pk=people.sam.pk).update(user=None)
    client.force_login(people.sam.user)
    assert client.get("/part/").status_code == 404


def test_staff_see_any_student_of_the_studio_only(client, people, entry):
    url = reverse("student", args=[people.sam_student.pk])
    client.force_login(people.ana.user)
    assert "Sam’s part" in read(client, url)
    client.force_login(people.otto.user)
    assert client.get(url).status_code == 404


@pytest.mark.parametrize(
    ("name", "title"), [("Ines", "Ines’s"), ("Mia", "Mia’s"), ("Jesus", "Jesus’s")]
)
def test_the_title_says_whose_it_is(name, title):
    assert possessive(name) == title


def test_it_is_called_by_the_name_they_go_by(people):
    people.sam_student.known_as = "Mats"
    people.sam_student.save()
    assert part_of(people).title == "Mats’s part"


# What comes next


def test_the_next_audition_with_its_day(as_student, entry):
    AuditionDayFactory(entry=entry, call=time(10, 40), check_in_by=time(9, 50))
    page = read(as_student)
    assert "Fairmont, Saturday 6 February" in page
    assert "in 25 days" in page
    assert "call 10:40" in page
    assert "face to face" in page
    assert "Lobby, Arden Hall, by 9:50" in page


def test_a_date_that_is_not_confirmed_says_so(people):
    entry_of(people.sam_student, date_state="asked for")
    assert part_of(people).next.uncertain == "asked for, not confirmed"


def test_auditions_stand_in_order_of_their_dates(people):
    for place, on in (("Late", date(2027, 3, 1)), ("Open", None), ("Early", date(2027, 1, 20))):
        entry_of(people.sam_student, place, on)
    gone = entry_of(people.sam_student, "Gone", date(2026, 11, 1))
    part = part_of(people)
    assert [each.place for each in part.ahead] == ["Early", "Late", "Open"]
    assert [each.entry for each in part.over] == [gone]
    assert part.next.place == "Early"
    assert part.ahead[-1].uncertain == "no date chosen yet"


def test_the_sentence_and_its_range_stand_beside_the_hairpin(as_student, people, entry):
    piece = AssignmentFactory(entry=entry).piece
    for day, tempo in ((1, 80), (8, 86), (15, 90), (22, 97)):
        LessonCheckFactory(
            student=people.sam_student, piece=piece, on=date(2026, 12, day), tempo=tempo
        )
    part = part_of(people)
    page = read(as_student)
    assert part.sentence in page
    assert re.fullmatch(
        r"Between \d+ \w+ and \d+ \w+, four times in five \(the 80 % range\): an estimate\.",
        part.range,
    )
    assert part.range in page


def test_two_checks_already_give_a_range(people, entry):
    piece = AssignmentFactory(entry=entry, piece__work="Romance").piece
    for day, tempo in ((1, 80), (28, 96)):
        LessonCheckFactory(
            student=people.sam_student, piece=piece, on=date(2026, 12, day), tempo=tempo
        )
    part = part_of(people)
    assert "four times in five" in part.range
    assert part.unknown == []


def test_without_checks_it_says_what_is_not_known(as_student, entry):
    AssignmentFactory(entry=entry, piece__work="Romance")
    page = read(as_student)
    assert "Nothing checked yet. Romance: not checked yet." in page
    assert '<svg class="part-hairpin"' not in as_student.get("/part/").content.decode()


def test_today_and_the_fermata_stand_in_the_drawing(people, entry):
    piece = AssignmentFactory(entry=entry).piece
    LessonCheckFactory(student=people.sam_student, piece=piece, on=date(2026, 12, 1))
    drawing = part_of(people).drawing(360, 72)
    assert 0 < float(drawing.today_x) < float(drawing.fermata_x) < 360 - drawing.symbol / 2


def test_a_hairpin_far_too_late_leaves_room_for_the_rest(people):
    entry = entry_of(people.sam_student, on=date(2027, 1, 20))
    piece = AssignmentFactory(entry=entry).piece
    for day, tempo in ((1, 40), (8, 41), (15, 42), (22, 43)):
        LessonCheckFactory(
            student=people.sam_student, piece=piece, on=date(2026, 12, day), tempo=tempo
        )
    drawing = part_of(people).drawing(360, 72)
    assert drawing.hairpin.late
    assert float(drawing.today_x) > 100
    assert float(drawing.fermata_x) > float(drawing.today_x)


# Cues


def test_a_student_ticks_only_what_is_theirs_to_do(as_student, entry):
    own = TaskFactory(entry=entry, on=date(2027, 1, 15), name="Send the recording")
    other = TaskFactory(entry=entry, on=date(2027, 1, 14), name="Write the letter", doer="teacher")
    html = as_student.get("/part/").content.decode()
    assert f'id="tick-{own.pk}"' in html
    assert f'id="tick-{other.pk}"' not in html
    page = read(as_student)
    assert page.index("Send the recording") < page.index("Waiting for others")
    assert page.index("Waiting for others") < page.index("Write the letter")


def test_staff_tick_everything(as_teacher, people, entry):
    tasks = [TaskFactory(entry=entry, doer=doer) for doer in ("student", "teacher", "other")]
    html = as_teacher.get(reverse("student", args=[people.sam_student.pk])).content.decode()
    assert all(f'id="tick-{task.pk}"' in html for task in tasks)
    assert "Waiting for others" not in html


def test_cues_stand_in_order_and_later_ones_are_folded(people, entry):
    for name, on in (
        ("Far", date(2027, 3, 1)),
        ("Late", date(2027, 1, 5)),
        ("Soon", date(2027, 1, 14)),
    ):
        TaskFactory(entry=entry, name=name, on=on)
    part = part_of(people)
    assert [cue.task.name for cue in part.cues] == ["Late", "Soon", "Far"]
    assert [group.label for group in part.groups] == ["Overdue", "This week"]
    assert [cue.task.name for cue in part.later] == ["Far"]


def test_what_is_too_late_says_whom_to_tell(as_student, entry):
    task = TaskFactory(entry=entry, name="Send the portfolio", on=date(2027, 1, 14))
    assert "too late as things stand" not in read(as_student)
    Task.objects.filter(pk=task.pk).update(takes=9)
    assert "too late as things stand. Tell your teacher today" in read(as_student)


def test_staff_are_led_from_what_is_too_late_to_what_would_have_to_move(as_teacher, people, entry):
    TaskFactory(entry=entry, name="Send the portfolio", on=date(2027, 1, 14), takes=9)
    page = as_teacher.get(people.sam_student.get_absolute_url()).content.decode()
    assert f'<a href="{reverse("deadlines", args=[people.sam_student.pk])}">What would' in page


def test_done_cues_fade_for_a_fortnight_then_go(people, entry):
    for day in (8, 1):
        TaskFactory(
            entry=entry, name=f"Done {day}", state=Task.State.DONE, done_on=date(2027, 1, day)
        )
    TaskFactory(entry=entry, name="Old", state=Task.State.DONE, done_on=date(2026, 12, 28))
    TaskFactory(entry=entry, doer="other", state=Task.State.DONE, done_on=date(2027, 1, 9))
    part = part_of(people)
    assert [cue.task.name for cue in part.done] == ["Done 8", "Done 1"]
    assert len(part_of(people, staff=True).done) == 3


def test_when_all_is_done_it_says_so(as_student, entry):
    TaskFactory(entry=entry, state=Task.State.DONE, done_on=date(2026, 12, 1))
    assert "Everything is done." in read(as_student)


# The checklist


def test_the_applications_stand_in_order_with_their_state(people, entry):
    dated = (("music application", 20), ("university application", 5), ("scholarship form", 25))
    deadlines = [
        DeadlineFactory(audition=entry.audition, name=name, on=date(2027, 1, day), zone="")
        for name, day in dated
    ]
    for deadline in deadlines[:2]:
        TaskFactory(entry=entry, deadline=deadline, on=None, name=f"Send: {deadline.name}")
    steps = part_of(people).next.steps
    assert [(step.name, step.state) for step in steps] == [
        ("university application", "late"),
        ("music application", "open"),
        ("scholarship form", ""),
    ]
    assert steps[1].when == "Wednesday 20 January, 23:59, time zone not stated"


def test_a_done_application_says_when(people, entry):
    deadline = DeadlineFactory(audition=entry.audition, on=date(2027, 1, 20))
    for n, day in enumerate((3, 9)):
        TaskFactory(
            entry=entry, deadline=deadline, on=None, name=f"Step {n}",
            state=Task.State.DONE, done_on=date(2027, 1, day),
        )  # fmt: skip
    (step,) = part_of(people).next.steps
    assert (step.state, step.words) == ("done", "done 9 January")
    assert step.when == "Wednesday 20 January, 23:59 New York time"


def test_a_deadline_stays_open_while_anything_is_left(people, entry):
    deadline = DeadlineFactory(audition=entry.audition, on=date(2027, 1, 20))
    TaskFactory(
        entry=entry, deadline=deadline, on=None, name="Ask", state=Task.State.DONE,
        done_on=date(2027, 1, 3),
    )  # fmt: skip
    TaskFactory(entry=entry, deadline=deadline, on=None, name="Send", doer="other")
    (step,) = part_of(people).next.steps
    assert (step.state, step.words) == ("open", "open")


def test_a_task_with_a_date_of_its_own_stands_among_the_papers_with_it(people, entry):
    TaskFactory(entry=entry, name="Book the hall", on=date(2027, 1, 22))
    (step,) = part_of(people).next.steps
    assert (step.name, step.when) == ("Book the hall", "Friday 22 January")


def test_what_is_to_be_done_is_said_once_among_the_cues(as_student, entry):
    deadline = DeadlineFactory(audition=entry.audition, on=date(2027, 1, 20))
    TaskFactory(entry=entry, deadline=deadline, on=None, name="Send the very form")
    page = read(as_student)
    checklist = page[page.index("Applications and papers") :]
    assert "Send the very form" in page
    assert "Send the very form" not in checklist


def test_each_requirement_with_its_piece_and_progress(people, entry):
    asked = entry.requirement_set
    solo = RequirementFactory(requirement_set=asked, name="Solo", position=1, memory="yes")
    RequirementFactory(requirement_set=asked, name="Two studies", position=2, at_least=2)
    RequirementFactory(requirement_set=asked, name="Reading", position=3, kind="sight-reading")
    piece = AssignmentFactory(entry=entry, requirement=solo, piece__work="Romance").piece
    LessonCheckFactory(
        student=people.sam_student, piece=piece, on=date(2027, 1, 8), tempo=96, memory="secure"
    )
    solo, studies, reading = part_of(people).next.slots
    assert solo.rules == "from memory"
    assert [(each.name, each.words) for each in solo.pieces] == [
        ("Invented, Romance", "clean at 96 of 112")
    ]
    assert 0 < int(solo.pieces[0].figure) < 95
    assert (solo.missing, studies.missing, reading.missing) == ("", "nothing chosen yet", "")


@pytest.fixture
def bundles(entry):
    """A solo, or two studies: whole bundles A or B."""
    asked = entry.requirement_set
    choice = RequirementFactory(requirement_set=asked, name="Bundle", kind="some of", position=1)
    return [
        RequirementFactory(requirement_set=asked, parent=choice, name=name, position=at, **more)
        for at, name, more in ((2, "Solo", {}), (3, "Studies", {"at_least": 2}))
    ]


def test_a_choice_heads_its_alternatives_and_is_missed_once(people, entry, bundles):
    RequirementFactory(requirement_set=entry.requirement_set, name="Scales", position=4)
    slots = part_of(people).next.slots
    assert [(slot.name, slot.depth, slot.is_group, slot.missing) for slot in slots] == [
        ("Bundle", 0, True, "nothing chosen yet"),
        ("Solo", 1, False, ""),
        ("Studies", 1, False, ""),
        ("Scales", 0, False, "nothing chosen yet"),
    ]
    assert slots[0].rules == "any one of these"
    assert slots[2].rules == "2 pieces"


def test_an_alternative_that_is_begun_says_how_far_it_is(people, entry, bundles):
    AssignmentFactory(entry=entry, requirement=bundles[1])
    choice, solo, studies = part_of(people).next.slots
    assert (choice.missing, solo.missing, studies.missing) == (
        "none complete yet", "", "1 of 2 chosen",
    )  # fmt: skip


def test_what_a_made_choice_does_without_is_left_out(people, as_student, entry, bundles):
    AssignmentFactory(entry=entry, requirement=bundles[0])
    assert [slot.name for slot in part_of(people).next.slots] == ["Bundle", "Solo"]
    page = read(as_student)
    assert "Studies" not in page
    assert "hosen yet" not in page


def test_half_a_choice_is_not_a_whole_one(people, entry):
    need = RequirementFactory(requirement_set=entry.requirement_set, at_least=2)
    AssignmentFactory(entry=entry, requirement=need)
    (slot,) = part_of(people).next.slots
    assert slot.missing == "1 of 2 chosen"


def test_who_checked_the_requirements_and_when(people, entry):
    asked = entry.requirement_set
    assert part_of(people).next.doubts == ("Not verified yet: verify with the institution itself.",)
    asked.checked_by, asked.checked_on = "R. Amadi", date(2027, 1, 8)
    asked.save()
    checked = part_of(people).next
    assert (checked.checked, checked.doubts) == ("Checked by R. Amadi on 8 January 2027", ())
    asked.season = "2025–26"
    asked.save()
    (doubt,) = part_of(people).next.doubts
    assert "requirements of 2025–26" in doubt


def test_without_requirements_the_part_says_so(people, entry):
    entry.requirement_set = None
    entry.save()
    assert part_of(people).next.doubts == ("What it asks for is not set yet.",)


def test_a_student_hears_of_an_old_check_and_of_a_correction(as_student, people, entry):
    asked = entry.requirement_set
    asked.checked_on = date(2026, 9, 3)
    asked.save()
    solo = RequirementFactory(requirement_set=asked, name="Solo")
    AssignmentFactory(entry=entry, requirement=solo, piece__work="Romance")
    ErratumFactory(requirement_set=asked, on=date(2026, 11, 22), text="Bar 12: natural")
    page = read(as_student)
    assert "Last checked on 3 September: verify with the institution itself" in page
    assert "Corrected on 22 November: “Bar 12: natural”. Ask your teacher about" in page


def test_another_instruments_requirements_are_told_in_red(as_student, people, entry):
    asked = entry.requirement_set
    asked.instrument = InstrumentFactory(studio=people.studio, name="Bass trombone")
    asked.checked_on = date(2026, 9, 3)
    asked.save()
    words = "These are the requirements of another instrument, not of Horn: verify with"
    assert f'<p class="red">{words}' in as_student.get(reverse("part")).content.decode()


def test_the_day_and_its_sheets_are_linked_once_there_is_a_date(as_student, people, entry):
    undated = entry_of(people.sam_student, "Norwood", None)
    html = as_student.get("/part/").content.decode()
    assert reverse("day", args=[entry.pk]) in html
    for paper in ("letter", "a4"):
        assert f"{reverse('day_sheet', args=[entry.pk])}?paper={paper}" in html
    assert reverse("day", args=[undated.pk]) not in html


# The log


@pytest.fixture
def piece(people, entry):
    return AssignmentFactory(entry=entry, piece__work="Romance").piece


def log(client, piece, **posted):
    return client.post(reverse("check_log", args=[piece.pk]), posted)


def test_a_student_logs_a_clean_tempo(as_student, people, piece):
    assert log(as_student, piece, tempo="104", note="bars 46 to 81").url == reverse("part")
    check = LessonCheck.objects.get()
    assert (check.source, check.tempo, check.target) == (OWN, 104, 112)
    assert (check.on, check.note, check.by) == (date(2027, 1, 12), "bars 46 to 81", people.sam.user)
    page = read(as_student)
    assert "Your own: 104 on 12 January, “bars 46 to 81”" in page
    assert "Romance: 104 is in your log of today." in page


def test_logging_again_the_same_day_changes_the_first(as_student, piece):
    log(as_student, piece, tempo="98", note="slow")
    log(as_student, piece, tempo="101")
    check = LessonCheck.objects.get()
    assert (check.tempo, check.note) == (101, "")
    with time_machine.travel("2027-01-13T18:00:00Z", tick=False):
        log(as_student, piece, tempo="102")
    assert LessonCheck.objects.count() == 2


def test_a_log_leaves_the_teachers_check_and_the_figure_alone(as_student, people, piece):
    heard = LessonCheckFactory(
        student=people.sam_student, piece=piece, on=date(2027, 1, 12), tempo=80
    )
    before = part_of(people)
    log(as_student, piece, tempo="112")
    after = part_of(people)
    heard.refresh_from_db()
    assert heard.tempo == 80
    assert after.music[0].logs[0].tempo == 112
    assert after.music[0].progress == before.music[0].progress
    assert (after.figure, after.sentence) == (before.figure, before.sentence)


@pytest.mark.parametrize("tempo", ["", "0", "-5", "401", "fast", "96.5"])
def test_a_tempo_out_of_bounds_is_kept_and_explained(as_student, piece, tempo):
    response = log(as_student, piece, tempo=tempo, note="bars 46 to 81")
    html = response.content.decode()
    assert response.status_code == 422
    assert "Give beats a minute from 1 to 400." in html
    assert "Give at least a tempo" not in html
    assert 'value="bars 46 to 81"' in html
    assert not LessonCheck.objects.exists()


def test_the_page_with_a_wrong_log_still_leads_back_to_the_part(as_student, piece, entry):
    TaskFactory(entry=entry)
    html = log(as_student, piece, tempo="0").content.decode()
    assert 'name="next" value="/part/"' in html


def test_only_pieces_of_their_own_season_can_be_logged(as_student, people, entry):
    others = AssignmentFactory(entry=entry_of(people.mia_student, "Norwood")).piece
    last_year = AssignmentFactory(
        entry=EntryFactory(student=people.sam_student, audition__season="2025–26")
    ).piece
    for piece in (others, last_year):
        assert log(as_student, piece, tempo="96").status_code == 404
    assert not LessonCheck.objects.exists()


def test_staff_log_nothing_here(as_teacher, piece):
    assert log(as_teacher, piece, tempo="96").status_code == 404
    assert not LessonCheck.objects.exists()


def test_care_and_what_makes_the_figure_stand_beside_the_log(as_student, piece):
    page = read(as_student)
    assert page.count("Stop playing if it hurts") == 1
    assert WHOSE in page


# What only staff see


def test_staff_read_notes_minutes_and_town_and_the_student_does_not(client, people, entry):
    student = people.sam_student
    student.notes, student.town = "Nervous before panels", "Harbour Falls"
    student.save()
    away = DayAwayFactory(student=student, last=date(2027, 1, 20))
    client.force_login(people.ines.user)
    url = reverse("student", args=[student.pk])
    page = read(client, url)
    assert "Nervous before panels" in page
    assert "Monday 60: 60 a week" in page
    assert "Harbour Falls" in page
    assert reverse("away_edit", args=[away.pk]) in client.get(url).content.decode()
    client.force_login(people.sam.user)
    own = read(client)
    assert "Nervous" not in own
    assert "a week" not in own


def test_teachers_invite_whoever_has_no_seat_yet(client, people):
    newcomer = StudentFactory(studio=people.studio, name="Noor Haddad")
    invite = reverse("student_invite", args=[newcomer.pk])
    url = reverse("student", args=[newcomer.pk])
    client.force_login(people.theo.user)
    assert invite in client.get(url).content.decode()
    taken = reverse("student", args=[people.sam_student.pk])
    assert "/invite/" not in client.get(taken).content.decode()
    client.force_login(people.ana.user)
    html = client.get(url).content.decode()
    assert invite not in html
    assert reverse("student_edit", args=[newcomer.pk]) not in html


def test_staff_have_the_ways_to_work_on_it_and_the_student_only_their_own(client, people, entry):
    pk = people.sam_student.pk
    ways = ("lesson", "checks", "entry_add", "student_edit", "away_add", "student_part_sheet")
    client.force_login(people.theo.user)
    html = client.get(reverse("student", args=[pk])).content.decode()
    for name in ways:
        assert reverse(name, args=[pk]) in html, name
    assert reverse("entry", args=[entry.pk]) + '"' in html
    client.force_login(people.ana.user)
    html = client.get(reverse("student", args=[pk])).content.decode()
    assert reverse("lesson", args=[pk]) in html
    assert reverse("entry_add", args=[pk]) not in html
    client.force_login(people.sam.user)
    html = client.get("/part/").content.decode()
    assert reverse("part_feed") in html
    assert reverse("part_sheet") in html
    for name in ways:
        assert reverse(name, args=[pk]) not in html, name


# Nothing there yet


def test_no_auditions_yet(client, people):
    client.force_login(people.sam.user)
    assert "No auditions yet Your teacher adds" in read(client)
    client.force_login(people.ines.user)
    page = read(client, reverse("student", args=[people.sam_student.pk]))
    assert "No auditions yet Add the first one" in page


def test_no_pieces_yet(as_student, entry):
    assert "No pieces chosen yet. Ask your teacher" in read(as_student)


def test_the_season_is_over(as_student, people):
    entry_of(people.sam_student, result="offered")
    page = read(as_student)
    assert "The season is over" in page
    assert "Offered a place" in page


# What it costs


@pytest.mark.parametrize("staff", [False, True])
def test_eight_entries_cost_no_more_queries_than_one(
    client, people, staff, django_assert_max_num_queries
):
    client.force_login(people.ines.user if staff else people.sam.user)
    url = reverse("student", args=[people.sam_student.pk]) if staff else "/part/"
    full_entry(people.sam_student)
    client.get(url)
    with django_assert_max_num_queries(12) as one:
        client.get(url)
    for _ in range(7):
        full_entry(people.sam_student)
    with django_assert_max_num_queries(12) as eight:
        client.get(url)
    assert len(eight) == len(one)
