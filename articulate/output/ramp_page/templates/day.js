"use strict";
// The day as it stands: what was read and seen, kept in the phone at every change; the order of its steps.
const day = (() => {
  const place = `ramp page ${data.id}`;
  const VERSION = 1;
  let store = null;
  let trouble = "";
  try {
    store = window.localStorage;
    store.setItem("ramp page try", "1");
    store.removeItem("ramp page try");
  } catch {
    store = null;
    trouble = "This browser keeps nothing for this page: take the run sheet out before it is closed.";
  }

  const today = () => {
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  };
  const clock = () => new Date().toTimeString().slice(0, 8);

  const fresh = () => ({
    version: VERSION,
    date: today(),
    title: "",
    notes: "",
    step: "before",
    part: "ready", // of a run: ready, mark, kept
    sides: data.sides, // in the order they climb
    way: "mark_height",
    unit: data.unit === "in" ? "fraction" : "mm", // fraction, decimal, mm
    light: "auto",
    wheelbase: "", // as taped, with its unit; "" for that of the file
    angle: "",
    angleTolerance: 0.2, // [deg]
    tape: "",
    flat: "",
    ramp: "",
    climbs: [],
    ends: [], // runs that came to no lift: {key, what, time}
    stops: [], // why the stop card was shown: {what, where, time}
    released: false, // the bar was found free of load
    reconnected: false,
    draft: "",
    taken: [], // climbs taken out, the last first to come back
    level: null, // tilt on level ground [rad]
  });

  // Whatever is read back is held against the shape of a fresh day: what does not fit is left out.
  const texts = ["date", "title", "notes", "step", "part", "way", "unit", "light", "wheelbase", "angle", "tape", "flat", "ramp", "draft"];
  const runs = data.sides.flatMap((side) => data.bars.map((bars) => `${side}.${bars}`));
  const isText = (one) => typeof one === "string" && one.length <= 4000;
  const isClimb = (one) => one && runs.includes(one.key) && isText(one.text)
    && one.way in measure.ways && (one.unit === "in" || one.unit === "mm") && lengthOf(one.text, one.unit) !== null
    && ["time", "notes"].every((name) => isText(one[name]))
    && (one.lifted === null || data.wheels.includes(one.lifted))
    && (one.roll === null || Number.isFinite(one.roll)) && Array.isArray(one.stops) && one.stops.every(isText);
  function checked(read) {
    const made = fresh();
    if (!read || typeof read !== "object") return made;
    for (const name of texts) if (isText(read[name])) made[name] = read[name];
    if (!/^\d{4}-\d\d-\d\d$/.test(made.date)) made.date = today();
    if (!(made.way in measure.ways)) made.way = "mark_height";
    if (!["fraction", "decimal", "mm"].includes(made.unit)) made.unit = fresh().unit;
    if (Array.isArray(read.sides) && read.sides.length && read.sides.every((one) => data.sides.includes(one))) {
      made.sides = [...new Set(read.sides)];
    }
    for (const name of ["climbs", "taken"]) if (Array.isArray(read[name])) made[name] = read[name].filter(isClimb);
    for (const name of ["ends", "stops"]) {
      if (Array.isArray(read[name])) made[name] = read[name].filter((one) => one && ["what", "where", "time"].every((key) => isText(one[key])));
    }
    made.released = read.released === true;
    made.reconnected = read.reconnected === true;
    if (data.tolerances.angle.includes(read.angleTolerance)) made.angleTolerance = read.angleTolerance;
    if (Number.isFinite(read.level)) made.level = read.level;
    return made;
  }

  function read() {
    if (!store) return fresh();
    const text = store.getItem(place);
    if (text === null) return fresh();
    try {
      return checked(JSON.parse(text));
    } catch {
      store.setItem(`${place} not read`, text);
      trouble = "What was kept could not be read; it is put aside in this browser, and the day begins anew.";
      return fresh();
    }
  }

  const self = {
    state: read(),
    get trouble() { return trouble; },
    today,
    clock,
    save() {
      if (!store) return;
      try {
        store.setItem(place, JSON.stringify(self.state));
      } catch {
        trouble = "The phone has no room left: take the run sheet out now.";
      }
    },
    // Another day of the same vehicle: the one before stays in the browser under its date.
    begin() {
      if (store) store.setItem(`${place} ${self.state.date} ${clock()}`, JSON.stringify(self.state));
      const { light, unit, way } = self.state;
      self.state = { ...fresh(), light, unit, way };
      self.save();
    },
    // Steps of the day: both sides connected, the bars let go, both sides released, and connected again.
    steps() {
      const runs = (bars) => self.state.sides.map((side) => `${side}.${bars}`);
      const [first, second] = data.bars;
      if (!second) return ["before", ...runs(first), "result"];
      return ["before", ...runs(first), "release", ...runs(second), "reconnect", "result"];
    },
    climbsOf: (key) => self.state.climbs.filter((one) => one.key === key),
  };
  // Two windows of the same page: the one looked at last has what the other kept.
  window.addEventListener("storage", (event) => {
    if (event.key === place && event.newValue !== null) {
      self.state = read();
      if (self.changed) self.changed();
    }
  });
  return self;
})();

// Metres of a length as it is typed: `22 7/16`, `22.45`, `570`; null where that is no length.
function lengthOf(text, unit) {
  const found = /^(?:(\d{1,5}(?:\.\d*)?|\.\d+)|(?:(\d{1,4})\s+)?(\d{1,3})\/(\d{1,3}))$/.exec(text.trim());
  if (!found) return null;
  const number = found[1] !== undefined ? Number(found[1])
    : Number(found[2] || 0) + Number(found[3]) / Number(found[4]);
  return Number.isFinite(number) ? number * (unit === "in" ? INCH : 1e-3) : null;
}
// The same with its unit behind it: `2850 mm`, `112 1/4 in`.
function lengthWithUnit(text) {
  const found = /^(.*\S)\s+(mm|in)$/.exec(text.trim());
  return found ? lengthOf(found[1], found[2]) : null;
}
const tapeUnit = (unit) => (unit === "mm" ? "mm" : "in");

// Lengths as a tape shows them.
function inches(metres) {
  const parts = Math.round((Math.abs(metres) / INCH) * 16);
  let top = parts % 16;
  let bottom = 16;
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  const whole = Math.floor(parts / 16);
  const sign = metres < 0 && parts ? "−" : "";
  if (!top) return `${sign}${whole} in`;
  return `${sign}${whole ? `${whole} ` : ""}${top}/${bottom} in`;
}
function shownLength(metres, unit) {
  if (!Number.isFinite(metres)) return "–";
  if (unit === "mm") return `${Math.round(metres * 1000)} mm`;
  return unit === "decimal" ? `${(metres / INCH).toFixed(2)} in` : inches(metres);
}
const bothLengths = (metres, unit) =>
  `${shownLength(metres, unit)}, ${shownLength(metres, unit === "mm" ? "fraction" : "mm")}`;
// A value with half its interval, both to the second digit of the latter.
function plusMinus(found, sign = "") {
  const places = found.half > 0 ? Math.max(1 - Math.floor(Math.log10(Number(found.half.toPrecision(2)))), 0) : 0;
  const value = found.value.toFixed(places);
  const number = sign && found.value >= 0 ? `+${value}` : value.replace("-", "−");
  return `${number} ± ${found.half.toFixed(places)}`;
}
