"""Stores a calendar file in Radicale as a whole collection, twice, as a phone's
program would over CalDAV, and the events of further files one by one, as one that
imports them would; fetches it all and hands what came back to ical.js. The server
runs inside this process: nothing listens on a port.

    ICAL_JS_DIR=DIR /usr/bin/python3 radicale_store.py FILE.ics ...
"""

import base64
import io
import json
import logging
import pathlib
import re
import subprocess
import sys
import tempfile

import radicale
import radicale.app
import radicale.config

from understood import memory

PLACE = "/cook/plan/"


def ask(server, method, body=b"", name=""):
    environment = {
        "REQUEST_METHOD": method, "PATH_INFO": PLACE + name, "SCRIPT_NAME": "", "SERVER_NAME": "localhost", "SERVER_PORT": "80",
        "wsgi.input": io.BytesIO(body), "wsgi.errors": sys.stderr, "wsgi.url_scheme": "http", "CONTENT_LENGTH": str(len(body)),
        "CONTENT_TYPE": "text/calendar; charset=utf-8",
        "HTTP_AUTHORIZATION": "Basic " + base64.b64encode(b"cook:x").decode(),
    }
    answers = []
    answer = b"".join(server(environment, lambda status, headers: answers.append(status)))
    if not answers[0].startswith(("200", "201")):
        raise ValueError(f"{method}: {answers[0]}: {answer.decode()}")
    return answer


def events(calendar):
    """The events of a calendar by UID, each as a calendar of its own."""
    head, _, rest = calendar.partition(b"BEGIN:VEVENT\r\n")
    for part in rest.split(b"BEGIN:VEVENT\r\n"):
        event = part.partition(b"END:VEVENT\r\n")[0]
        uid = re.search(rb"^UID:(.*)\r$", event, re.MULTILINE)[1].decode()
        yield uid, head + b"BEGIN:VEVENT\r\n" + event + b"END:VEVENT\r\nEND:VCALENDAR\r\n"


with tempfile.TemporaryDirectory(dir=memory()) as folder:
    settings = radicale.config.load()
    settings.update({
        "auth": {"type": "none"}, "rights": {"type": "authenticated"}, "storage": {"filesystem_folder": folder},
    }, "this check", privileged=True)
    logging.getLogger("radicale").setLevel(logging.ERROR)
    server = radicale.app.Application(settings)
    first, *further = (pathlib.Path(path).read_bytes() for path in sys.argv[1:])
    for _ in range(2):
        ask(server, "PUT", first)
    for sent in further:
        for uid, event in events(sent):
            ask(server, "PUT", event, f"{uid}.ics")
    fetched = pathlib.Path(folder, "fetched.ics")
    fetched.write_bytes(ask(server, "GET"))
    javascript = pathlib.Path(__file__).with_name("ical_js.mjs")
    read = subprocess.run(["node", javascript, fetched], check=True, stdout=subprocess.PIPE, encoding="utf-8").stdout

who, _, came = read.partition("\n")
by = json.loads(who)
print(json.dumps({"reader": "radicale", "version": f"{radicale.VERSION}, read by {by['reader']} {by['version']}"}))
print(came, end="")
