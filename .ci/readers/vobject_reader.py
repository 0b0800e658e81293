"""Reads one calendar file with the Python package vobject, which also checks what
each component must and may have. Exits 1 when the file is not valid to it.

    /usr/bin/python3 vobject_reader.py FILE.ics
"""

import importlib.metadata
import sys

import vobject

from understood import instant, say


def text(component, name):
    return component.contents[name][0].value if name in component.contents else ""


def read(path):
    with open(path, encoding="utf-8", newline="") as file:
        calendar = vobject.readOne(file.read())
    calendar.validate(raiseException=True)
    for event in calendar.contents.get("vevent", []):
        yield {
            "uid": event.uid.value,
            "start": instant(event.dtstart.value),
            "end": instant(event.dtend.value),
            "title": text(event, "summary"),
            "description": text(event, "description"),
            "alarms_s": [int(alarm.trigger.value.total_seconds()) for alarm in event.contents.get("valarm", [])],
            "cancelled": event.status.value == "CANCELLED",
        }


say("vobject", importlib.metadata.version("vobject"), read(sys.argv[1]))
