// Reads one calendar file with the npm package ical.js, in its strict mode, and
// prints what it understood: a line naming the reader, then one line of JSON an
// event, sorted by UID. Exits 1 when the file cannot be read.
//
//   ICAL_JS_DIR=DIR node ical_js.mjs FILE.ics
//
// DIR is where "npm install ical.js" was run.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const home = join(process.env.ICAL_JS_DIR ?? '.', 'node_modules', 'ical.js');
const { default: ICAL } = await import(pathToFileURL(join(home, 'dist', 'ical.js')));
const { version } = JSON.parse(readFileSync(join(home, 'package.json'), 'utf8'));

ICAL.design.strict = true;

const calendar = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], 'utf8')));
for (const zone of calendar.getAllSubcomponents('vtimezone')) {
  ICAL.TimezoneService.register(zone);
}

const instant = (time) => {
  if (time.zone === ICAL.Timezone.localTimezone) throw new Error(`floating time ${time}`);
  return new Date(time.toUnixTime() * 1000).toISOString().replace('.000Z', 'Z');
};

const events = calendar.getAllSubcomponents('vevent').map((component) => {
  const event = new ICAL.Event(component);
  const alarms = component.getAllSubcomponents('valarm');
  if (alarms.length !== 1) throw new Error(`${event.uid}: ${alarms.length} alarms`);
  return {
    uid: event.uid,
    start: instant(event.startDate),
    end: instant(event.endDate),
    summary: event.summary ?? '',
    description: event.description ?? '',
    alarm_s: alarms[0].getFirstPropertyValue('trigger').toSeconds(),
  };
});
events.sort((a, b) => (a.uid < b.uid ? -1 : 1));

console.log(JSON.stringify({ reader: 'ical.js', version }));
for (const event of events) console.log(JSON.stringify(event));
