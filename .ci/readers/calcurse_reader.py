"""Imports one calendar file into calcurse and reads the file it keeps: its times
are in $TZ and end at the minute; it keeps neither UIDs nor cancellations, and of
a reminder only that there is one.

    /usr/bin/python3 calcurse_reader.py FILE.ics
"""

import datetime
import os
import pathlib
import re
import subprocess
import sys
import tempfile

from understood import instant, say

TIMED = re.compile(r"(?P<start>[\d/]+ @ [\d:]+) -> (?P<end>[\d/]+ @ [\d:]+)(?:>(?P<note>[0-9a-f]+) )?(?P<mark>[|!])(?P<title>.*)")
# Several whole days are kept as one that comes again each day until the last.
DAY = re.compile(r"(?P<start>[\d/]+) \[\d+\] (?:\{1D -> (?P<last>[\d/]+)\} )?(?:>(?P<note>[0-9a-f]+) )?(?P<title>.*)")


def time(text):
    return instant(datetime.datetime.strptime(text, "%m/%d/%Y @ %H:%M").replace(tzinfo=datetime.timezone.utc))


def read(path, home):
    command = ["calcurse", "-D", home, "-C", home, "-i", path]
    report = subprocess.run(command, check=True, capture_output=True, text=True, env=os.environ | {"TZ": "UTC"})
    if " 0 skipped" not in report.stdout:
        raise ValueError(report.stdout + report.stderr)
    for line in pathlib.Path(home, "apts").read_text(encoding="utf-8").split("\n")[:-1]:
        if match := TIMED.fullmatch(line):
            event = {"start": time(match["start"]), "end": time(match["end"]), "rings": match["mark"] == "!"}
        elif match := DAY.fullmatch(line):
            day, last = (datetime.datetime.strptime(text, "%m/%d/%Y").date() for text in (match["start"], match["last"] or match["start"]))
            event = {"start": day.isoformat(), "end": (last + datetime.timedelta(days=1)).isoformat(), "rings": False}
        else:
            raise ValueError(f"unknown line {line!r}")
        event["title"] = match["title"]
        note = pathlib.Path(home, "notes", match["note"]).read_text(encoding="utf-8") if match["note"] else ""
        # calcurse ends a note with a line end, and adds the zone it read.
        event["description"] = re.sub(r"(^|\n)-- \nImport: .*\n\Z", "", note).removesuffix("\n")
        yield event


with tempfile.TemporaryDirectory() as folder:
    version = subprocess.run(["calcurse", "--version"], check=True, capture_output=True, text=True).stdout.split()[1]
    say("calcurse", version, read(sys.argv[1], folder))
