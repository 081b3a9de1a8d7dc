"use strict";
// What is on the screen at each step. Text goes in by textContent only, so that data stays data.
const screens = (() => {
  const byId = (id) => document.getElementById(id);
  const { capital } = asking;
  const wayWords = Object.fromEntries(data.ways.map((way) => [way.key, way.words]));

  // An element: text or elements inside, attributes, and what a tap does.
  function made(name, options = {}, ...inside) {
    const { tap, change, input, ...attributes } = options;
    const element = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) {
      if (value === false || value === null || value === undefined) continue;
      element.setAttribute(key, value === true ? "" : value);
    }
    if (name === "button") element.type = "button";
    if (tap) element.addEventListener("click", tap);
    if (change) element.addEventListener("change", change);
    if (input) element.addEventListener("input", input);
    for (const one of inside.flat()) if (one !== null && one !== "") element.append(one);
    return element;
  }
  const line = (text, kind) => made("p", { class: kind }, text);
  const cautions = (lines, title = "Caution") => made("section", { class: "caution", "aria-label": title },
    made("ul", {}, lines.map((text) => made("li", {}, text))));
  // To a screen reader; and to everybody, over the foot of the page until the screen changes.
  const say = (text) => { byId("said").textContent = text; };
  const tell = (text) => {
    say(text);
    byId("note").textContent = text;
    byId("note").hidden = !text;
  };

  function choice(label, options, chosen, choose) {
    return made("div", { class: "choice", role: "group", "aria-label": label }, line(label, "label"),
      made("div", { class: "chips" }, options.map(([value, text]) => made("button", {
        "aria-pressed": String(value === chosen), tap: () => choose(value),
      }, text))));
  }
  const folded = (title, ...inside) => made("details", {}, made("summary", {}, title), ...inside);

  // What is known, from what was read: computed when it is asked for, and kept until something changes.
  let kept = new Map();
  const remembered = (name, find) => {
    if (!kept.has(name)) kept.set(name, find());
    return kept.get(name);
  };
  const sheet = () => remembered("sheet", () => runSheet.resolved(day.state));
  const results = () => remembered("results", () => (day.state.climbs.length ? measure.score(sheet()) : {}));
  // The sample given all that was read, but for a run itself.
  function known(without) {
    return remembered(`known ${without}`, () => {
      const climbs = day.state.climbs.filter((one) => one.key !== without && outlook.keys.includes(one.key));
      if (!climbs.length) return outlook.learn([], [], sheet().angle);
      const read = runSheet.resolved(day.state, climbs);
      const scores = measure.score(read);
      const readings = [];
      const seen = [];
      for (const key of [...new Set(read.runs.map((run) => run.key))]) {
        const found = scores[`score ${key}`];
        readings.push({ kind: "score", key, value: found.value, u: found.u });
      }
      for (const run of read.runs) {
        const wheel = data.wheels.indexOf(run.lifted);
        if (wheel >= 0 && !seen.some((one) => one.key === run.key && one.wheel === wheel)) seen.push({ key: run.key, wheel });
        if (run.roll !== null) {
          readings.push({ kind: "roll", key: run.key, value: run.roll, u: (data.tolerances.roll * DEGREE) / Math.sqrt(3) });
        }
      }
      return outlook.learn(readings, seen, read.angle);
    });
  }
  const expected = (key) => remembered(`expected ${key}`, () => {
    const state = outlook.keys.includes(key) ? known(key) : null;
    if (!state || !state.trusted) return null;
    const band = outlook.next([[key, 1]], state);
    const filed = state.readings.length ? null : outlook.nominal(key, sheet().angle.value);
    return { ...band, middle: filed === null ? band.median : filed, lifts: outlook.lifts(key, state), learned: state.readings.length > 0 };
  });
  const readingOf = (key, score) => {
    const [side, bars] = key.split(".");
    return measure.reading(sheet(), side, bars, day.state.way, (score * sheet().wheelbase.value) / data.method.scale);
  };
  const runWords = (key) => `${capital(key.split(".")[0])} front wheel up, bars ${key.split(".")[1]}`;
  const shortRun = (key) => `${capital(key.split(".")[0])}, ${key.split(".")[1]}`;
  const stepWords = (step) => ({
    before: "Before", release: "Release the bars", reconnect: "Connect the bars", result: "Result",
  }[step] || shortRun(step));

  // Going on.
  let editing = null; // a length or angle of the vehicle that is being typed: its field
  function changed() {
    kept = new Map();
    day.save();
    show();
  }
  function go(step, part = "ready") {
    day.state.step = step;
    day.state.part = part;
    day.state.draft = "";
    editing = null;
    changed();
    window.scrollTo(0, 0);
  }
  const isRun = (step) => step.includes(".");
  function onward(by) {
    const steps = day.steps();
    const place = Math.max(steps.indexOf(day.state.step), 0);
    const next = steps[Math.min(Math.max(place + by, 0), steps.length - 1)];
    go(next, isRun(next) && day.climbsOf(next).length ? "kept" : "ready");
  }

  // Typing a length or an angle with large keys: a stepper of sixteenths, or a decimal point.
  function split(text) {
    const found = /^(\d*)(?:\s*(\d+)\/(\d+))?$/.exec(text.trim());
    if (!found) return null;
    const parts = found[2] ? Math.round((16 * Number(found[2])) / Number(found[3])) : 0;
    return { whole: found[1], parts };
  }
  function fraction(parts) {
    let [top, bottom] = [parts, 16];
    while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
    return `${top}/${bottom}`;
  }
  const composed = (whole, parts) => `${whole}${parts ? `${whole ? " " : ""}${fraction(parts)}` : ""}`;
  const sixteenths = (words) => words.unit === "fraction";

  // Field: {text, unit: fraction, decimal, mm or deg, label, set(text)}.
  function keypad(field, refresh, done) {
    const input = made("input", {
      id: "entry", type: "text", inputmode: "none", autocomplete: "off", maxlength: 12, "aria-label": field.label,
      value: field.text, input: () => put(input.value, false),
    });
    input.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); done(); } });
    const shown = made("span", { class: "unit", "aria-hidden": "true" }, field.unit === "mm" ? "mm" : field.unit === "deg" ? "°" : "in");
    const part = made("output", { id: "part", "aria-label": "sixteenths" });
    const put = (text, into = true) => {
      field.set(text);
      if (into) input.value = text;
      const found = split(text);
      part.textContent = found && found.parts ? fraction(found.parts) : "0/16";
      refresh();
    };
    const step = (by) => {
      const found = split(input.value);
      if (!found) return;
      const total = Math.max(16 * Number(found.whole || 0) + found.parts + by, 0);
      put(composed(total >= 16 ? String(Math.floor(total / 16)) : "", total % 16));
    };
    const digit = (sign) => {
      if (!sixteenths(field)) { put((input.value + sign).slice(0, 8)); return; }
      const found = split(input.value);
      if (found && found.whole.length < 3) put(composed(found.whole + sign, found.parts));
    };
    const back = () => {
      const found = sixteenths(field) ? split(input.value) : null;
      if (found && found.parts) put(composed(found.whole, 0));
      else put(input.value.slice(0, -1));
    };
    const key = (text, tap, label) => made("button", { class: "key", tap, "aria-label": label || false }, text);
    const signs = ["1", "2", "3", "4", "5", "6", "7", "8", "9"].map((sign) => key(sign, () => digit(sign)));
    const last = sixteenths(field) ? key("C", () => put(""), "Clear")
      : key(".", () => { if (!input.value.includes(".")) put(`${input.value}.`); }, "Decimal point");
    put(field.text);
    return made("div", { class: "entry" },
      made("div", { class: "display" }, input, shown),
      sixteenths(field) ? made("div", { class: "stepper" },
        key("− 1/16", () => step(-1), "One sixteenth less"), part, key("+ 1/16", () => step(1), "One sixteenth more")) : null,
      made("div", { class: "keys" }, signs, last, key("0", () => digit("0")), key("⌫", back, "Take back")));
  }

  // Before.
  function fieldOf(name, label, unit, placeholder) {
    const text = day.state[name];
    return made("button", {
      class: "field",
      tap: () => { editing = { name, label, unit }; show(); },
    }, made("span", { class: "label" }, label), made("b", {}, text || placeholder));
  }
  function typing() {
    const { name, label, unit } = editing;
    const angle = unit === "deg";
    let text = day.state[name].replace(/\s*(mm|in|deg)$/, "");
    const answer = line("", "answer");
    const field = { text: "", unit, label, set: (typed) => { text = typed; } };
    const fits = () => {
      if (text.trim() === "") return true;
      if (angle) return Number(text) >= 5 && Number(text) <= 35;
      const length = lengthOf(text, tapeUnit(unit));
      const [low, high] = name === "wheelbase" ? [1.2, 6.5] : [0.1, 0.8];
      return length !== null && length >= low && length <= high;
    };
    const refresh = () => { answer.textContent = fits() ? "" : "That cannot be: check the number and its unit."; };
    const done = () => {
      if (!fits()) { tell(answer.textContent); return; }
      const typed = text.trim();
      day.state[name] = typed === "" ? "" : angle ? String(Number(typed)) : `${typed} ${tapeUnit(unit)}`;
      editing = null;
      changed();
    };
    return {
      title: label,
      inside: [line(angle ? "By inclinometer, along the line of the wheel. Empty: not measured." : "Empty: not measured.", "hint"),
        keypad({ ...field, text: day.state[name] && !angle && day.state[name].endsWith(tapeUnit(unit)) || angle ? text : "" }, refresh, done),
        answer,
        angle ? choice("Good to", data.tolerances.angle.map((one) => [one, `± ${one}°`]), day.state.angleTolerance, (value) => {
          day.state.angleTolerance = value;
          day.save();
          day.state[name] = fits() && text.trim() ? String(Number(text)) : day.state[name];
          show();
        }) : null],
      back: ["Back", () => { editing = null; show(); }],
      next: ["Take it", done],
    };
  }
  function before() {
    const state = day.state;
    const both = data.sides;
    const sides = [[both.join(), `${capital(both[0])}, then ${both[1]}`], [both[0], `${capital(both[0])} only`], [both[1], `${capital(both[1])} only`]];
    const angle = state.angle ? `${state.angle}° ± ${state.angleTolerance}°` : `${Number((data.angle / DEGREE).toFixed(2))}° as planned`;
    const old = state.climbs.length > 0 && state.date !== day.today();
    return {
      title: "Before the first climb",
      inside: [
        line(data.sheet.vehicle, "vehicle"),
        line(capital(data.held), "hint"),
        old ? made("section", { class: "notice" }, line(`These readings are of ${state.date}.`),
          made("button", { tap: begin }, "Begin a new day")) : null,
        cautions([...data.words.before.slice(0, 1), ...(data.words.film[state.sides[0]] ? [data.words.film[state.sides[0]]] : data.words.before.slice(1, 2)), ...data.words.before.slice(2)]),
        data.words.mind.length ? folded(`Mind, with this vehicle (${data.words.mind.length})`, made("ul", {}, data.words.mind.map((one) => made("li", {}, one)))) : null,
        choice("Sides", sides, state.sides.join(), (value) => { state.sides = value.split(","); changed(); }),
        choice("Tape in", [["fraction", "1/16 in"], ["decimal", "0.00 in"], ["mm", "mm"]], state.unit, (value) => { state.unit = value; changed(); }),
        made("label", { class: "field" }, made("span", { class: "label" }, "Read as"),
          made("select", { id: "way", change: (event) => { state.way = event.target.value; changed(); } },
            data.ways.map((way) => made("option", { value: way.key, selected: way.key === state.way }, way.words)))),
        line(data.ways.find((way) => way.key === state.way).meaning, "hint"),
        fieldOf("wheelbase", "Wheelbase, taped", state.unit, data.sheet.wheelbase),
        made("button", { class: "field", tap: () => { editing = { name: "angle", label: "Ramp angle", unit: "deg" }; show(); } },
          made("span", { class: "label" }, "Ramp angle"), made("b", {}, angle)),
        state.way.startsWith("hub") || state.way.startsWith("plumbed") ? [
          fieldOf("flat", "Hub over the floor, before the climb", state.unit, "from the vehicle file"),
          fieldOf("ramp", "Hub to ramp, square, at the mark", state.unit, "from the vehicle file")] : null,
        choice("Class of the tape", [["", "not known"], ["I", "I"], ["II", "II"], ["III", "III"]], state.tape, (value) => { state.tape = value; changed(); }),
        level(),
        written("title", "Title, where there are two sheets a day", 120),
        written("notes", "Notes: weather, surface, crew, tyres", 1500),
        old || !state.climbs.length ? null : folded("Begin a new day", line("The readings of today stay in this browser, but leave this page. Take the run sheet out first.", "hint"),
          made("button", { tap: begin }, "Begin a new day")),
        folded("All cautions", made("ul", {}, data.words.all.map((one) => made("li", {}, one)))),
      ],
      back: null,
      next: ["Ready", () => onward(1)],
    };
  }
  function begin() {
    day.begin();
    changed();
  }
  function written(name, label, most) {
    const input = made(most > 200 ? "textarea" : "input", { id: name, maxlength: most, rows: most > 200 ? 3 : false, input: () => { day.state[name] = input.value; day.save(); } });
    input.value = day.state[name];
    return made("label", { class: "field" }, made("span", { class: "label" }, label), input);
  }
  function level() {
    if (!tilt.offered) return null;
    const zero = day.state.level;
    const text = tilt.on ? (zero === null ? "Set to zero" : "Set to zero again") : "Use the phone's tilt";
    return folded("Roll by a phone's tilt", line("A phone fixed in the vehicle, long edge forward, that nobody holds at the mark. On the level floor set it to zero; at the mark the driver taps.", "hint"),
      made("button", { tap: async () => {
        const problem = await tilt.start();
        if (problem) { tell(problem); return; }
        if (tilt.reading !== null) { day.state.level = tilt.reading; changed(); tell("Set to zero."); } else window.setTimeout(show, 400);
      } }, text),
      zero === null ? null : line("Zero is set.", "hint"));
  }

  // A run.
  function expectation(key) {
    const found = expected(key);
    if (!found) {
      return line(outlook.keys.includes(key) ? "The readings so far are far from what the file allows: it says no mark for this run."
        : "Most vehicles that the file allows come to no lift here: it says no mark for this run.", "notice");
    }
    const unit = day.state.unit;
    const at = (score) => readingOf(key, score);
    const wheels = found.lifts.map((share, k) => [share, data.wheels[k]]).filter(([share]) => share > 0.02).sort((a, b) => b[0] - a[0]);
    return made("section", { class: "expect", "aria-label": "Expected" },
      line(`${found.learned ? "Expected after what was read" : "Expected"}: ${wayWords[day.state.way]}`, "label"),
      line(shownLength(at(found.middle), unit), "big"),
      line(`90 %: ${shownLength(at(found.low), unit)} to ${shownLength(at(found.high), unit)}`),
      line(`score ${Math.round(found.middle)}, 90 %: ${Math.round(found.low)} to ${Math.round(found.high)}`),
      line(wheels.length ? `Lifts: ${wheels.map(([share, wheel]) => `${wheel} (${Math.min(Math.round(100 * share), 99)} %)`).join(", ")}` : "", "hint"));
  }
  const never = (key) => data.never[key.split(".")[1]];

  function ready(key) {
    if (never(key)) {
      return { title: runWords(key), inside: [made("section", { class: "caution" }, line(`DO NOT run with the bars ${key.split(".")[1]}: ${never(key)}.`))], back: ["Back", () => onward(-1)], next: ["Next", () => onward(1)] };
    }
    const count = day.climbsOf(key).length;
    return {
      title: runWords(key),
      inside: [
        count ? line(`Climb ${count + 1} of this run`, "label") : null,
        expectation(key),
        cautions(data.words.ready),
        line("Creep up straight until a film just pulls out. Stop, hold the brakes.", "do"),
        folded("It came to no lift", made("div", { class: "chips" }, ["wheels spin", "the ramp ends", "stopped for safety", "not driven"].map((what) => made("button", {
          tap: () => { day.state.ends.push({ what, where: shortRun(key), time: day.clock() }); onward(1); },
        }, what)))),
      ],
      back: ["Back", () => (count ? go(key, "kept") : onward(-1))],
      next: ["Stopped", () => go(key, "stand")],
    };
  }
  function stand(key) {
    return {
      title: "Stopped at the mark",
      inside: [line(runWords(key), "label"), cautions(data.words.mark),
        line(`Then read: ${data.ways.find((way) => way.key === day.state.way).meaning.split(":")[0]}.`, "do")],
      back: ["Back", () => go(key, "ready")],
      next: ["Read it", () => go(key, "mark")],
    };
  }
  function mark(key) {
    const state = day.state;
    const unit = state.unit;
    const expect = expected(key);
    const answer = made("section", { class: "answer", "aria-label": "Answer" });
    let judged = null;
    let warned = false; // what was asked about is kept on a second tap only
    const refresh = () => {
      day.save();
      if (warned) {
        warned = false;
        byId("next").textContent = "Keep";
        tell("");
      }
      const length = lengthOf(state.draft, tapeUnit(unit));
      judged = null;
      answer.replaceChildren();
      if (length === null) {
        answer.append(line(expect ? `Expect ${shownLength(readingOf(key, expect.middle), unit)}` : "Type what the tape says", "expecting"));
        return;
      }
      judged = asking.ask(sheet(), key, state.way, state.draft, tapeUnit(unit), expect, day.climbsOf(key));
      const asked = judged.lines.map((one) => line(one, "ask"));
      if (judged.refused) { answer.append(...asked); say(judged.lines.join(" ")); return; }
      const alone = measure.score(runSheet.resolved(state, [climbOf(key)]));
      const score = alone[`score ${key}`];
      answer.append(
        made("p", { class: "score" }, made("b", {}, plusMinus(score)), made("span", {}, " score, 95 %")),
        ...asked,
        expect ? line(against(score.value, expect, key)) : "",
        line(`climb ${bothLengths(alone[`climb ${key}`].value, unit)}`));
      say([`Score ${plusMinus(score)}.`, expect ? against(score.value, expect, key) : "", ...judged.lines].join(" "));
    };
    const keep = () => {
      if (!judged) { tell("Type what the tape says first."); return; }
      if (judged.refused) { tell(judged.lines.join(" ")); return; }
      if (judged.lines.length && !warned) {
        warned = true;
        byId("next").textContent = "Keep it so";
        tell(`${judged.lines.join(" ")} Read it again, or keep it so.`);
        return;
      }
      state.climbs.push(climbOf(key));
      state.taken = [];
      go(key, "kept");
    };
    const field = { text: state.draft, unit, label: `${wayWords[state.way]}, ${tapeUnit(unit) === "mm" ? "millimetres" : "inches"}`, set: (text) => { state.draft = text; } };
    return {
      title: capital(wayWords[state.way]),
      tight: true,
      inside: [line(shortRun(key), "label"), keypad(field, refresh, keep), answer,
        folded("What the ± is", line("Half the interval that holds 95 % of what the score of this climb may be: tape, mark, ramp angle, wheelbase, roll-back, touch load, and how climbs made anew scatter.", "hint"))],
      back: ["Back", () => go(key, "stand")],
      next: ["Keep", keep],
      focus: "entry",
    };
  }
  function climbOf(key) {
    const state = day.state;
    return { key, text: state.draft.trim(), way: state.way, unit: tapeUnit(state.unit), lifted: null, roll: null, stops: [], time: day.clock(), notes: "" };
  }
  function against(score, expect, key) {
    const there = readingOf(key, score) - readingOf(key, expect.middle);
    if (score >= expect.low && score <= expect.high) {
      if (Math.abs(there) < 1e-3) return "At the expected mark.";
      return `${shownLength(Math.abs(there), day.state.unit)} ${there > 0 ? "above" : "below"} the expected mark, within its band.`;
    }
    return `${shownLength(Math.abs(there), day.state.unit)} ${there > 0 ? "above" : "below"} the expected mark, outside its band.`;
  }

  // How far a run is from what the others lead one to expect, in standard deviations; 0 where nothing is known.
  function awayOf(key) {
    const found = results()[`score ${key}`];
    const expect = expected(key);
    return found && expect ? (found.value - expect.mean) / expect.deviation : 0;
  }
  // What to check where a run surprises.
  function surprise(key) {
    const away = awayOf(key);
    if (Math.abs(away) < data.asked.far) return null;
    const [side, bars] = key.split(".");
    const what = bars === "released" && results()[`score ${side}.connected`] ? "gain" : "score";
    const table = data.surprises.find((one) => one.what === what && one.low === away < 0);
    if (!table) return null;
    return made("section", { class: "notice", "aria-label": "Surprise" },
      made("h2", {}, `${shortRun(key)}: ${Math.abs(away).toFixed(1)} sd ${away < 0 ? "below" : "above"} what was expected`),
      line("Likely, as audited beforehand:", "label"),
      made("ul", {}, table.suspects.map(([sentence, share]) => made("li", {}, `${sentence} (${Math.round(100 * share)} %)`)),
        made("li", {}, `Nothing is wrong, it is chance (${Math.round(100 * table.nothing_wrong)} %)`)),
      line("Check first:", "label"),
      made("ol", {}, table.checks.map(([name, instruction, caution]) => made("li", {}, made("b", {}, `${capital(name)}. `), instruction, caution ? made("em", {}, ` ${caution}`) : ""))));
  }

  function keptRun(key) {
    const climbs = day.climbsOf(key);
    const [side] = key.split(".");
    const found = results()[`score ${key}`];
    const asked = asking.askTogether(results());
    const following = day.steps().slice(day.steps().indexOf(key) + 1).find((step) => isRun(step));
    return {
      title: runWords(key),
      inside: [
        climbs.length && found ? made("section", { class: "answer", "aria-label": "Run so far" },
          made("p", { class: "score" }, made("b", {}, plusMinus(found)), made("span", {}, ` score, 95 %, ${climbs.length} climb${climbs.length > 1 ? "s" : ""}`)),
          line(`climb ${bothLengths(results()[`climb ${key}`].value, day.state.unit)}`),
          gainLine(side)) : line("Nothing read yet.", "label"),
        asked.map((one) => line(one, "ask")),
        surprise(key),
        made("button", { class: "wide", tap: () => go(key, "ready") }, climbs.length ? "Another climb of this run" : "Climb"),
        climbs.map((one, k) => climbCard(one, k)),
        day.state.taken.length ? made("button", { class: "wide", tap: () => { day.state.climbs.push(day.state.taken.pop()); changed(); } }, "Bring back what was taken out") : null,
        following && climbs.length && !day.climbsOf(following).length ? folded(`Next run: ${shortRun(following)}`, expectation(following)) : null,
      ],
      back: ["Back", () => onward(-1)],
      next: ["Next", () => onward(1)],
    };
  }
  function gainLine(side) {
    const gain = results()[`gain ${side}`];
    return gain ? line(`gain from releasing ${plusMinus(gain, "+")}`) : null;
  }
  function climbCard(one, k) {
    const [side] = one.key.split(".");
    const across = side === "left" ? "right" : "left";
    const wheels = [`rear ${side}`, `front ${across}`, `rear ${across}`];
    const asked = asking.askWheel(one.key, one.lifted);
    const corners = data.wheels.flatMap((wheel) => [`${wheel} bump`, `${wheel} droop`]);
    const toggle = (stop) => { one.stops = one.stops.includes(stop) ? one.stops.filter((other) => other !== stop) : [...one.stops, stop]; changed(); };
    const note = made("input", { maxlength: 300, "aria-label": `Note on climb ${k + 1}`, input: () => { one.notes = note.value; day.save(); } });
    note.value = one.notes;
    const roll = one.roll === null ? "not taken" : `${(one.roll / DEGREE).toFixed(1)}°`;
    return made("section", { class: "climb", "aria-label": `Climb ${k + 1}` },
      made("h2", {}, `Climb ${k + 1}: ${one.text} ${one.unit}`),
      line(`${wayWords[one.way]}, ${one.time}`, "hint"),
      choice("The wheel whose film came free", wheels.map((wheel) => [wheel, wheel]), one.lifted, (wheel) => {
        one.lifted = one.lifted === wheel ? null : wheel;
        changed();
      }),
      asked ? line(asked, "ask") : null,
      tilt.on && day.state.level !== null ? made("button", { class: "field", tap: () => {
        if (tilt.reading !== null) { one.roll = tilt.reading - day.state.level; changed(); }
      } }, made("span", { class: "label" }, "Roll by the phone's tilt, left side up positive"), made("b", {}, roll)) : null,
      folded(`Stops met${one.stops.length ? `: ${one.stops.length}` : ""}`, made("div", { class: "chips" }, corners.map((stop) => made("button", { "aria-pressed": String(one.stops.includes(stop)), tap: () => toggle(stop) }, stop)))),
      made("label", { class: "field" }, made("span", { class: "label" }, "Note"), note),
      made("button", { class: "quiet", "aria-label": `Take out climb ${k + 1}`, tap: () => {
        day.state.climbs = day.state.climbs.filter((other) => other !== one);
        day.state.taken.push(one);
        changed();
        tell(`Climb ${k + 1} is taken out.`);
      } }, "Take out"));
  }

  // The bars.
  function release() {
    const fromSeat = data.words.release_on === "ramp";
    return {
      title: "Release the bars",
      inside: [
        made("section", { class: "caution" }, line(data.words.unloaded[0], "strong"), line(data.words.releasing)),
        cautions(data.words.release),
        made("button", { class: "wide", "aria-pressed": String(day.state.released), tap: () => { day.state.released = !day.state.released; changed(); } },
          fromSeat ? "Everyone is clear, the bars have let go" : "Level floor, wheels chocked, the links turned freely by hand: released"),
      ],
      back: ["Back", () => onward(-1)],
      next: ["Next", () => (day.state.released ? onward(1) : tell("Not before the bars are free of load and released."))],
      held: !day.state.released,
    };
  }
  function reconnect() {
    return {
      title: "Connect the bars again",
      inside: [
        made("section", { class: "caution" }, line(data.words.reconnect[0], "strong")),
        cautions(data.words.release),
        made("button", { class: "wide", "aria-pressed": String(day.state.reconnected), tap: () => { day.state.reconnected = !day.state.reconnected; changed(); } }, "Connected, links tight"),
      ],
      back: ["Back", () => onward(-1)],
      next: ["Next", () => onward(1)],
    };
  }

  // The result, and the way out.
  function result() {
    const state = day.state;
    const found = results();
    const text = runSheet.text(state);
    const rows = [];
    const row = (name, value, kind) => rows.push(made("tr", {}, made("th", { scope: "row" }, name), made("td", { class: kind || false }, value)));
    for (const bars of data.bars) {
      for (const side of [...data.sides, "both"]) {
        const one = found[`score ${side}.${bars}`];
        if (one) row(side === "both" ? `Both, ${bars}` : `${capital(side)}, ${bars}`, plusMinus(one), "strong");
      }
    }
    for (const side of [...data.sides, "both"]) if (found[`gain ${side}`]) row(`Gain, ${side}`, plusMinus(found[`gain ${side}`], "+"));
    const apart = data.bars.filter((bars) => found[`difference ${bars}`]).map((bars) => {
      const one = found[`difference ${bars}`];
      const sure = Math.abs(one.value) > one.half;
      return line(`Bars ${bars}: left less right ${plusMinus(one, "+")}, ${sure ? "more than the readings leave open" : "no more than the readings leave open"}.`);
    });
    const read = [...new Set(state.climbs.map((one) => one.key))];
    const open = state.sides.flatMap((side) => data.bars.map((bars) => `${side}.${bars}`)).filter((key) => !day.climbsOf(key).length);
    const area = made("textarea", { id: "sheet", readonly: true, rows: 12, spellcheck: "false", "aria-label": "The run sheet" });
    area.value = text;
    const beside = data.sheet.vehicle_file ? `Put it where ${data.sheet.vehicle_file} is its vehicle file, then: articulate score ${runSheet.name(state)}` : `articulate score ${runSheet.name(state)} --vehicle FILE`;
    return {
      title: "Result",
      inside: [
        rows.length ? made("table", {}, made("caption", {}, "Scores, ± holds 95 %"), made("tbody", {}, rows)) : line("Nothing read yet.", "label"),
        apart,
        asking.askTogether(found).map((one) => line(one, "ask")),
        read.length ? surprise(read.reduce((one, other) => (Math.abs(awayOf(other)) > Math.abs(awayOf(one)) ? other : one))) : null,
        made("h2", {}, "Take the run sheet out"),
        state.climbs.length ? [
          made("button", { class: "wide", tap: () => download(text, runSheet.name(state)) }, "Save as a file"),
          navigator.share ? made("button", { class: "wide", tap: () => share(text) }, "Share") : null,
          made("button", { class: "wide", tap: () => copy(area) }, "Copy"),
          made("button", { class: "wide", tap: () => code(text) }, "Show as QR code"),
          area,
          line(beside, "hint")] : line("There is nothing on it yet.", "label"),
        made("h2", {}, "The runs"),
        made("div", { class: "chips" }, day.steps().filter(isRun).map((key) => made("button", { tap: () => go(key, day.climbsOf(key).length ? "kept" : "ready") }, `${shortRun(key)}: ${day.climbsOf(key).length}`))),
        open.filter((key) => !never(key)).slice(0, 4).map((key) => folded(`Not run: ${shortRun(key)}`, expectation(key))),
        cautions(data.words.result),
      ],
      back: ["Back", () => onward(-1)],
      next: ["To the start", () => go("before")],
    };
  }
  function download(text, name) {
    const link = made("a", { href: URL.createObjectURL(new Blob([text], { type: "text/plain" })), download: name });
    link.click();
    window.setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    tell(`Saved as ${name}.`);
  }
  async function share(text) {
    try {
      await navigator.share({ title: runSheet.name(day.state), text });
    } catch {
      tell("Not shared.");
    }
  }
  async function copy(area) {
    try {
      await navigator.clipboard.writeText(area.value);
      tell("Copied.");
    } catch {
      area.focus();
      area.select();
      tell("Selected: copy it with the phone's own menu.");
    }
  }

  // A QR code of the run sheet, in parts that a camera can tell.
  function code(text) {
    const found = runSheet.parts(text);
    let place = 0;
    const dialog = byId("code");
    const render = () => {
      qrcode.stringToBytes = qrcode.stringToBytesFuncs["UTF-8"];
      const qr = qrcode(0, "L");
      qr.addData(found[place]);
      qr.make();
      const count = qr.getModuleCount();
      const edge = 4; // quiet modules around it
      let path = "";
      for (let y = 0; y < count; y += 1) for (let x = 0; x < count; x += 1) if (qr.isDark(y, x)) path += `M${x + edge} ${y + edge}h1v1h-1z`;
      const whole = count + 2 * edge;
      const picture = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      picture.setAttribute("viewBox", `0 0 ${whole} ${whole}`);
      picture.setAttribute("role", "img");
      picture.setAttribute("aria-label", `QR code of the run sheet, part ${place + 1} of ${found.length}`);
      picture.setAttribute("shape-rendering", "crispEdges");
      for (const [shape, attributes] of [["rect", { width: whole, height: whole, fill: "#fff" }], ["path", { d: path, fill: "#000" }]]) {
        const drawn = document.createElementNS("http://www.w3.org/2000/svg", shape);
        for (const [key, value] of Object.entries(attributes)) drawn.setAttribute(key, value);
        picture.append(drawn);
      }
      dialog.replaceChildren(
        made("h1", { id: "code-title" }, found.length > 1 ? `Run sheet, part ${place + 1} of ${found.length}` : "Run sheet"),
        picture,
        line(found.length > 1 ? "Put the parts one after the other into one file." : "Put the text into a file that ends in .toml.", "hint"),
        found.length > 1 ? made("button", { class: "wide", tap: () => { place = (place + 1) % found.length; render(); } }, "Next part") : "",
        made("button", { class: "wide", tap: () => dialog.close() }, "Close"));
    };
    render();
    dialog.showModal();
  }

  // The stop card.
  function stop() {
    const dialog = byId("stop");
    const where = isRun(day.state.step) ? shortRun(day.state.step) : stepWords(day.state.step);
    const note = (what) => made("button", { tap: (event) => {
      day.state.stops.push({ what, where, time: day.clock() });
      day.save();
      event.target.setAttribute("aria-pressed", "true");
      event.target.disabled = true;
      say(`Noted: ${what}.`);
    } }, capital(what));
    dialog.replaceChildren(
      made("h1", { id: "stop-title" }, "STOP"),
      made("p", { class: "strong" }, data.words.signs[0]),
      data.words.stop.map((one) => line(one)).reduce((all, one) => { all.append(one); return all; }, made("div", {})),
      line("What was it? It goes on the sheet."),
      made("div", { class: "chips" }, ["slip", "creak", "third wheel light", "doubt"].map(note)),
      made("button", { class: "wide", tap: () => dialog.close() }, "It stands on four wheels: go on"));
    dialog.showModal();
  }

  function screen() {
    const { step, part } = day.state;
    if (editing) return typing();
    if (step === "release") return release();
    if (step === "reconnect") return reconnect();
    if (step === "result") return result();
    if (!isRun(step) || !day.steps().includes(step)) return before();
    return { stand, mark, kept: keptRun }[part] && !never(step) ? { stand, mark, kept: keptRun }[part](step) : ready(step);
  }

  let last = "";
  function show() {
    const state = day.state;
    const steps = day.steps();
    if (!steps.includes(state.step)) state.step = "before";
    if (state.light === "auto") delete document.documentElement.dataset.light;
    else document.documentElement.dataset.light = state.light;
    const lights = { auto: "light", light: "dark", dark: "auto" };
    const button = byId("light");
    button.textContent = { auto: "☀ Auto", light: "☀ Light", dark: "☾ Dark" }[state.light];
    button.setAttribute("aria-label", `Screen light or dark: ${state.light}`);
    button.onclick = () => { state.light = lights[state.light] || "auto"; day.save(); show(); };
    byId("where").textContent = `${steps.indexOf(state.step) + 1} of ${steps.length} · ${stepWords(state.step)}`;
    const found = screen();
    const here = `${state.step} ${state.part} ${editing ? editing.name : ""}`;
    const moved = here !== last;
    const active = document.activeElement;
    const mine = !moved && active && active.closest("#screen") ? [...byId("screen").querySelectorAll("button, input, select, textarea, summary")].indexOf(active) : -1;
    const opened = moved ? [] : [...byId("screen").querySelectorAll("details")].map((one) => one.open);
    last = here;
    const title = made("h1", { id: "title", tabindex: "-1" }, found.title);
    const main = byId("screen");
    main.className = found.tight ? "tight" : "";
    main.replaceChildren(title, ...(day.trouble ? [made("p", { class: "notice", role: "alert" }, day.trouble)] : []),
      ...found.inside.flat(3).filter((one) => one !== null && one !== ""));
    [...main.querySelectorAll("details")].forEach((one, k) => { one.open = opened[k] === true; });
    byId("foot").replaceChildren(
      made("button", { id: "back", disabled: !found.back, tap: found.back ? found.back[1] : () => {} }, found.back ? found.back[0] : "Back"),
      made("button", { id: "halt", tap: stop }, "STOP"),
      made("button", { id: "next", "aria-disabled": found.held ? "true" : false, tap: found.next[1] }, found.next[0]));
    if (moved) {
      byId("note").hidden = true;
      main.scrollTop = 0;
      byId(found.focus || "title").focus({ preventScroll: true });
    } else if (mine >= 0) {
      const again = byId("screen").querySelectorAll("button, input, select, textarea, summary")[mine];
      if (again) again.focus({ preventScroll: true });
    }
  }
  day.changed = () => { kept = new Map(); show(); };
  return { show, known, expected, results };
})();
