// Reads a feed with ical.js and prints its entries as JSON. Arguments: folder of npm packages, feed.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, feed] = process.argv.slice(2);
const { default: ICAL } = await import(pathToFileURL(join(modules, "ical.js", "dist", "ical.js")));
const calendar = new ICAL.Component(ICAL.parse(readFileSync(feed, "utf8")));
const entries = calendar.getAllSubcomponents("vevent").map((component) => {
  const event = new ICAL.Event(component);
  const alarms = component.getAllSubcomponents("valarm");
  return {
    uid: event.uid,
    title: event.summary,
    start: event.startDate.toString(),
    end: event.endDate.toString(),
    allDay: event.startDate.isDate && event.endDate.isDate,
    days: event.duration.toSeconds() / 86400,
    description: event.description,
    location: event.location,
    categories: component.getFirstProperty("categories").getValues(),
    sequence: event.sequence,
    alarms: alarms.map((alarm) => alarm.getFirstPropertyValue("trigger").toString()),
  };
});
const refresh = calendar.getFirstProperty("refresh-interval");
console.log(JSON.stringify({
  name: calendar.getFirstPropertyValue("name"),
  refresh: [refresh.type, refresh.getFirstValue().toString()],
  entries,
}));
