"""What every reader in Python prints: a line naming the reader, then one line of
JSON an event. DEVELOPERS.md has the keys."""

import datetime
import json
import os


def instant(value):
    """A date as 2026-11-28, an instant in UTC; a floating time is an error."""
    if not isinstance(value, datetime.datetime):
        return value.isoformat()
    if value.tzinfo is None:
        raise ValueError(f"floating time {value}")
    return value.astimezone(datetime.timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")


def say(reader, version, events):
    print(json.dumps({"reader": reader, "version": version}))
    for event in events:
        print(json.dumps(event))


def memory():
    """A folder in memory where there is one: programs that wait for the disk at every
    event take minutes on a slow one."""
    return "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
