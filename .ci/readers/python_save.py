"""Saves a calendar file as the Python package icalendar does, under another name and
with an event and a to-do of somebody's own in it.

    /usr/bin/python3 python_save.py FILE.ics SAVED.ics
"""

import datetime
import sys

import icalendar

with open(sys.argv[1], "rb") as file:
    calendar = icalendar.Calendar.from_ical(file.read())
calendar["PRODID"] = "-//Somebody//Calendar//EN"
own = icalendar.Event()
own.add("uid", "own-event")
own.add("summary", "Dentist, by python-icalendar")
own.add("dtstamp", datetime.datetime(2026, 11, 1, tzinfo=datetime.timezone.utc))
own.add("dtstart", datetime.datetime(2026, 11, 30, 22, tzinfo=datetime.timezone.utc))
own.add("dtend", datetime.datetime(2026, 11, 30, 23, tzinfo=datetime.timezone.utc))
calendar.add_component(own)
todo = icalendar.Todo()
todo.add("uid", "own-todo")
todo.add("summary", "Lids")
calendar.add_component(todo)
with open(sys.argv[2], "wb") as file:
    file.write(calendar.to_ical() + b"\r\n")
