"""Times python-icalendar on the events of a calendar file: serialising them, and
building them from plain values and serialising. Prints the best of five of each,
in ms.

    /usr/bin/python3 compare.py FILE.ics
"""

import datetime
import sys
import time

import icalendar

PARTS = {"VCALENDAR": icalendar.Calendar, "VEVENT": icalendar.Event, "VALARM": icalendar.Alarm}


def value_of(written):
    if hasattr(written, "dt"):
        return written.dt
    if isinstance(written, int):
        return int(written)
    if isinstance(written, icalendar.prop.vCategory):
        return [str(one) for one in written.cats]
    return str(written)


def plain(component):
    """Each component's name, its properties as name and value, its parts."""
    properties = [(name, value_of(written)) for name, written in component.items()]
    return component.name, properties, [plain(part) for part in component.subcomponents]


def build(values):
    name, properties, parts = values
    component = PARTS[name]()
    for key, value in properties:
        component.add(key, value)
    for part in parts:
        component.add_component(build(part))
    return component


def best(work):
    least = float("inf")
    for _ in range(5):
        start = time.perf_counter()
        work()
        least = min(least, time.perf_counter() - start)
    return f"{1000 * least:.1f}"


with open(sys.argv[1], "rb") as file:
    read = icalendar.Calendar.from_ical(file.read())
values = plain(read)
# What it builds itself names the default form of times; what it read does not.
if build(values).to_ical().replace(b";VALUE=DATE-TIME", b"") != read.to_ical():
    raise ValueError("what was built is not what was read")
print("python-icalendar", icalendar.__version__, best(read.to_ical), best(lambda: build(values).to_ical()), sep="\t")
