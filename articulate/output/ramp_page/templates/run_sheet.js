"use strict";
// From the day to a run sheet: as the formulas take it, and as the text that every command takes.
const runSheet = (() => {
  const roll = (climbs) => {
    const found = climbs.map((one) => one.roll).filter((one) => one !== null);
    return found.length ? measure.mean(found) : null;
  };

  // Climbs of one side, bar state, way of reading and lifted wheel make one run.
  function groups(climbs) {
    const found = [];
    for (const one of climbs) {
      const same = found.find((run) => run.key === one.key && run.way === one.way && run.lifted === one.lifted);
      if (same) same.climbs.push(one);
      else found.push({ key: one.key, way: one.way, lifted: one.lifted, climbs: [one] });
    }
    return found;
  }

  const wheelbaseText = (state) => (lengthWithUnit(state.wheelbase) === null ? data.sheet.wheelbase : state.wheelbase);

  // Sheet with estimates, for `measure`.
  function resolved(state, climbs = state.climbs) {
    const method = data.method;
    const runs = groups(climbs).map((run) => ({
      key: run.key,
      way: run.way,
      lifted: run.lifted,
      roll: roll(run.climbs),
      readings: run.climbs.map((one) => ({ value: lengthOf(one.text, one.unit), unit: one.unit })),
    }));
    const taped = lengthWithUnit(state.wheelbase);
    const filed = data.wheelbase;
    const half = method.wheelbase_tolerance;
    const wheelbase = taped !== null ? measure.eitherSide(taped, half, true)
      : filed.u > 0 ? filed : measure.eitherSide(filed.value, half, true);
    const angle = Number(state.angle) > 0
      ? measure.eitherSide(Number(state.angle) * DEGREE, state.angleTolerance * DEGREE, false)
      : measure.eitherSide(data.angle, method.ramp_angle_tolerance, true);
    const hub = (name, text) => {
      const value = lengthWithUnit(text);
      return value === null ? null : measure.eitherSide(value, data.tolerances.hub[name] * 1e-3, false);
    };
    const longest = runs.flatMap((run) => run.readings.map((one) => one.value)).reduce((a, b) => Math.max(a, b), 0);
    return {
      wheelbase,
      angle,
      flat: hub("radius_on_flat", state.flat),
      ramp: hub("radius_on_ramp", state.ramp),
      tapeLimit: measure.tapeLimit(state.tape || method.assumed_tape_class, longest || 1),
      touchLoad: method.touch_load,
      rollBack: method.roll_back,
      marking: method.marking,
      repeatability: method.repeatability,
      runs,
    };
  }

  // A text as a TOML string, whose escapes are those of JSON; what is no character is shown as one that is.
  function quoted(text) {
    const whole = [...text].map((one) => (/^[\ud800-\udfff]$/.test(one) ? "\ufffd" : one)).join("");
    return JSON.stringify(whole).replace(/\x7f/g, "\\u007f");
  }

  function notesOf(state) {
    const said = state.notes.trim() ? [state.notes.trim()] : [];
    for (const one of state.ends) said.push(`${one.time} ${one.where}: ${one.what}, no lift.`);
    for (const one of state.stops) said.push(`${one.time} ${one.where}: stopped, ${one.what}.`);
    return said.join(" ").slice(0, 19000);
  }

  // Text of the run sheet.
  function text(state) {
    const lines = [
      `# Page for the ramp, ${data.program}; ${data.file}, sha256 ${data.hash_shown}`,
      `vehicle = ${quoted(data.sheet.vehicle)}`,
    ];
    if (data.sheet.vehicle_file) lines.push(`vehicle_file = ${quoted(data.sheet.vehicle_file)}`);
    if (state.title.trim()) lines.push(`title = ${quoted(state.title.trim())}`);
    lines.push(`date = ${state.date}`);
    const notes = notesOf(state);
    if (notes) lines.push(`notes = ${quoted(notes)}`);
    lines.push(`wheelbase = ${quoted(wheelbaseText(state))}`);
    if (Number(state.angle) > 0) {
      lines.push("", "[ramp]", `angle = "${Number(state.angle)} deg ± ${state.angleTolerance} deg"`);
    } else if (Math.abs(data.angle - data.usual_angle) > 1e-9) {
      lines.push("", "[ramp]  # as planned, not measured", `angle = "${Number((data.angle / DEGREE).toFixed(6))} deg"`);
    }
    if (state.tape) lines.push("", "[tape]", `accuracy_class = "${state.tape}"`);
    const hubs = [["radius_on_flat", state.flat], ["radius_on_ramp", state.ramp]]
      .filter(([, typed]) => lengthWithUnit(typed) !== null);
    if (hubs.length) lines.push("", "[wheel]");
    for (const [name, typed] of hubs) {
      lines.push(`${name} = "${typed} ± ${data.tolerances.hub[name]} mm"`);
    }
    if (data.touch_load_given) lines.push("", "[method]", `touch_load = "${data.method.touch_load.value} N"`);
    for (const run of groups(state.climbs)) {
      const [side, bars] = run.key.split(".");
      lines.push("", "[[run]]", `side = "${side}"`, `bars = "${bars}"`);
      lines.push(`${run.way} = [${run.climbs.map((one) => quoted(`${one.text.trim()} ${one.unit}`)).join(", ")}]`);
      if (run.lifted) lines.push(`lifted = "${run.lifted}"`);
      lines.push(`time = ${run.climbs[0].time}`);
      const rolled = roll(run.climbs);
      if (rolled !== null) {
        lines.push(`roll_angle = "${(rolled / DEGREE).toFixed(1)} deg ± ${data.tolerances.roll} deg"`);
      }
      const said = run.climbs.flatMap((one, k) => {
        const about = [...(one.stops.length ? [`met ${one.stops.join(", ")}`] : []), ...(one.notes.trim() ? [one.notes.trim()] : [])];
        return about.length ? [`climb ${k + 1}: ${about.join("; ")}`] : [];
      });
      if (said.length) lines.push(`notes = ${quoted(said.join(". ").slice(0, 1900))}`);
    }
    return `${lines.join("\n")}\n`;
  }

  // Parts of a text that a QR code of a legible size holds, cut at line ends, so that put together they are the text.
  function parts(whole, room = 640) {
    const size = (one) => new TextEncoder().encode(one).length;
    const found = [""];
    for (const line of whole.match(/[^\n]*\n/g) || []) {
      if (found[found.length - 1] && size(found[found.length - 1] + line) > room) found.push("");
      found[found.length - 1] += line;
    }
    return found;
  }

  function name(state) {
    const plain = data.sheet.vehicle.toLowerCase().replace(/[^a-z0-9]+/g, "_").replace(/^_+|_+$/g, "").slice(0, 40) || "vehicle";
    return `${state.date}_${plain}.toml`;
  }

  return { resolved, text, parts, name, groups };
})();
