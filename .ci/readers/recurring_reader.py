"""Reads one calendar file with the Python packages icalendar and
recurring_ical_events, which repeats by dateutil, and prints when it makes
somebody busy: a line naming the reader, then one line of JSON an instance.

    /usr/bin/python3 recurring_reader.py FILE.ics ZONE FROM UNTIL

FROM and UNTIL are instants such as 2026-03-01T00:00:00Z; ZONE is where floating
times and whole days are read. The distribution's own interpreter is the one that
finds its python3-recurring-ical-events.
"""

import datetime
import importlib.metadata
import json
import sys

import icalendar
import pytz
import recurring_ical_events


def instant(value, zone):
    if not isinstance(value, datetime.datetime):
        value = datetime.datetime(value.year, value.month, value.day)
    if value.tzinfo is None:
        value = zone.localize(value)
    return value.astimezone(datetime.timezone.utc)


def read(path, zone, begin, end):
    with open(path, "rb") as file:
        calendar = icalendar.Calendar.from_ical(file.read())
    found = []
    # Its own window compares local times with instants, so it is asked for more
    # and what lies outside is left out here.
    slack = datetime.timedelta(days=2)
    for event in recurring_ical_events.of(calendar).between(begin - slack, end + slack):
        if event.get("TRANSP") == "TRANSPARENT" or event.get("STATUS") == "CANCELLED":
            continue
        first, last = (instant(event[name].dt, zone) for name in ("DTSTART", "DTEND"))
        if first < last and first < end and last > begin:
            found.append({
                "start": first.strftime("%Y-%m-%dT%H:%MZ"),
                "end": last.strftime("%Y-%m-%dT%H:%MZ"),
                "summary": " ".join(str(event.get("SUMMARY", "")).split()),
            })
    return sorted(found, key=lambda one: (one["start"], one["end"], one["summary"]))


if __name__ == "__main__":
    times = [datetime.datetime.strptime(text, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=datetime.timezone.utc) for text in sys.argv[3:5]]
    understood = read(sys.argv[1], pytz.timezone(sys.argv[2]), *times)
    print(json.dumps({"reader": "python-recurring-ical-events", "version": importlib.metadata.version("recurring_ical_events")}))
    for one in understood:
        print(json.dumps(one))
