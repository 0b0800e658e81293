// Times ical.js on the events of a calendar file: serialising them, and building
// them from plain values and serialising. Prints the best of five of each, in ms.
//
//   ICAL_JS_DIR=DIR node compare.mjs FILE.ics
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const home = join(process.env.ICAL_JS_DIR ?? '.', 'node_modules', 'ical.js');
const { default: ICAL } = await import(pathToFileURL(join(home, 'dist', 'ical.js')));
const { version } = JSON.parse(readFileSync(join(home, 'package.json'), 'utf8'));

// Plain values: each component's name, its properties as name and value, its parts.
const plain = (component) => ({
  name: component.name,
  properties: component.getAllProperties().map((property) => [property.name, property.getFirstValue()]),
  parts: component.getAllSubcomponents().map(plain),
});
const build = ({ name, properties, parts }) => {
  const component = new ICAL.Component(name);
  for (const [key, value] of properties) component.addPropertyWithValue(key, value);
  for (const part of parts) component.addSubcomponent(build(part));
  return component;
};

const read = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], 'utf8')));
const values = plain(read);
const built = build(values);
if (built.toString() !== read.toString()) throw new Error('what was built is not what was read');

const best = (work) => {
  let least = Infinity;
  for (let turn = 0; turn < 5; turn++) {
    const from = performance.now();
    work();
    least = Math.min(least, performance.now() - from);
  }
  return least.toFixed(1);
};
console.log(['ical.js', version, best(() => built.toString()), best(() => build(values).toString())].join('\t'));
