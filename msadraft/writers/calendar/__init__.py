"""Parenting time on paper and screen: a picture of a year, a schedule to print, and a calendar file for each parent."""

from msadraft.writers.calendar.feed import CalendarFileError, case_mark, write_ics
from msadraft.writers.calendar.files import CalendarFiles, calendar_files
from msadraft.writers.calendar.names import Names
from msadraft.writers.calendar.picture import write_year_svg
from msadraft.writers.calendar.schedule import ScheduleRow, exchange_rows, holiday_rows, write_schedule_html

__all__ = [
    "CalendarFileError",
    "CalendarFiles",
    "Names",
    "ScheduleRow",
    "calendar_files",
    "case_mark",
    "exchange_rows",
    "holiday_rows",
    "write_ics",
    "write_schedule_html",
    "write_year_svg",
]
