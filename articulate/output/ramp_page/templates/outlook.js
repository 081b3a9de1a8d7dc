"use strict";
// What the next run will be: the embedded sample of possible vehicles, weighted by what was read, as `studies.learn`
// does with a larger one. A point's model errors are normal with the readings' residuals.
const outlook = (() => {
  const { common, run } = data.model;
  const points = data.sample.points;

  function unpacked(text, step) {
    const bytes = atob(text);
    const found = new Float64Array(bytes.length / 2);
    for (let k = 0; k < found.length; k += 1) {
      const whole = bytes.charCodeAt(2 * k) | (bytes.charCodeAt(2 * k + 1) << 8);
      found[k] = (whole >= 32768 ? whole - 65536 : whole) * step;
    }
    return found;
  }

  const sample = Object.fromEntries(data.sample.cases.map((one) => [`${one.side}.${one.bars}`, {
    nominal: one.nominal,
    score: one.score.map((text) => unpacked(text, data.sample.step_score)),
    roll: one.roll.map((text) => unpacked(text, data.sample.step_roll)),
    wheel: [...one.wheel].map((sign) => (sign === "-" ? -1 : Number(sign))),
  }]));

  const [lowAngle, highAngle] = data.sample.angles;
  const between = (one, other, angle) => one + ((angle - lowAngle) / (highAngle - lowAngle)) * (other - one);
  // Heights of marks go almost straight with the ramp's angle; scores do not.
  const scoreAt = (low, high, angle) =>
    between(low * Math.sin(lowAngle), high * Math.sin(highAngle), angle) / Math.sin(angle);

  // Angle of each point: what is not known of the ramp's is shared out evenly over the sample.
  function anglesOf(angle) {
    const half = angle.u * Math.sqrt(3);
    return Float64Array.from({ length: points }, (_, k) => angle.mean + half * (2 * (((k + 1) * 0.6180339887498949) % 1) - 1));
  }

  function simulated(kind, key, angles) {
    const [low, high] = sample[key][kind];
    if (kind === "score") return low.map((one, k) => scoreAt(one, high[k], angles[k]));
    return low.map((one, k) => between(one, high[k], angles[k]));
  }

  // Lower Cholesky factor of a small matrix, and what solves with it.
  function factor(matrix) {
    const n = matrix.length;
    const root = matrix.map(() => new Float64Array(n));
    for (let i = 0; i < n; i += 1) {
      for (let j = 0; j <= i; j += 1) {
        let sum = matrix[i][j];
        for (let k = 0; k < j; k += 1) sum -= root[i][k] * root[j][k];
        root[i][j] = i === j ? Math.sqrt(sum) : sum / root[j][j];
      }
    }
    return root;
  }
  function halfSolved(root, right) {
    const found = [];
    for (let i = 0; i < right.length; i += 1) {
      let sum = right[i];
      for (let k = 0; k < i; k += 1) sum -= root[i][k] * found[k];
      found.push(sum / root[i][i]);
    }
    return found;
  }

  const covariance = (same) => common ** 2 + (same ? run ** 2 : 0);

  // Condition the sample on readings {kind: "score" or "roll", key, value, u} and seen lifts {key, wheel}.
  function learn(readings, seen, angle) {
    const angles = anglesOf(angle);
    const own = readings.map((one) => simulated(one.kind, one.key, angles));
    const roots = [];
    const white = [];
    const logs = new Float64Array(points);
    for (let i = 0; i < points; i += 1) {
      if (readings.length) {
        const scale = readings.map((one, k) => (one.kind === "score" ? Math.abs(own[k][i]) : own[k][i]));
        const matrix = readings.map((one, a) => readings.map((other, b) =>
          scale[a] * scale[b] * covariance(one.key === other.key) + (a === b ? one.u ** 2 : 0)));
        const root = factor(matrix);
        const away = halfSolved(root, readings.map((one, k) => one.value - own[k][i]));
        roots.push(root);
        white.push(away);
        for (let k = 0; k < away.length; k += 1) logs[i] -= 0.5 * away[k] ** 2 + Math.log(root[k][k]);
      }
      for (const one of seen) {
        const same = sample[one.key].wheel[i] === one.wheel;
        logs[i] += Math.log(same ? 1 - data.learn.doubt : data.learn.doubt / 2);
      }
    }
    const highest = logs.reduce((a, b) => Math.max(a, b), -Infinity);
    const weights = logs.map((one) => Math.exp(one - highest));
    const total = weights.reduce((a, b) => a + b, 0);
    for (let i = 0; i < points; i += 1) weights[i] /= total;
    const effective = 1 / weights.reduce((sum, one) => sum + one * one, 0);
    return { readings, own, roots, white, weights, effective, angles, trusted: effective >= data.sample.fewest };
  }

  // Quantiles of a weighted mixture of normals, by halving.
  function mixtureQuantiles(mean, deviation, weights, shares) {
    let bottom = Infinity;
    let top = -Infinity;
    for (let i = 0; i < mean.length; i += 1) {
      bottom = Math.min(bottom, mean[i] - 10 * deviation[i]);
      top = Math.max(top, mean[i] + 10 * deviation[i]);
    }
    return shares.map((share) => {
      let [low, high] = [bottom, top];
      for (let step = 0; step < 26; step += 1) {
        const middle = 0.5 * (low + high);
        let reached = 0;
        for (let i = 0; i < mean.length; i += 1) {
          if (weights[i] > 1e-9) {
            reached += weights[i] * measure.normalDistribution((middle - mean[i]) / Math.max(deviation[i], 1e-9));
          }
        }
        if (reached < share) low = middle; else high = middle;
      }
      return 0.5 * (low + high);
    });
  }

  // What a next test would read: a sum of next scores, parts [key, factor]; {low, median, high, mean, deviation}.
  function next(parts, known) {
    const scores = parts.map(([key, factor]) => simulated("score", key, known.angles).map((one) => factor * one));
    const mean = new Float64Array(points);
    const deviation = new Float64Array(points);
    const reading = parts.reduce((sum, [, factor]) => sum + factor ** 2, 0) * data.learn.next_uncertainty ** 2;
    for (let i = 0; i < points; i += 1) {
      const whole = scores.reduce((sum, one) => sum + one[i], 0);
      const squares = scores.reduce((sum, one) => sum + one[i] ** 2, 0);
      let variance = common ** 2 * whole ** 2 + run ** 2 * squares + reading;
      mean[i] = whole;
      if (known.readings.length) {
        const shared = known.readings.map((one, k) => {
          const scale = one.kind === "score" ? Math.abs(known.own[k][i]) : known.own[k][i];
          return parts.reduce((sum, [key], p) => sum + covariance(key === one.key) * scores[p][i] * scale, 0);
        });
        const half = halfSolved(known.roots[i], shared);
        half.forEach((one, k) => {
          mean[i] += one * known.white[i][k];
          variance -= one * one;
        });
      }
      deviation[i] = Math.sqrt(Math.max(variance, 0));
    }
    const [low, median, high] = mixtureQuantiles(mean, deviation, known.weights, [data.learn.low, 0.5, data.learn.high]);
    let middle = 0;
    for (let i = 0; i < points; i += 1) middle += known.weights[i] * mean[i];
    let variance = 0;
    for (let i = 0; i < points; i += 1) variance += known.weights[i] * ((mean[i] - middle) ** 2 + deviation[i] ** 2);
    return { low, median, high, mean: middle, deviation: Math.sqrt(variance) };
  }

  // Shares of the weighted sample in which each wheel lifts.
  function lifts(key, known) {
    const shares = [0, 0, 0, 0];
    sample[key].wheel.forEach((wheel, i) => {
      if (wheel >= 0) shares[wheel] += known.weights[i];
    });
    return shares;
  }

  // Score of the vehicle as filed; null where it has none.
  function nominal(key, angle) {
    const [low, high] = sample[key].nominal;
    return low === null || high === null ? null : scoreAt(low, high, angle);
  }

  return { learn, next, lifts, nominal, keys: Object.keys(sample) };
})();
