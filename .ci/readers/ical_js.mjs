// Reads one calendar file with the npm package ical.js, in its strict mode, and
// prints what it understood: a line naming the reader, then one line of JSON an
// event. Exits 1 when the file cannot be read.
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
  if (time.isDate) return time.toString();
  if (time.zone === ICAL.Timezone.localTimezone) throw new Error(`floating time ${time}`);
  return new Date(time.toUnixTime() * 1000).toISOString().replace('.000Z', 'Z');
};

console.log(JSON.stringify({ reader: 'ical.js', version }));
for (const component of calendar.getAllSubcomponents('vevent')) {
  const event = new ICAL.Event(component);
  console.log(JSON.stringify({
    uid: event.uid,
    start: instant(event.startDate),
    end: instant(event.endDate),
    title: event.summary ?? '',
    description: event.description ?? '',
    alarms_s: component.getAllSubcomponents('valarm').map((alarm) => alarm.getFirstPropertyValue('trigger').toSeconds()),
    cancelled: component.getFirstPropertyValue('status') === 'CANCELLED',
  }));
}
