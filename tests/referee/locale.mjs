// Turns lines of "tag, form, value, the program's words" into a verdict: Node's Intl says each value anew.
// One invariant: shares neither code nor data with the program; only that both follow CLDR, and the release is checked.
// Must not: change the words before comparing, other than as listed under `known`.

import { readFileSync } from "node:fs";

const CLDR = "48.0";
if (process.versions.cldr !== CLDR) {
  console.log(`Node ${process.version} follows CLDR ${process.versions.cldr}, the program follows ${CLDR}`);
  process.exit(1);
}

// Differences that are known and wanted; each must occur, or it is out of date.
const known = {
  // CLDR puts a narrow no-break space before AM and PM. V8 makes a plain space of it, the program a no-break space: a time must
  // not be torn over two lines, and every font has that character
  "space in a time": { used: 0, apply: (form, text) => (form === "time" ? text.replaceAll(/[ \u202f]/g, "\u00a0") : text) },
};

const day = (options) => (tag, value) =>
  new Intl.DateTimeFormat(tag, { ...options, calendar: "gregory", timeZone: "UTC" }).format(new Date(`${value}T00:00:00Z`));
const list = (type) => (tag, value) => new Intl.ListFormat(tag, { type, style: "long" }).format(value.split("|"));

const forms = {
  date: day({ dateStyle: "long" }),
  "weekday-date": day({ dateStyle: "full" }),
  "day-month": day({ month: "long", day: "numeric" }),
  "weekday-day": day({ weekday: "short", month: "short", day: "numeric" }),
  time: (tag, value) =>
    new Intl.DateTimeFormat(tag, { timeStyle: "short", timeZone: "UTC" }).format(new Date(`2026-12-03T${value}Z`)),
  number: (tag, value) => new Intl.NumberFormat(tag, { maximumFractionDigits: 2 }).format(Number(value)),
  money: (tag, value) => {
    const [amount, currency] = value.split(" ");
    return new Intl.NumberFormat(tag, { style: "currency", currency }).format(Number(amount));
  },
  and: list("conjunction"),
  or: list("disjunction"),
  plural: (tag, value) => new Intl.PluralRules(tag).select(Number(value)),
};

const judged = {};
const faults = [];
for (const line of readFileSync(0, "utf8").split("\n").filter(Boolean)) {
  const [tag, form, value, ours] = line.split("\t");
  if (!(form in forms)) {
    faults.push(`unknown form ${form}`);
    continue;
  }
  let theirs = forms[form](tag, value);
  for (const difference of Object.values(known)) {
    const changed = difference.apply(form, theirs);
    if (changed !== theirs) difference.used += 1;
    theirs = changed;
  }
  if (theirs !== ours) faults.push(`${tag} ${form} ${value}: the program says ${JSON.stringify(ours)}, Intl ${JSON.stringify(theirs)}`);
  judged[form] = (judged[form] ?? 0) + 1;
}
for (const form of Object.keys(forms)) if (!judged[form]) faults.push(`${form} was never judged`);
for (const [name, { used }] of Object.entries(known)) if (!used) faults.push(`known difference that does not occur: ${name}`);

if (faults.length > 0) {
  console.log(faults.slice(0, 40).join("\n"));
  console.log(`${faults.length} differences`);
  process.exit(1);
}
const total = Object.values(judged).reduce((sum, count) => sum + count, 0);
console.log(`${total} forms, CLDR ${CLDR}: ${Object.entries(judged).map(([form, count]) => `${count} ${form}`).join(", ")}`);
