"use strict";
// Places, scores and words are the program's; the page picks, orders, and says with what chance one beats another.
// Text only ever goes in by textContent, so that data stays data.
const data = JSON.parse(document.getElementById("data").textContent);
const at = (id) => document.getElementById(id);
const [RESULT, SCORE, U, HALF, WORDS, MEASURED, RANK, LOW, HIGH, REMARKS, PREDICTED] = Array(11).keys();
const STEP = 100; // rows added at a time
const BESIDE = 2; // neighbours told on either side
const state = { picked: -1, shown: STEP };

const element = (name, text, parent, kind) => {
  const made = document.createElement(name);
  if (text !== null) made.textContent = text;
  if (kind) made.className = kind;
  if (parent) parent.append(made);
  return made;
};
const shape = (name, attributes, parent) => {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  parent.append(made);
  return made;
};

// The complementary error function: its series for small arguments, its continued fraction beyond.
const erfc = (x) => {
  if (x < 0) return 2 - erfc(-x);
  if (x < 2) {
    let term = x;
    let sum = x;
    for (let n = 1; n < 60; n += 1) {
      term *= (-x * x) / n;
      sum += term / (2 * n + 1);
    }
    return 1 - (2 / Math.sqrt(Math.PI)) * sum;
  }
  let tail = 0;
  for (let n = 60; n > 0; n -= 1) tail = n / 2 / (x + tail);
  return Math.exp(-x * x) / Math.sqrt(Math.PI) / (x + tail);
};
const beats = (one, other) => {
  const spread = Math.hypot(one[U], other[U]);
  if (spread === 0) return one[SCORE] === other[SCORE] ? 0.5 : Number(one[SCORE] > other[SCORE]);
  return 0.5 * erfc((other[SCORE] - one[SCORE]) / (spread * Math.SQRT2));
};
const chance = (value) => {
  const told = 100 * value;
  return told > 99 ? "> 99 %" : told < 1 ? "< 1 %" : `${told.toFixed(0)} %`;
};
const ordinal = (place) => {
  const end = [11, 12, 13].includes(place % 100) ? "th" : { 1: "st", 2: "nd", 3: "rd" }[place % 10] || "th";
  return `${place}${end}`;
};
const places = (row) => (row[LOW] === row[HIGH] ? `${row[LOW]}` : `${row[LOW]} to ${row[HIGH]}`);
const nameOf = (result) => (result.title ? `${result.vehicle}, ${result.title}` : result.vehicle);
const terms = () => data.terms.find((one) => one.bars === at("bars").value && one.side === at("side").value);
const wordsOf = data.results.map((one) =>
  [one.date, one.vehicle, one.title, ...one.facts.map((fact) => fact[1])].join(" ").toLowerCase());

const picked = (found) => {
  const words = at("search").value.toLowerCase().split(/\s+/).filter(Boolean);
  return found.rows.filter((row) => {
    const year = data.results[row[RESULT]].date.slice(0, 4);
    return year >= at("from").value && year <= at("to").value
      && words.every((word) => wordsOf[row[RESULT]].includes(word))
      && !(at("comparable").checked && row[REMARKS].length);
  });
};
const ordered = (rows) => {
  const key = (row) => data.results[row[RESULT]];
  if (at("order").value === "date") return [...rows].sort((a, b) => (key(a).date < key(b).date ? 1 : -1));
  if (at("order").value === "vehicle") {
    const name = (row) => nameOf(key(row)).toLowerCase();
    return [...rows].sort((a, b) => name(a).localeCompare(name(b)) || (key(a).date < key(b).date ? -1 : 1));
  }
  return rows;
};

const showOne = (found, rows) => {
  const row = found.rows.find((one) => one[RESULT] === state.picked);
  at("one").hidden = !row;
  if (!row) return;
  const result = data.results[row[RESULT]];
  at("which").textContent = row[RESULT] === found.latest ? `The newest, ${result.date}` : result.date;
  at("name").textContent = nameOf(result);
  at("score").textContent = row[WORDS];
  const among = rows.indexOf(row);
  const shown = among >= 0 && rows.length < found.rows.length ? `; ${ordinal(among + 1)} of the ${rows.length} shown` : "";
  at("place").textContent = `${ordinal(row[RANK])} of ${found.rows.length}, place ${places(row)} in 90 %${shown}`;
  const told = [];
  if (row[MEASURED]) told.push(`measured ${row[MEASURED]}`);
  told.push(...row[REMARKS]);
  if (row[PREDICTED]) told.push(`predicted before ${row[PREDICTED]}`);
  at("same").textContent = told.join("; ");
  const list = at("neighbours");
  list.replaceChildren();
  const beside = among >= 0 ? rows : found.rows;
  const place = beside.indexOf(row);
  for (let k = Math.max(0, place - BESIDE); k <= Math.min(beside.length - 1, place + BESIDE); k += 1) {
    if (k === place) continue;
    const other = data.results[beside[k][RESULT]];
    const item = element("li", null, list);
    element("strong", chance(beats(row, beside[k])), item);
    item.append(` to beat ${nameOf(other)} (${other.date}), ${beside[k][WORDS]}, ${k < place ? "above" : "below"} it`);
  }
  if (beside.length < 2) element("li", "There is no other result.", list);
  const past = at("past");
  past.replaceChildren();
  const history = found.history[result.vehicle];
  if (history) {
    element("h3", history[0], past);
    const items = element("ul", null, past);
    for (const line of history.slice(1)) element("li", line, items);
  }
  at("only").hidden = !history;
  at("newest").hidden = row[RESULT] === found.latest;
  at("facts").replaceChildren();
  for (const [what, words] of result.facts) {
    const pair = element("div", null, at("facts"));
    element("dt", what, pair);
    element("dd", words, pair);
  }
};

const showRows = (found, rows) => {
  const list = at("rows");
  list.replaceChildren();
  const low = Math.min(...rows.map((row) => row[SCORE] - row[HALF]));
  const high = Math.max(...rows.map((row) => row[SCORE] + row[HALF]));
  const x = (value) => (high > low ? 1 + (98 * (value - low)) / (high - low) : 50).toFixed(3);
  at("scale").textContent = rows.length ? `Strips: 95 % intervals, from ${low.toFixed(0)} to ${high.toFixed(0)}.` : "";
  const next = new Map(rows.map((row, k) => [row, rows[k + 1]]));
  const shown = ordered(rows).slice(0, state.shown);
  for (const row of shown) {
    const result = data.results[row[RESULT]];
    const item = element("li", null, list);
    if (row[RESULT] === found.latest) item.classList.add("newest");
    if (row[RESULT] === state.picked) item.classList.add("picked");
    element("span", `${row[RANK]}`, item, "at");
    const who = element("button", nameOf(result), item, "who");
    who.type = "button";
    who.addEventListener("click", () => pick(row[RESULT]));
    element("span", row[WORDS], item, "points");
    element("span", row[RESULT] === found.latest ? `${result.date}, newest` : result.date, item, "day");
    const band = shape("svg", { viewBox: "0 0 100 10", preserveAspectRatio: "none", "aria-hidden": "true" }, item);
    shape("line", { class: "axis", x1: 0, x2: 100, y1: 5, y2: 5 }, band);
    shape("line", { class: "band", x1: x(row[SCORE] - row[HALF]), x2: x(row[SCORE] + row[HALF]), y1: 5, y2: 5 }, band);
    shape("rect", { class: "dot", x: x(row[SCORE]) - 0.3, y: 0, width: 0.6, height: 10 }, band);
    const below = next.get(row);
    element("span", below ? `${chance(beats(row, below))} to beat the next` : "", item, "chance");
    if (row[REMARKS].length) element("span", row[REMARKS].join("; "), item, "against");
  }
  at("more").hidden = rows.length <= shown.length;
  at("more").textContent = `Show ${Math.min(STEP, rows.length - shown.length)} more of ${rows.length}`;
};

const show = () => {
  const found = terms();
  if (!found.rows.some((row) => row[RESULT] === state.picked)) state.picked = found.latest;
  const rows = picked(found);
  const without = found.left_out ? `; ${found.left_out} without a run on these terms` : "";
  at("said").textContent = `${rows.length} of ${found.rows.length} results: ${found.words}${without}.`;
  showOne(found, rows);
  showRows(found, rows);
};
const pick = (result) => {
  state.picked = result;
  show();
  at("name").focus();
  at("one").scrollIntoView({ block: "nearest" });
};

const years = [...new Set(data.results.map((one) => one.date.slice(0, 4)))].sort();
for (const [id, chosen] of [["from", years[0]], ["to", years[years.length - 1]]]) {
  for (const year of years) element("option", year, at(id)).value = year;
  at(id).value = chosen;
}
const open = data.terms[data.open];
at("bars").value = open.bars;
at("side").value = open.side;
at("terms").hidden = false;
at("terms").addEventListener("submit", (event) => event.preventDefault());
at("terms").addEventListener("input", () => {
  state.shown = STEP;
  show();
});
at("more").addEventListener("click", () => {
  const before = at("rows").children.length;
  state.shown += STEP;
  show();
  at("rows").children[before].querySelector("button").focus();
});
at("newest").addEventListener("click", () => pick(terms().latest));
at("only").addEventListener("click", () => {
  at("search").value = data.results[state.picked].vehicle;
  show();
  at("search").focus();
});
show();
