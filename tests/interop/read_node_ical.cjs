// Reads a feed with node-ical and prints its entries as JSON. Arguments: folder of npm packages, feed.
const { readFileSync } = require("node:fs");
const { join } = require("node:path");

const [modules, feed] = process.argv.slice(2);
const ical = require(join(modules, "node-ical"));
const local = (day) => [day.getFullYear(), day.getMonth() + 1, day.getDate()];
const entries = Object.entries(ical.sync.parseICS(readFileSync(feed, "utf8")))
  .filter(([, component]) => component.type === "VEVENT")
  .map(([uid, event]) => ({
    uid,
    title: event.summary,
    datetype: event.datetype,
    dateOnly: [event.start.dateOnly === true, event.end.dateOnly === true],
    start: local(event.start),
    end: local(event.end),
    categories: event.categories,
    alarms: (event.alarms || []).length,
  }));
console.log(JSON.stringify(entries));
