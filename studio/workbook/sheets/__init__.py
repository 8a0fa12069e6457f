"""Every sheet of the workbook, one place for each: the page, reading and writing follow this."""

from studio.workbook.sheets.going import (
    CHECKS,
    DAYS,
    ENTRIES,
    LEAD_TIMES,
    PROGRAMME,
    TASKS,
    WISHES,
)
from studio.workbook.sheets.music import ERRATA, JUDGEMENTS, PIECES, REQUIREMENTS
from studio.workbook.sheets.people import AWAY, INSTRUMENTS, STUDENTS
from studio.workbook.sheets.places import AUDITIONS, DATES, DEADLINES, INSTITUTIONS

# In this order rows can be read and written: whatever a row links to comes before it.
SHEETS = (
    INSTRUMENTS,
    STUDENTS,
    AWAY,
    INSTITUTIONS,
    AUDITIONS,
    DEADLINES,
    DATES,
    REQUIREMENTS,
    ERRATA,
    PIECES,
    JUDGEMENTS,
    ENTRIES,
    PROGRAMME,
    WISHES,
    TASKS,
    CHECKS,
    DAYS,
    LEAD_TIMES,
)
RECORDS = {record.name: record for one in SHEETS for record in one.records}
