"""Reads one calendar file with the Python package icalendar and prints what it
understood: a line naming the reader, then one line of JSON an event, sorted by
UID. Exits 1 when the file cannot be read or an event has an error.

    /usr/bin/python3 icalendar_reader.py FILE.ics

The distribution's own interpreter is the one that finds its python3-icalendar.
"""

import datetime
import json
import sys

import icalendar


def instant(value):
    if value.tzinfo is None:
        raise ValueError(f"floating time {value}")
    return value.astimezone(datetime.timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")


def read(path):
    with open(path, "rb") as file:
        calendar = icalendar.Calendar.from_ical(file.read())
    events = []
    for component in calendar.walk():
        if component.errors:
            raise ValueError(f"{component.name}: {component.errors}")
        if component.name != "VEVENT":
            continue
        alarms = component.walk("VALARM")
        if len(alarms) != 1:
            raise ValueError(f"{component['UID']}: {len(alarms)} alarms")
        events.append({
            "uid": str(component["UID"]),
            "start": instant(component["DTSTART"].dt),
            "end": instant(component["DTEND"].dt),
            "summary": str(component.get("SUMMARY", "")),
            "description": str(component.get("DESCRIPTION", "")),
            "alarm_s": int(alarms[0]["TRIGGER"].dt.total_seconds()),
        })
    return sorted(events, key=lambda event: event["uid"])


if __name__ == "__main__":
    understood = read(sys.argv[1])
    print(json.dumps({"reader": "python-icalendar", "version": icalendar.__version__}))
    for event in understood:
        print(json.dumps(event))
