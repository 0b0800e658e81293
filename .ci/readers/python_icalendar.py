"""Reads one calendar file with the Python package icalendar. Exits 1 when the file
cannot be read or an event has an error.

    /usr/bin/python3 python_icalendar.py FILE.ics
"""

import sys

import icalendar

from understood import instant, say


def read(path):
    with open(path, "rb") as file:
        calendar = icalendar.Calendar.from_ical(file.read())
    for component in calendar.walk():
        if component.errors:
            raise ValueError(f"{component.name}: {component.errors}")
        if component.name != "VEVENT":
            continue
        yield {
            "uid": str(component["UID"]),
            "start": instant(component["DTSTART"].dt),
            "end": instant(component["DTEND"].dt),
            "title": str(component.get("SUMMARY", "")),
            "description": str(component.get("DESCRIPTION", "")),
            "alarms_s": [int(alarm["TRIGGER"].dt.total_seconds()) for alarm in component.walk("VALARM")],
            "cancelled": component.get("STATUS") == "CANCELLED",
        }


say("python-icalendar", icalendar.__version__, read(sys.argv[1]))
