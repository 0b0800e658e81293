"""Imports calendar files into khal, one after the other and each twice, and lists
what it then holds: an event that comes twice was not known by its UID. khal shows
whether an event rings, not when.

    /usr/bin/python3 khal_reader.py FILE.ics ...
"""

import datetime
import pathlib
import subprocess
import sys
import tempfile

from understood import memory, say

# khal has no form for programs, so its fields are told apart by controls, which no
# calendar file of ours holds.
FIELD, EVENT = "\x1f", "\x1e"
FIELDS = ("uid", "start-long", "start-time", "end-long", "end-time", "all-day", "title", "alarm-symbol", "status", "description")
SETTINGS = """\
[calendars]
[[plan]]
path = {home}/plan
type = calendar
[sqlite]
path = {home}/khal.db
[locale]
local_timezone = UTC
default_timezone = UTC
timeformat = %H:%M:%S
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%dT%H:%M:%S
longdatetimeformat = %Y-%m-%dT%H:%M:%S
"""


def khal(home, *arguments):
    command = ["khal", "-c", f"{home}/khal.conf", *arguments]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def read(paths, home):
    pathlib.Path(home, "plan").mkdir()
    pathlib.Path(home, "khal.conf").write_text(SETTINGS.format(home=home), encoding="utf-8")
    for path in paths:
        for _ in range(2):
            khal(home, "import", "--batch", "-a", "plan", path)
    form = FIELD.join("{%s}" % name for name in FIELDS) + EVENT
    listed = khal(home, "list", "--once", "--day-format", "", "--format", form, "2026-01-01", "2027-12-31")
    for shown in listed.split(EVENT)[:-1]:
        uid, start, start_time, end, end_time, all_day, title, alarm, status, description = shown.lstrip("\n").split(FIELD)
        if all_day == "True":
            # khal shows the last day, the file says the day after it.
            end = (datetime.date.fromisoformat(end[:10]) + datetime.timedelta(days=1)).isoformat()
            start = start[:10]
        else:
            start, end = start[:10] + f"T{start_time}Z", end[:10] + f"T{end_time}Z"
        yield {
            "uid": uid, "start": start, "end": end, "title": title, "description": description,
            "rings": alarm.strip() != "", "cancelled": status.strip() == "CANCELLED",
        }


with tempfile.TemporaryDirectory(dir=memory()) as folder:
    version = subprocess.run(["khal", "--version"], check=True, capture_output=True, text=True).stdout.split()[-1]
    say("khal", version, read(sys.argv[1:], folder))
