// Turns lines of "tag, form, value, the program's words" into a verdict: Node's Intl says each value anew.
// One invariant: shares neither code nor data with the program; only that both follow CLDR, and the release is checked.
// Must not: change the words before comparing, other than as listed under `known`.

import { readFileSync } from "node:fs";

const CLDR = "48.0";
if (process.versions.cldr !== CLDR) {
  console.log(`Node ${process.version} follows CLDR ${process.versions.cldr}, the program follows ${CLDR}`);
  process.exit(1);
}

// Differences that are known and harmless; each must occur, or it is out of date.
const known = {
  // CLDR puts a narrow no-break space before AM and PM. V8 makes a plain space of it, the program a no-break space: a time must
  // not be torn over two lines, and every font has that character
  "space in a time": { used: 0, apply: (tag, form, text) => (form === "time" ? text.replaceAll(/[ \u202f]/g, "\u00a0") : text) },
  // ICU4X writes 09:05 where Intl writes 9:05; both are read alike
  "leading nought of an hour": {
    used: 0,
    apply: (tag, form, text) => (form === "time" && ["es-ES", "es-MX", "es-GB"].includes(tag) ? text.replace(/^(\d):/, "0$1:") : text),
  },
  // ICU4X has "sep" for the United States as for Mexico, ICU has "sept"
  "September in the Spanish of the United States": {
    used: 0,
    apply: (tag, form, text) => (tag === "es-US" ? text.replace(/\bsept\b/, "sep") : text),
  },
  // ICU4X shortens June and July and leaves out the comma after a short weekday in Australia, ICU does not
  "short forms in Australia": {
    used: 0,
    apply: (tag, form, text) =>
      tag === "en-AU" && /^short|^weekday-day/.test(form) ? text.replace(/\b(Ju[nl])[ey]\b/, "$1").replace(/^(\w{3}),/, "$1") : text,
  },
  // ICU4X has the sign of the pound for every locale, CLDR's Spanish writes the code
  "pounds in Spanish": { used: 0, apply: (tag, form, text) => (tag === "es-GB" && form === "money" ? text.replace("GBP", "£") : text) },
};

// a formatter is dear to make, and there are few
const made = new Map();
const once = (Kind, tag, way) => {
  const key = `${Kind.name} ${tag} ${JSON.stringify(way)}`;
  if (!made.has(key)) made.set(key, new Kind(tag, way));
  return made.get(key);
};

// several: CLDR has a whole pattern and one put together from parts, and both are Intl's own words for the same value
const day = (...ways) => (tag, value) =>
  ways.map((way) => once(Intl.DateTimeFormat, tag, { ...way, calendar: "gregory", timeZone: "UTC" }).format(new Date(`${value}T00:00:00Z`)));
const list = (type) => (tag, value) => once(Intl.ListFormat, tag, { type, style: "long" }).format(value.split("|"));

const forms = {
  date: day({ dateStyle: "long" }, { year: "numeric", month: "long", day: "numeric" }),
  "weekday-date": day({ dateStyle: "full" }, { weekday: "long", year: "numeric", month: "long", day: "numeric" }),
  "day-month": day({ month: "long", day: "numeric" }),
  // in full where a short weekday is another word
  "weekday-day": (tag, value) => {
    const width = tag.startsWith("es") ? "long" : "short";
    return day({ weekday: width, month: width, day: "numeric" })(tag, value);
  },
  "short-date": day({ dateStyle: "medium" }, { year: "numeric", month: "short", day: "numeric" }),
  "short-day-month": day({ month: "short", day: "numeric" }),
  "short-month": day({ month: "short" }),
  "short-month-year": day({ month: "short", year: "numeric" }),
  time: (tag, value) =>
    once(Intl.DateTimeFormat, tag, { timeStyle: "short", timeZone: "UTC" }).format(new Date(`2026-12-03T${value}Z`)),
  number: (tag, value) => once(Intl.NumberFormat, tag, { maximumFractionDigits: 2 }).format(Number(value)),
  digits: (tag, value) => once(Intl.NumberFormat, tag, { maximumFractionDigits: 20 }).format(Number(value)),
  money: (tag, value) => {
    const [amount, currency] = value.split(" ");
    return once(Intl.NumberFormat, tag, { style: "currency", currency, trailingZeroDisplay: "stripIfInteger" }).format(Number(amount));
  },
  and: list("conjunction"),
  or: list("disjunction"),
  plural: (tag, value) => once(Intl.PluralRules, tag).select(Number(value)),
};

const judged = {};
const faults = [];
for (const line of readFileSync(0, "utf8").split("\n").filter(Boolean)) {
  const [tag, form, value, ours] = line.split("\t");
  if (!(form in forms)) {
    faults.push(`unknown form ${form}`);
    continue;
  }
  const theirs = [forms[form](tag, value)].flat().map((text) => {
    for (const difference of Object.values(known)) {
      const changed = difference.apply(tag, form, text);
      if (changed !== text) difference.used += 1;
      text = changed;
    }
    return text;
  });
  if (!theirs.includes(ours)) faults.push(`${tag} ${form} ${value}: the program says ${JSON.stringify(ours)}, Intl ${JSON.stringify(theirs)}`);
  judged[form] = (judged[form] ?? 0) + 1;
}
for (const form of Object.keys(forms)) if (!judged[form]) faults.push(`${form} was never judged`);
for (const [name, { used }] of Object.entries(known)) if (!used) faults.push(`known difference that does not occur: ${name}`);

if (faults.length > 0) {
  // one of a kind is enough to see what is wrong
  const kinds = new Set();
  const shown = faults.filter((fault) => {
    const kind = fault.split(" ").slice(0, 2).join(" ");
    return !kinds.has(kind) && kinds.add(kind);
  });
  console.log(shown.slice(0, 60).join("\n"));
  console.log(`${faults.length} differences`);
  process.exit(1);
}
const total = Object.values(judged).reduce((sum, count) => sum + count, 0);
console.log(`${total} forms, CLDR ${CLDR}: ${Object.entries(judged).map(([form, count]) => `${count} ${form}`).join(", ")}`);
