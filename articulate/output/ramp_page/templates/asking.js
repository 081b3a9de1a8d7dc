"use strict";
// What should be asked about a reading, in plain words, as `measure.plausible_readings` does, and against what is
// expected of this vehicle: which slip would make it fit.
const asking = (() => {
  const words = Object.fromEntries(data.ways.map((way) => [way.key, way.words]));
  const sizes = { mm: 1e-3, cm: 1e-2, m: 1, in: INCH };
  const others = ["slope_distance", "mark_height", "hub_height"];
  const plain = (number) => String(Number(number.toPrecision(6)));

  // Another unit, another way of reading, another place of the point that fits; "" if none does.
  function meant(number, unit, way, scoreOf, fits) {
    for (const other of data.asked.units) {
      if (other !== unit && fits(scoreOf(way, number * sizes[other]))) return `perhaps ${plain(number)} ${other}`;
    }
    for (const other of others) {
      if (other !== way && fits(scoreOf(other, number * sizes[unit]))) return `perhaps it is the ${words[other]}`;
    }
    for (const factor of [10, 0.1]) {
      if (fits(scoreOf(way, number * factor * sizes[unit]))) return `perhaps ${plain(number * factor)} ${unit}`;
    }
    return "";
  }

  // What was typed with two neighbouring digits of its whole part exchanged, each way; a bare fraction has no such part.
  function digitsExchanged(text) {
    const [, whole, rest] = /^(\d*)(.*)$/.exec(text.trim());
    if (rest.startsWith("/")) return [];
    return [...whole].slice(1).map((digit, place) => whole.slice(0, place) + digit + whole[place] + whole.slice(place + 2) + rest);
  }

  // The small slips, two at most, that bring an unexpected reading to where it was expected, the nearest first.
  function slip(text, unit, way, scoreOf, expected) {
    const value = lengthOf(text, unit);
    const found = [];
    const add = (text, score) => {
      if (score >= expected.low && score <= expected.high) {
        found.push({ text, away: Math.abs(score - expected.median) });
      }
    };
    const swapped = {
      mark_height: "plumbed_mark_height", plumbed_mark_height: "mark_height",
      slope_distance: "plumbed_mark_distance", plumbed_mark_distance: "slope_distance",
    }[way];
    if (swapped) {
      const word = swapped.startsWith("plumbed") ? "would be a plumbed mark" : "would be a mark squared from the ramp";
      add(word, scoreOf(swapped, value));
    }
    const steps = unit === "in" ? [[INCH, "an inch"]] : [[0.01, "a centimetre"], [0.1, "a decimetre"]];
    for (const [step, word] of steps) {
      add(`${word} too little`, scoreOf(way, value + step));
      add(`${word} too much`, scoreOf(way, value - step));
    }
    for (const typed of digitsExchanged(text)) {
      add(`two digits exchanged, ${typed} ${unit}`, scoreOf(way, lengthOf(typed, unit)));
    }
    found.sort((one, other) => one.away - other.away);
    return found.slice(0, 2).map((one) => one.text).join(", or ");
  }

  // What to ask of a reading: {refused, lines}. `expected` of its case or null; `before` are climbs of the same run.
  function ask(sheet, key, way, text, unit, expected, before) {
    const [side, bars] = key.split(".");
    const value = lengthOf(text, unit);
    const scoreOf = (other, length) =>
      measure.scoreOf(measure.climb(sheet, side, bars, other, length), sheet.wheelbase.value);
    const score = scoreOf(way, value);
    if (Number.isNaN(score)) return { refused: true, score, lines: ["This way of reading needs the radius of the wheel: tape it under Before."] };
    const number = value / sizes[unit];
    const [usualLow, usualHigh] = data.asked.score;
    const usual = (one) => one >= usualLow && one <= usualHigh;
    const better = meant(number, unit, way, scoreOf, usual);
    if (!(score > 0 && score <= data.asked.largest)) {
      return { refused: true, score, lines: [`No vehicle reaches that${better ? `: ${better}?` : ". Check the number and its unit."}`] };
    }
    const lines = [];
    if (!usual(score)) lines.push(`A score of ${Math.round(score)} is unusual${better ? `: ${better}?` : ". Read it again."}`);
    if (before.length && lines.length === 0) {
      const climbs = before.map((one) => measure.climb(sheet, side, bars, one.way, lengthOf(one.text, one.unit)));
      const away = measure.climb(sheet, side, bars, way, value) - measure.median(climbs);
      if (Math.abs(away) > data.method.stray * sheet.repeatability) {
        const near = { low: measure.scoreOf(measure.median(climbs) - data.method.stray * sheet.repeatability, sheet.wheelbase.value),
          high: measure.scoreOf(measure.median(climbs) + data.method.stray * sheet.repeatability, sheet.wheelbase.value),
          median: measure.scoreOf(measure.median(climbs), sheet.wheelbase.value) };
        const why = slip(text, unit, way, scoreOf, near);
        const far = `${shownLength(Math.abs(away), unit === "in" ? "fraction" : "mm")} of climb ${away > 0 ? "beyond" : "short of"} the others`;
        lines.push(why ? `${capital(why)}? It is ${far}.` : `${capital(far)}: read it again.`);
      }
    }
    if (expected && lines.length === 0 && (score < expected.low || score > expected.high)) {
      const why = slip(text, unit, way, scoreOf, expected);
      const where = score < expected.low ? "below" : "above";
      lines.push(why ? `${capital(why)}? It is ${where} what is expected.`
        : `${capital(where)} what is expected: read it again.`);
    }
    return { refused: false, score, lines };
  }

  const capital = (text) => text[0].toUpperCase() + text.slice(1);

  // What to ask of runs against each other, and of the wheel that lifted.
  function askTogether(results) {
    const lines = [];
    const [least, most] = data.asked.gain;
    const value = (key) => (results[`climb ${key}`] ? results[`climb ${key}`].value : NaN);
    for (const side of data.sides) {
      const ratio = value(`${side}.released`) / value(`${side}.connected`);
      if (ratio < least || ratio > most) lines.push(`${capital(side)}: released over connected is ${ratio.toFixed(2)}${ratio < 1 ? ": exchanged?" : "."}`);
    }
    for (const bars of data.bars) {
      const ratio = value(`right.${bars}`) / value(`left.${bars}`);
      if (Math.abs(ratio - 1) > data.asked.sides_apart) lines.push(`Bars ${bars}: right over left is ${ratio.toFixed(2)}, unusual.`);
    }
    return lines;
  }
  function askWheel(key, lifted) {
    const side = key.split(".")[0];
    const across = side === "left" ? "right" : "left";
    return lifted === `rear ${across}` ? `With the ${side} front wheel up the rear ${across} wheel hardly lifts first: is the side right?` : "";
  }

  return { ask, askTogether, askWheel, capital };
})();
