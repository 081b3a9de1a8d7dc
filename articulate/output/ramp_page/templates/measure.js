"use strict";
// The formulas of the program's `measure`, name by name; tests hold the two together. SI and radians throughout.
const data = JSON.parse(document.getElementById("data").textContent);

const INCH = 0.0254; // [m], exact
const DEGREE = Math.PI / 180;

const measure = (() => {
  const method = data.method;

  // Readings: climb s of a reading, and the reading of a climb, with ramp angle g, radius on the flat and on the ramp.
  const ways = {
    mark_height: { climb: (h, g) => h / Math.sin(g), reading: (s, g) => s * Math.sin(g) },
    slope_distance: { climb: (d) => d, reading: (s) => s },
    hub_height: {
      climb: (z, g, flat, ramp) => (z - ramp * Math.cos(g)) / Math.sin(g),
      reading: (s, g, flat, ramp) => s * Math.sin(g) + ramp * Math.cos(g),
    },
    hub_rise: {
      climb: (rise, g, flat, ramp) => (rise + flat - ramp * Math.cos(g)) / Math.sin(g),
      reading: (s, g, flat, ramp) => s * Math.sin(g) + ramp * Math.cos(g) - flat,
    },
    plumbed_mark_height: {
      climb: (h, g, flat, ramp) => h / Math.sin(g) + ramp * Math.tan(g),
      reading: (s, g, flat, ramp) => (s - ramp * Math.tan(g)) * Math.sin(g),
    },
    plumbed_mark_distance: {
      climb: (d, g, flat, ramp) => d + ramp * Math.tan(g),
      reading: (s, g, flat, ramp) => s - ramp * Math.tan(g),
    },
  };
  const onHub = (way) => way === "hub_height" || way === "hub_rise";
  const needsFlat = (way) => way === "hub_rise";
  const needsRamp = (way) => way !== "mark_height" && way !== "slope_distance";
  const scoreOf = (climb, wheelbase) => (method.scale * climb) / wheelbase;

  const within = (limit, assumed) => ({ value: 0, mean: 0, u: limit / Math.sqrt(3), shape: "rectangular", assumed });
  const eitherSide = (value, half, assumed) => ({
    value, mean: value, u: half / Math.sqrt(3), shape: half ? "rectangular" : "normal", assumed,
  });

  function tapeLimit(name, length) {
    const [fixed, perMetre] = method.tape_classes[name];
    return fixed + perMetre * Math.max(Math.ceil(length - 1e-9), 1);
  }

  // What a model of the vehicle says of a case, between the two ramp angles of the sample.
  function hintsOf(side, bars, angle) {
    const found = data.sample.cases.find((one) => one.side === side && one.bars === bars);
    if (!found || !found.hints[0] || !found.hints[1]) return null;
    const [low, high] = data.sample.angles;
    const share = (angle - low) / (high - low);
    const between = (name) => {
      const [one, other] = found.hints.map((hint) => hint[name]);
      const mix = (key) => one[key] + share * (other[key] - one[key]);
      return { ...one, value: mix("value"), mean: mix("mean"), u: mix("u") };
    };
    return Object.fromEntries(["climb_per_touch_load", "radius_on_flat", "radius_loss"].map((name) => [name, between(name)]));
  }

  const mean = (values) => values.reduce((sum, one) => sum + one, 0) / values.length;
  const median = (values) => {
    const ranked = [...values].sort((a, b) => a - b);
    const middle = ranked.length >> 1;
    return ranked.length % 2 ? ranked[middle] : 0.5 * (ranked[middle - 1] + ranked[middle]);
  };

  // Standard deviation of one climb made anew: the repeats pooled with what was to be expected.
  function climbScatter(sheet, climbs) {
    const prior = sheet.repeatability;
    const worth = method.repeatability_worth;
    let squares = 0;
    let dof = 0;
    for (const one of climbs) {
      const middle = mean(one);
      squares += one.reduce((sum, x) => sum + (x - middle) ** 2, 0);
      dof += one.length - 1;
    }
    if (!dof) return { deviation: prior, dof: worth, shown: null };
    return {
      deviation: Math.sqrt((worth * prior ** 2 + squares) / (worth + dof)),
      dof: worth + dof,
      shown: Math.sqrt(squares / dof),
    };
  }

  function readingError(sheet, run) {
    const twice = run.way === "hub_rise";
    const division = method.finest[run.readings[0].unit];
    return { u: division / Math.sqrt(twice ? 6 : 12), shape: twice ? "triangular" : "rectangular" };
  }

  // The measurand of a sheet: its inputs, and every climb, score, gain and difference as a function of them.
  function measurand(sheet) {
    const inputs = [];
    const once = (name, estimate) => {
      if (!inputs.some((one) => one.name === name)) {
        inputs.push({ name, estimate: estimate.mean, u: estimate.u, dof: Infinity, shape: estimate.shape });
      }
      return name;
    };
    const names = ["left", "right"].flatMap((side) => ["connected", "released"].map((bars) => `${side}.${bars}`));
    const keys = names.filter((key) => sheet.runs.some((run) => run.key === key));
    const hints = Object.fromEntries(keys.map((key) => [key, hintsOf(...key.split("."), sheet.angle.value)]));
    once("angle", sheet.angle);
    once("wheelbase", sheet.wheelbase);
    once("tape", within(sheet.tapeLimit));
    once("touch load", sheet.touchLoad);
    const flat = {};
    const ramp = {};
    for (const key of keys) {
      once(`per load ${key}`, hints[key] ? hints[key].climb_per_touch_load : method.climb_per_touch_load);
      const ways = sheet.runs.filter((run) => run.key === key).map((run) => run.way);
      const onFlat = () => {
        if (sheet.flat) return once("flat", sheet.flat);
        if (hints[key]) return once(`flat ${key.split(".")[0]}`, hints[key].radius_on_flat);
        throw new Error("radius");
      };
      if (ways.some(needsFlat)) flat[key] = onFlat();
      if (!ways.some(needsRamp)) continue;
      if (sheet.ramp) {
        const name = once("ramp", sheet.ramp);
        ramp[key] = (x) => x[name];
        continue;
      }
      const name = onFlat();
      if (!hints[key]) {
        once("loss", method.radius_loss);
        ramp[key] = (x) => x[name] - x.loss;
      } else {
        // The model errs alike in every case, mostly by the tyre's stiffness.
        const loss = hints[key].radius_loss;
        once("error of loss", { ...loss, mean: 0 });
        ramp[key] = (x) => x[name] - loss.value - x["error of loss"];
      }
    }
    const climbOf = (run, reading, x) =>
      ways[run.way].climb(
        reading, x.angle, flat[run.key] ? x[flat[run.key]] : 0, ramp[run.key] ? ramp[run.key](x) : 0);
    const at = () => Object.fromEntries(inputs.map((one) => [one.name, one.estimate]));
    const scatter = climbScatter(sheet, keys.map((key) => sheet.runs.filter((run) => run.key === key)
      .flatMap((run) => run.readings.map((one) => climbOf(run, one.value, at())))));
    const touch = sheet.touchLoad.mean;
    const climbs = sheet.runs.map((run, k) => {
      const error = readingError(sheet, run);
      const value = mean(run.readings.map((one) => one.value));
      inputs.push({ name: `reading ${k}`, estimate: value, u: error.u, dof: Infinity, shape: error.shape });
      once(`marking ${k}`, within(sheet.marking));
      once(`roll-back ${k}`, sheet.rollBack);
      inputs.push({
        name: `repeats ${k}`, estimate: 0, u: scatter.deviation / Math.sqrt(run.readings.length),
        dof: scatter.dof, shape: "normal", together: true,
      });
      return (x) => {
        const hub = onHub(run.way);
        const read = x[`reading ${k}`] + x.tape + (hub ? x[`marking ${k}`] : 0);
        return climbOf(run, read, x) + (hub ? 0 : x[`marking ${k}`]) + x[`repeats ${k}`] + x[`roll-back ${k}`]
          + x[`per load ${run.key}`] * (touch - x["touch load"]);
      };
    });
    // Weights of the runs in a case's mean: each climb counts the same, then each side does.
    const weights = (sides, bars) => {
      const found = sheet.runs.map(() => 0);
      for (const side of sides) {
        const chosen = sheet.runs.map((run, k) => [run, k]).filter(([run]) => run.key === `${side}.${bars}`);
        const total = chosen.reduce((sum, [run]) => sum + run.readings.length, 0);
        for (const [run, k] of chosen) found[k] = run.readings.length / (total * sides.length);
      }
      return found;
    };
    const has = (side, bars) => keys.includes(`${side}.${bars}`);
    const cases = keys.map((key) => ({ key, weights: weights([key.split(".")[0]], key.split(".")[1]) }));
    for (const bars of ["connected", "released"]) {
      if (has("left", bars) && has("right", bars)) {
        cases.push({ key: `both.${bars}`, weights: weights(["left", "right"], bars) });
      }
    }
    const of = (key) => cases.find((one) => one.key === key);
    const outputs = [];
    const sum = (made, w) => made.reduce((total, one, k) => total + w[k] * one, 0);
    for (const one of cases) {
      outputs.push({ name: `climb ${one.key}`, at: (made) => sum(made, one.weights) });
      outputs.push({ name: `score ${one.key}`, at: (made, x) => scoreOf(sum(made, one.weights), x.wheelbase) });
    }
    const less = (name, one, other) => {
      const w = one.weights.map((value, k) => value - other.weights[k]);
      outputs.push({ name, at: (made, x) => scoreOf(sum(made, w), x.wheelbase) });
    };
    for (const side of ["left", "right", "both"]) {
      if (of(`${side}.connected`) && of(`${side}.released`)) {
        less(`gain ${side}`, of(`${side}.released`), of(`${side}.connected`));
      }
    }
    for (const bars of ["connected", "released"]) {
      if (of(`both.${bars}`)) less(`difference ${bars}`, of(`left.${bars}`), of(`right.${bars}`));
    }
    const evaluate = (x) => {
      const made = climbs.map((climb) => climb(x));
      return outputs.map((one) => one.at(made, x));
    };
    return { inputs, names: outputs.map((one) => one.name), evaluate, scatter };
  }

  // Student's t.
  function logGamma(x) { // Lanczos, right to 1e-14
    const c = [0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
      12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7];
    let sum = c[0];
    for (let k = 1; k < 9; k += 1) sum += c[k] / (x + k - 1);
    const t = x + 6.5;
    return 0.5 * Math.log(2 * Math.PI) + (x - 0.5) * Math.log(t) - t + Math.log(sum);
  }
  function tDistribution(t, dof) {
    const panels = 2000;
    const angle = Math.atan(t / Math.sqrt(dof));
    const step = angle / panels;
    let sum = 0;
    for (let k = 0; k <= panels; k += 1) {
      sum += (k === 0 || k === panels ? 1 : k % 2 ? 4 : 2) * Math.cos(k * step) ** (dof - 1);
    }
    const scale = Math.exp(logGamma(0.5 * (dof + 1)) - logGamma(0.5 * dof)) / Math.sqrt(Math.PI);
    return 0.5 + (scale * step * sum) / 3;
  }
  function normalQuantile(share) { // of the upper half, by halving
    let low = 0;
    let high = 40;
    for (let k = 0; k < 60; k += 1) {
      const middle = 0.5 * (low + high);
      if (normalDistribution(middle) < share) low = middle; else high = middle;
    }
    return 0.5 * (low + high);
  }
  function tQuantile(share, dof) {
    const normal = normalQuantile(share);
    if (dof > 1e6) return normal;
    const logScale = logGamma(0.5 * (dof + 1)) - logGamma(0.5 * dof) - 0.5 * Math.log(dof * Math.PI);
    let t = normal;
    for (let k = 0; k < 60; k += 1) {
      const density = Math.exp(logScale - 0.5 * (dof + 1) * Math.log1p((t * t) / dof));
      const change = (share - tDistribution(t, dof)) / density;
      t += change;
      if (Math.abs(change) < 1e-10 * (1 + t)) break;
    }
    return t;
  }
  function normalDistribution(z) { // the error function by its series near the middle, by its continued fraction beyond
    const x = Math.abs(z) / Math.SQRT2;
    let upper;
    if (x < 2.5) {
      let term = x;
      let sum = x;
      for (let n = 1; n < 80; n += 1) {
        term *= (-x * x) / n;
        const part = term / (2 * n + 1);
        sum += part;
        if (Math.abs(part) < 1e-17) break;
      }
      upper = 0.5 - sum / Math.sqrt(Math.PI);
    } else {
      let fraction = 0;
      for (let n = 60; n > 0; n -= 1) fraction = (n / 2) / (x + fraction);
      upper = (0.5 * Math.exp(-x * x)) / (Math.sqrt(Math.PI) * (x + fraction));
    }
    return z > 0 ? 1 - upper : upper;
  }

  function numericalTolerance(u) {
    if (u <= 0) return 0;
    let exponent = Math.floor(Math.log10(u));
    if (Math.round(u / 10 ** (exponent - 1)) >= 100) exponent += 1;
    return 0.5 * 10 ** (exponent - 1);
  }

  // Half the probabilistically symmetric interval of a sum of independent errors: what the program's Monte Carlo check
  // draws is convolved here, number for number the same but for its noise. Boxes for rectangles (two for a triangle),
  // a normal distribution, and Student's t for the repeats; all symmetric.
  function halfInterval(parts, u, coverage) {
    const step = u / 48;
    const count = 48 * 16;
    let mass = new Float64Array(2 * count + 1);
    const normal = Math.sqrt(parts.normal);
    const shaped = [];
    if (parts.repeats > 0) {
      const dof = parts.dof;
      shaped.push((x) => (1 + (x / parts.repeats) ** 2 / dof) ** (-0.5 * (dof + 1)));
    }
    if (normal > 0) shaped.push((x) => Math.exp(-0.5 * (x / normal) ** 2));
    mass[count] = 1;
    for (const [place, shape] of shaped.entries()) {
      const density = mass.map((_, k) => shape((k - count) * step));
      const total = density.reduce((sum, one) => sum + one, 0);
      const next = new Float64Array(mass.length);
      for (let i = 0; i < mass.length; i += 1) {
        if (!mass[i]) continue;
        const reach = place ? Math.min(2 * count, Math.ceil((8 * normal) / step)) : 2 * count;
        for (let k = Math.max(0, i - reach); k <= Math.min(2 * count, i + reach); k += 1) {
          const d = k - i + count;
          if (d >= 0 && d <= 2 * count) next[k] += (mass[i] * density[d]) / total;
        }
      }
      mass = next;
    }
    // F at the edges of the cells, the mass of a cell spread evenly over it.
    const edges = mass.length + 1;
    let distribution = new Float64Array(edges);
    for (let k = 1; k < edges; k += 1) distribution[k] = distribution[k - 1] + mass[k - 1];
    const first = -(count + 0.5) * step;
    for (const half of parts.boxes) {
      if (half < 1e-4 * u) continue;
      const area = new Float64Array(edges);
      for (let k = 1; k < edges; k += 1) area[k] = area[k - 1] + 0.5 * step * (distribution[k] + distribution[k - 1]);
      const under = (x) => {
        if (x <= first) return 0;
        const place = Math.min(Math.floor((x - first) / step), edges - 1);
        const beyond = x - first - place * step;
        if (place === edges - 1) return area[place] + beyond * distribution[place];
        return area[place] + beyond * distribution[place]
          + (0.5 * beyond * beyond * (distribution[place + 1] - distribution[place])) / step;
      };
      distribution = distribution.map((_, k) => {
        const x = first + k * step;
        return (under(x + half) - under(x - half)) / (2 * half);
      });
    }
    const wanted = 0.5 * (1 + coverage) * distribution[edges - 1];
    let k = 1;
    while (k < edges - 1 && distribution[k] < wanted) k += 1;
    const rise = distribution[k] - distribution[k - 1];
    return first + (k - 1 + (rise > 0 ? (wanted - distribution[k - 1]) / rise : 0)) * step;
  }

  // Law of propagation with its check: {value, u, half} of every output.
  function propagate(model) {
    const { inputs, names, evaluate } = model;
    const centre = Object.fromEntries(inputs.map((one) => [one.name, one.estimate]));
    const value = evaluate(centre);
    const sensitivity = inputs.map((one) => {
      if (!(one.u > 0)) return value.map(() => 0);
      const step = 0.1 * one.u;
      const [a, b, c, d] = [1, -1, 2, -2].map((k) => evaluate({ ...centre, [one.name]: one.estimate + k * step }));
      return value.map((_, j) => (8 * (a[j] - b[j]) - (c[j] - d[j])) / (12 * step));
    });
    return Object.fromEntries(names.map((name, j) => {
      const contributions = inputs.map((one, i) => sensitivity[i][j] * one.u);
      const variance = contributions.reduce((sum, one) => sum + one * one, 0);
      const u = Math.sqrt(variance);
      if (!u) return [name, { value: value[j], u: 0, half: 0 }];
      const parts = { boxes: [], normal: 0, repeats: 0, dof: Infinity };
      let repeats = 0;
      inputs.forEach((one, i) => {
        const part = Math.abs(contributions[i]);
        if (one.together) {
          repeats += part * part;
          parts.dof = Math.min(parts.dof, one.dof);
        } else if (one.shape === "rectangular") parts.boxes.push(part * Math.sqrt(3));
        else if (one.shape === "triangular") parts.boxes.push(part * Math.sqrt(1.5), part * Math.sqrt(1.5));
        else parts.normal += part * part;
      });
      parts.repeats = Math.sqrt(repeats);
      const dof = repeats > 0 ? Math.max((variance * variance) / ((repeats * repeats) / parts.dof), 1) : Infinity;
      const plain = tQuantile(0.5 * (1 + method.coverage), dof) * u;
      const checked = halfInterval(parts, u, method.coverage);
      const half = Math.abs(plain - checked) <= numericalTolerance(u) ? plain : checked;
      return [name, { value: value[j], u, half }];
    }));
  }

  // Score a resolved sheet: {"score left.connected": {value, u, half}, ...}.
  function score(sheet) {
    const model = measurand(sheet);
    return { ...propagate(model), scatter: model.scatter };
  }

  // A climb with what the sheet knows, and the reading of a climb; NaN where a radius is missing.
  function radii(sheet, side, bars) {
    const hint = hintsOf(side, bars, sheet.angle.value);
    const flat = sheet.flat ? sheet.flat.value : hint ? hint.radius_on_flat.value : NaN;
    const loss = hint ? hint.radius_loss.value : method.radius_loss.value;
    return [flat, sheet.ramp ? sheet.ramp.value : flat - loss];
  }
  function climb(sheet, side, bars, way, reading) {
    return ways[way].climb(reading, sheet.angle.value, ...radii(sheet, side, bars));
  }
  function reading(sheet, side, bars, way, climbed) {
    return ways[way].reading(climbed, sheet.angle.value, ...radii(sheet, side, bars));
  }

  return {
    ways, climb, reading, score, scoreOf, tapeLimit, eitherSide, within, mean, median, normalDistribution, tQuantile,
    hintsOf,
  };
})();
