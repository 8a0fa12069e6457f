"""How long the pages, sheets and feeds take, as ratios within one run: `make bench`.

Each is timed at 12, 60 and 300 students of one studio, best of three, in CPU seconds, against the
same rows fetched and printed bare: a template that only names them. Ratios travel between
machines, seconds do not. A plan's solver works in a process of its own and is not counted. At the
end, what memory a web worker and a solver worker take. Nothing here can fail: it measures.
"""

import os
import sys
import time
from datetime import date

import django

from tests import (
    bench_dates,
    bench_deadlines,
    bench_engraving,
    bench_memory,
    bench_practice,
    bench_readiness,
    bench_repertoire,
    bench_together,
)

SIZES = (12, 60, 300)
TODAY = date(2026, 11, 25)
TIMES = 3
BARE = (
    "{% for student in students %}{{ student.name }} {{ student.instrument }}"
    "{% for entry in student.entries.all %}{{ entry.audition.institution }} {{ entry.on }}"
    "{% for task in entry.tasks.all %}{{ task.name }} {{ task.deadline.on }}{% endfor %}"
    "{% for given in entry.assignments.all %}{{ given.requirement }} {{ given.piece }}{% endfor %}"
    "{% endfor %}{% for check in student.checks.all %}{{ check.on }} {{ check.tempo }}{% endfor %}"
    "{% endfor %}"
)


def cpu(work):
    """Return the least CPU seconds of a few runs of `work`."""
    spent = []
    for _ in range(TIMES):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent)


def bare(owner, pk=None):
    """Fetch and print the rows of the whole studio, or of one student."""
    from django.template import engines

    from studio.entries.queries import whole_season

    students = whole_season(owner)
    if pk:
        students = students.filter(pk=pk)
    return engines["django"].from_string(BARE).render({"students": students})


def timed(client, url, *, solved=False):
    """Return the CPU seconds of a page, drawn afresh each time, and unless `solved` solved too."""
    from django.core.cache import caches

    from studio import answers

    def fetch():
        if not solved:
            answers.forget()
        caches["default"].clear()
        caches["sheets"].clear()
        response = client.get(url)
        assert response.status_code == 200, (url, response.status_code)
        return b"".join(response) if response.streaming else response.content

    return cpu(fetch)


def pages(owner):
    """Return (name, address, pk of the one student it is about or None) to time."""
    from django.urls import reverse

    student = owner.studio.students.first()
    entry = student.entries.first()
    on = entry.chosen_date.on
    return [
        ("score", reverse("score"), None),
        ("part", reverse("student", args=[student.pk]), student.pk),
        ("lesson", reverse("lesson", args=[student.pk]), student.pk),
        ("plan", reverse("plan", args=[student.pk]), student.pk),
        ("day sheet", reverse("day_sheet", args=[entry.pk]), student.pk),
        ("sheets of a date", reverse("day_sheets", args=[on]), None),
        ("student's feed", reverse("student_feed", args=[student.feed_token]), student.pk),
        ("studio's feed", reverse("studio_feed_calendar", args=[owner.studio.feed_token]), None),
    ]


def measure(size):
    """Print a line for each page of a studio of `size` students."""
    from django.test import Client

    from tests.big_studio import build

    owner = build(size, TODAY)
    client = Client()
    client.force_login(owner.user)
    floors = {}
    for name, url, pk in pages(owner):
        if name == "sheets of a date" and size > max(SIZES[:2]):
            print(f"{size:>5}  {name:18}  not timed: a page a student, linear above {SIZES[1]}")
            continue
        if pk not in floors:
            floors[pk] = cpu(lambda pk=pk: bare(owner, pk))
        spent = timed(client, url)
        print(
            f"{size:>5}  {name:18} {spent:>8.3f} s {floors[pk]:>8.3f} s {spent / floors[pk]:>7.1f}"
        )


def measure_checks(size=SIZES[1]):
    """Print how long the score takes with the checks of one and of two whole seasons."""
    from django.test import Client
    from django.urls import reverse

    from studio.entries.models import LessonCheck
    from studio.entries.pace import learn
    from tests.big_studio import add_seasons, build

    print(f"\nThe score at {size} students, by checks (warm: every answer is known already)")
    print(
        f"{'seasons':>7} {'teacher':>8} {'own':>6} {'cold':>9} {'warm':>9} {'bare':>9} {'ratio':>6}"
    )
    spent = {}
    for seasons in (0, 1, 2):
        owner = build(size, TODAY)
        if seasons:
            add_seasons(owner, TODAY, seasons)
        client = Client()
        client.force_login(owner.user)
        checks = LessonCheck.objects.filter(student__studio=owner.studio)
        own = checks.filter(source=LessonCheck.Source.STUDENT).count()
        cold = timed(client, reverse("score"))
        warm = timed(client, reverse("score"), solved=True)
        spent[seasons] = cold, warm
        floor = cpu(lambda owner=owner: bare(owner))
        figures = f"{cold:>7.3f} s {warm:>7.3f} s {floor:>7.3f} s {cold / floor:>6.1f}"
        print(f"{seasons or 'part':>7} {checks.count() - own:>8} {own:>6} {figures}")
    cold, warm = (two / one for two, one in zip(spent[2], spent[1], strict=True))
    print(f"two seasons against one: {cold:.2f} cold, {warm:.2f} warm")
    print(f"the pace learned from two seasons: {cpu(lambda: learn(owner.studio)):.3f} s")


def main():
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    import time_machine
    from django.conf import settings
    from django.test.utils import get_runner, setup_test_environment

    setup_test_environment()
    runner = get_runner(settings)(verbosity=0, interactive=False)
    databases = runner.setup_databases()
    print(f"{'size':>5}  {'page':18} {'page':>10} {'bare':>10} {'ratio':>7}")
    try:
        with time_machine.travel(TODAY, tick=True):
            for size in SIZES:
                measure(size)
                sys.stdout.flush()
            measure_checks()
    finally:
        runner.teardown_databases(databases)
    bench_memory.main()
    bench_deadlines.main()
    bench_repertoire.main()
    bench_dates.main()
    bench_together.main()
    bench_practice.main()
    bench_readiness.main()
    bench_engraving.main()


if __name__ == "__main__":
    main()
