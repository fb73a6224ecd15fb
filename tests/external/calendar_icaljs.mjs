// Parse the calendar on standard input strictly with ical.js and print it as JSON: of
// each component the properties as [parameters, type, value...] and its alarms.
//   node calendar_icaljs.mjs NODE_MODULES < file.ics
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const { default: ICAL } = await import(
  pathToFileURL(`${process.argv[2]}/ical.js/dist/ical.js`)
);
ICAL.design.strict = true;

function plain(component) {
  const properties = {};
  for (const p of component.getAllProperties()) {
    const values = p.getValues().map(String);
    (properties[p.name] ??= []).push([p.toJSON()[1], p.type, ...values]);
  }
  return { properties, inside: component.getAllSubcomponents().map(plain) };
}

const root = new ICAL.Component(ICAL.parse(readFileSync(0, "utf8")));
const events = root.getAllSubcomponents("vevent").map((c) => {
  const e = new ICAL.Event(c);
  return [e.uid, e.startDate.isDate, e.duration.toSeconds() / 86400, e.isRecurring()];
});
process.stdout.write(JSON.stringify({ root: plain(root), events }));
