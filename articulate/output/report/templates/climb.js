// The climb as a moving picture: a slider goes up the ramp, the vehicle, its loads and the events follow.
for (const root of document.querySelectorAll(".climb")) {
  const data = page.data(root, "climb");
  const slider = root.querySelector("input[type=range]");
  const said = root.querySelector("output");
  const side = root.querySelector("svg.side");
  const behind = root.querySelector("svg.behind");
  const table = root.querySelector("tbody");
  const list = root.querySelector(".events");
  const slope = Math.tan(data.angle);
  const first = data.units.slice(0, 1);
  let run = data.runs[0];

  const view = (svg, [left, bottom, width, height]) => {
    svg.setAttribute("viewBox", `${left} ${-(bottom + height)} ${width} ${height}`);
    svg.style.setProperty("--pen", `${Math.max(width, height) / 330}px`);
  };
  view(side, data.side);
  view(behind, data.behind);
  const line = (numbers) => {
    const points = [];
    for (let i = 0; i < numbers.length; i += 2) points.push(`${numbers[i]},${-numbers[i + 1]}`);
    return points.join(" ");
  };
  // Seen from the ramp's side, so a ramp on the left climbs to the left. Ramp and floor hide what a tyre gives way by.
  const end = data.ramp_end * 1000 * Math.cos(data.angle);
  const lane = data.ramp_wheel;
  const way = lane === 0 ? -1 : 1;
  const sideways = (numbers) => line(numbers.map((v, i) => (i % 2 ? v : way * v)));
  const wheels = [];
  const wheel = (w, kind) => {
    wheels[w] = { ring: page.shape("circle", { class: `wheel ${kind}`, r: data.radius[w] }, side) };
  };
  const floor = (svg, [left, , width, height]) => {
    page.shape("rect", { class: "below", x: left, width, y: 0, height }, svg);
    page.shape("line", { class: "floor", x1: left, x2: left + width, y1: 0, y2: 0 }, svg);
  };
  wheel(lane, "lane");
  wheel(lane + 2, "lane");
  // Points of the body in millimetres behind the front axle, left and up; a pose is their origin and unit vectors.
  const placed = (pose, points) => {
    const found = [];
    for (let i = 0; i < points.length; i += 3) {
      found.push([0, 1, 2].map((k) => pose[k] + points[i] * pose[3 + k] + points[i + 1] * pose[6 + k] + points[i + 2] * pose[9 + k]));
    }
    return found;
  };
  const body = [...data.outline.flank.map((points) => ({ points, shape: page.shape("polygon", { class: "body" }, side) })),
    ...data.outline.glass.map((points) => ({ points, shape: page.shape("polygon", { class: "glass" }, side) }))];
  page.shape("polygon", { class: "ramp", points: sideways([0, 0, end, end * slope, end, 0]) }, side);
  wheel(1 - lane, "off");
  wheel(3 - lane, "off");
  floor(side, data.side);
  for (const w of [0, 1, 2, 3]) wheels[w].arrow = page.shape("line", { class: `load wheel${w}` }, side);
  const square = page.shape("line", { class: "square" }, side);
  const mark = page.shape("circle", { class: "mark", r: data.side[2] / 130 }, side);
  const points = data.points.map((name) => {
    const dot = page.shape("circle", { class: "point", r: data.side[2] / 260 }, side);
    page.shape("title", {}, dot).textContent = name;
    return dot;
  });
  // Seen from behind: left is to the left. The front axle stands behind the rear one.
  const across = ["front", "rear"].map((axle) => ({
    cut: page.shape("rect", { class: `ramp ${axle}`, width: 2 * data.ramp_half_width }, behind),
    body: page.shape("polygon", { class: `body ${axle}` }, behind),
    beams: [0, 1].map(() => page.shape("line", { class: `beam ${axle}` }, behind)),
    tyres: [0, 1].map(() => page.shape("polygon", { class: `tyre ${axle}` }, behind)),
  }));
  floor(behind, data.behind);

  const rows = data.wheels.map((name, w) => {
    const row = page.element("tr", null, table);
    const head = page.element("th", name, row);
    head.scope = "row";
    const cell = page.element("td", null, row, "gauge");
    const bar = page.element("span", null, cell, `bar wheel${w}`);
    return { row, bar, load: page.element("td", "", row, "number"), travel: page.element("td", "", row, "number"),
      state: page.element("td", "", row) };
  });
  const body_row = page.element("tr", null, table);
  page.element("th", "body", body_row).scope = "row";
  const posture = page.element("td", "", body_row);
  posture.colSpan = 4;

  const mix = (values, low, share) => {
    const a = values[low];
    const b = values[Math.min(low + 1, values.length - 1)];
    return Array.isArray(a) ? a.map((v, i) => v + share * (b[i] - v)) : a + share * (b - a);
  };
  const show = () => {
    const last = run.climb.length - 1;
    // The slider goes in whole millimetres; its ends are the ends of the climb.
    const climb = slider.value === slider.max ? run.climb[last]
      : slider.value === slider.min ? run.climb[0] : Number(slider.value) / 1000;
    const place = Math.max(0, Math.min(last, ((climb - run.climb[0]) / (run.climb[last] - run.climb[0])) * last || 0));
    const low = Math.min(Math.floor(place), last);
    const share = place - low;
    const near = Math.round(place);
    const hub = mix(run.hub, low, share);
    const load = mix(run.load, low, share);
    const travel = mix(run.travel, low, share);
    const lean = mix(run.lean, low, share);
    const inner = mix(run.inner, low, share);
    const pose = mix(run.pose, low, share);
    for (const { points, shape } of body) {
      shape.setAttribute("points", sideways(placed(pose, points).flatMap(([x, , z]) => [x, z])));
    }
    const at_end = low === last || (low === last - 1 && share > 0.999);
    const longest = data.side[3] * 0.3;
    for (const w of [0, 1, 2, 3]) {
      const [, y, z] = hub.slice(3 * w, 3 * w + 3);
      const x = way * hub[3 * w];
      const { ring, arrow } = wheels[w];
      ring.setAttribute("cx", x);
      ring.setAttribute("cy", -z);
      ring.classList.toggle("lifted", at_end && w === run.lifts);
      const foot = -(z - data.radius[w]);
      const long = (load[w] / data.most_load) * longest;
      for (const [key, value] of Object.entries({ x1: x, x2: x, y1: foot, y2: foot - long })) arrow.setAttribute(key, value);
      const axle = across[w < 2 ? 0 : 1];
      const turn = lean[w];
      const [r, s] = [data.radius[w], data.section[w]];
      const corner = (up, out) => [-(y - up * Math.sin(turn) * r + out * Math.cos(turn) * s),
        z + up * Math.cos(turn) * r + out * Math.sin(turn) * s];
      axle.tyres[w % 2].setAttribute("points", line([...corner(1, 1), ...corner(1, -1), ...corner(-1, -1), ...corner(-1, 1)]));
      const beam = axle.beams[w % 2];
      beam.setAttribute("x1", -y);
      beam.setAttribute("y1", -z);
      beam.setAttribute("x2", -inner[2 * w]);
      beam.setAttribute("y2", -inner[2 * w + 1]);
      const row = rows[w];
      row.bar.style.width = `${(100 * load[w]) / data.most_load}%`;
      row.load.textContent = `${Math.round(load[w])} N`;
      row.travel.textContent = (travel[w] >= 0 ? "+" : "−") + page.tape(Math.abs(travel[w]) / 1000, first);
      const stop = run.stop[near][w];
      const states = [at_end && w === run.lifts ? "lifts" : "", ["at full droop", "", "on its bump stop"][stop + 1]];
      row.state.textContent = states.filter((state) => state).join("; ");
    }
    const cuts = mix(run.cut, low, share);
    [0, 1].forEach((axle) => {
      const [middle, high] = cuts.slice(2 * axle, 2 * axle + 2);
      const sides = { x: -middle - data.ramp_half_width, y: -high, height: high };
      for (const [key, value] of Object.entries(sides)) across[axle].cut.setAttribute(key, value);
      across[axle].cut.setAttribute("visibility", high > 0 ? "visible" : "hidden");
      across[axle].body.setAttribute("points", line(placed(pose, data.outline.ends[axle]).flatMap(([, y, z]) => [-y, z])));
    });
    const dots = mix(run.point, low, share);
    points.forEach((dot, i) => { dot.setAttribute("cx", way * dots[2 * i]); dot.setAttribute("cy", -dots[2 * i + 1]); });
    const foot = [way * climb * 1000 * Math.cos(data.angle), -climb * 1000 * Math.sin(data.angle)];
    mark.setAttribute("cx", foot[0]);
    mark.setAttribute("cy", foot[1]);
    square.setAttribute("x1", foot[0]);
    square.setAttribute("y1", foot[1]);
    square.setAttribute("x2", way * hub[3 * lane]);
    square.setAttribute("y2", -hub[3 * lane + 2]);
    const height = climb * Math.sin(data.angle);
    const words = `${page.tape(climb, data.units)} of climb; mark ${page.tape(height, data.units)} above the floor; ` +
      `${Math.round((1000 * climb) / data.wheelbase)} points so far`;
    said.textContent = words;
    slider.setAttribute("aria-valuetext", words);
    const turned = (angle, up, down) => `${Math.abs(angle).toFixed(1)}° ${angle >= 0 ? up : down}`;
    posture.textContent = `rolls ${turned(mix(run.roll, low, share), "left side up", "right side up")}, ` +
      `pitches ${turned(mix(run.pitch, low, share), "nose down", "nose up")}, ` +
      `sideways angle in hand ${mix(run.tipping, low, share).toFixed(0)}°`;
    for (const item of list.children) item.classList.toggle("passed", Number(item.dataset.climb) <= climb + 1e-4);
    for (const cursor of root.querySelectorAll(".chart:not([hidden]) .cursor")) {
      const [from, to, left, right] = cursor.dataset.axis.split(" ").map(Number);
      const x = left + ((climb - from) / (to - from)) * (right - left);
      cursor.setAttribute("x1", x);
      cursor.setAttribute("x2", x);
    }
    root.dispatchEvent(new CustomEvent("moment", { detail: { climb, bars: run.bars } }));
  };
  const choose = (bars) => {
    run = data.runs.find((one) => one.bars === bars);
    slider.min = Math.floor(run.climb[0] * 1000);
    slider.max = Math.ceil(run.climb[run.climb.length - 1] * 1000);
    list.replaceChildren();
    const stops = [...run.events, { climb: run.climb[run.climb.length - 1], what: run.ends, end: true }];
    for (const event of stops) {
      const item = page.element("li", null, list);
      item.dataset.climb = event.climb;
      const button = page.element("button", page.tape(event.climb, first), item);
      button.type = "button";
      button.setAttribute("aria-label", `Go to ${page.tape(event.climb, first)}: ${event.what}`);
      button.addEventListener("click", () => { slider.value = Math.ceil(event.climb * 1000); show(); });
      item.append(event.end ? " the end: " + event.what : " " + event.what);
    }
    for (const chart of root.querySelectorAll(".chart")) chart.hidden = chart.dataset.bars !== bars;
  };
  for (const radio of root.querySelectorAll("input[type=radio]")) {
    radio.addEventListener("change", () => { choose(radio.value); show(); });
  }
  slider.addEventListener("input", show);
  choose(run.bars);
  slider.value = slider.max;
  show();
  root.classList.add("ready");
}
