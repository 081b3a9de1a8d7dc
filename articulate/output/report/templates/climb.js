// The climb as a moving picture: a slider goes up the ramp, the vehicle, its loads and the events follow.
for (const root of document.querySelectorAll(".climb")) {
  const data = page.climb(root);
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
  // Seen from the ramp's side, so a ramp on the left climbs to the left. 
  const end = data.ramp_end * 1000 * Math.cos(data.angle);
  const lane = data.ramp_wheel;
  const way = lane === 0 ? -1 : 1;
  const sideways = (numbers) => line(numbers.map((v, i) => (i % 2 ? v : way * v)));
  const floor = (svg, [left, , width]) =>
    page.shape("line", { class: "floor", x1: left, x2: left + width, y1: 0, y2: 0 }, svg);
  // Points of the body in millimetres behind the front axle, left and up; a pose is their origin and unit vectors.
  const placed = (pose, points) => {
    const found = [];
    for (let i = 0; i < points.length; i += 3) {
      found.push([0, 1, 2].map((k) => pose[k] + points[i] * pose[3 + k] + points[i + 1] * pose[6 + k] + points[i + 2] * pose[9 + k]));
    }
    return found;
  };
  const from_side = ([x, , z]) => [way * x, z];
  const from_behind = ([, y, z]) => [-y, z];

  // The body as the still pictures have it: faces turned to the viewer over their own dark edge, lit from above.
  const { mesh } = data;
  const LIGHT = [-0.35, 0.35, 0.87];
  const faces = mesh.faces.map(([material, part, , both, ...corners]) => ({ material, part, both, corners }));
  const sideward = ({ corners }) => corners.filter((_, i) => i % 3 === 1);
  const half = Math.max(...faces.flatMap(sideward));
  // What of bumpers and bonnet lies beyond the ramp's lane is hidden by the ramp.
  const beyond = (face) => mesh.outward * sideward(face).reduce((a, b) => a + b, 0) < 0.4 * half * sideward(face).length;
  const shaded = (face, corners, pale) => {
    let colour = [1, 3, 5].map((k) => parseInt(mesh.colours[face.material].slice(k, k + 2), 16) / 255);
    if (mesh.lit[face.material] && !face.both) {
      const normal = [0, 0, 0];
      corners.forEach((a, i) => {
        const b = corners[(i + 1) % corners.length];
        for (const k of [0, 1, 2]) normal[k] += a[(k + 2) % 3] * b[(k + 1) % 3] - a[(k + 1) % 3] * b[(k + 2) % 3];
      });
      const light = normal.reduce((sum, v, k) => sum + v * LIGHT[k], 0) / (Math.hypot(...normal) || 1);
      colour = colour.map((v) => v * (0.93 + 0.07 * light));
    }
    return `rgb(${colour.map((v) => Math.round(255 * (v + pale * (1 - v)))).join(",")})`;
  };
  const body = (svg, parts, wanted, flat, pale) => {
    const shown = parts.flatMap((part) => faces.filter((face) => face.part === part && wanted(face)));
    const edge = page.shape("path", { class: "edge" }, svg);
    const shapes = shown.map(() => page.shape("polygon", { class: "face" }, svg));
    return (pose) => {
      let rim = "";
      shown.forEach((face, i) => {
        const corners = placed(pose, face.corners);
        const seen = corners.map(flat);
        let area = 0;
        seen.forEach(([u, v], k) => { const [a, b] = seen[(k + 1) % seen.length]; area += u * b - a * v; });
        const there = face.both || area < -1; // the body's coordinates are left-handed
        shapes[i].setAttribute("visibility", there ? "visible" : "hidden");
        if (!there) return;
        const path = line(seen.flat());
        const colour = shaded(face, corners, pale);
        shapes[i].setAttribute("points", path);
        shapes[i].setAttribute("fill", colour);
        shapes[i].setAttribute("stroke", colour);
        rim += `M${path}Z`;
      });
      edge.setAttribute("d", rim);
    };
  };
  const UNDER = [0, 1];
  const [LOWER, UPPER] = [2, 3];
  const every = () => true;

  // From the side: wheels beyond, underside, ramp, the near wheels, the shell they stuff into.
  const [cosine, sine] = [Math.cos(data.angle), Math.sin(data.angle)];
  const letters = data.side[2] / 260;
  const side_wheels = [];
  const side_tyre = (w) => {
    const near = w % 2 === lane;
    side_wheels[w] = { near, tyre: page.shape("polygon", { class: `tyre${near ? "" : " far"}` }, side), round: [] };
    if (!near) return;
    for (const [kind, r] of [["tread", data.radius[w] - 0.45 * data.section[w]],
      ["rim", Math.max(data.radius[w] - 1.75 * data.section[w], 0.4 * data.radius[w])]]) {
      side_wheels[w].round.push(page.shape("circle", { class: kind, r }, side));
    }
  };
  [1 - lane, 3 - lane].forEach(side_tyre);
  const bodies = [body(side, UNDER, every, from_side, 0), body(side, [LOWER], beyond, from_side, 0)];
  page.shape("polygon", { class: "ramp", points: sideways([0, 0, end, end * slope, end, 0]) }, side);
  [lane, lane + 2].forEach(side_tyre);
  bodies.push(body(side, [LOWER, UPPER], (face) => face.part === UPPER || !beyond(face), from_side, 0));
  for (const one of side_wheels) one.over = page.shape("polygon", { class: "unseen" }, side);
  page.shape("line", { class: "floor", x1: 0, x2: way * end, y1: 0, y2: -end * slope }, side);
  floor(side, data.side);
  const film = page.shape("polyline", { class: "film" }, side);
  const far_first = [1 - lane, 3 - lane, lane, lane + 2];
  const pushes = [];
  for (const w of far_first) pushes[w] = page.shape("polygon", { class: `load wheel${w}${w % 2 === lane ? "" : " far"}` }, side);
  const square = page.shape("line", { class: "square" }, side);
  const mark = page.shape("polygon", { class: "mark" }, side);
  for (const w of far_first) {
    const kind = `hub wheel${w} ${w % 2 === lane ? "lane" : "off"}`;
    side_wheels[w].round.push(page.shape("circle", { class: kind, r: 1.5 * letters }, side));
  }
  const points = data.points.map((name) => {
    const spot = page.shape("path", { class: "point" }, side);
    page.shape("title", {}, spot).textContent = name;
    return spot;
  });

  // From behind: left is to the left; the front axle stands behind the rear one, and the body is pale behind both.
  const cut = ["front", "rear"].map((axle) =>
    page.shape("rect", { class: `ramp ${axle}`, width: 2 * data.ramp_half_width }, behind));
  const tyre_behind = (kind) => page.shape("polygon", { class: kind }, behind);
  const end_tyres = [tyre_behind("tyre far"), tyre_behind("tyre far")];
  bodies.push(body(behind, [...UNDER, LOWER, UPPER], every, from_behind, 0.5));
  end_tyres.push(tyre_behind("tyre"), tyre_behind("tyre"));
  const unseen = [tyre_behind("unseen"), tyre_behind("unseen")];
  const beams = [0, 1, 2, 3].map((w) => page.shape("line", { class: `beam ${w < 2 ? "front" : "rear"}` }, behind));
  const coils = [0, 1].map(() => page.shape("polyline", { class: "coil" }, behind));
  const bar = page.shape("path", { class: "bar-line" }, behind);
  floor(behind, data.behind);
  const end_pushes = [0, 1, 2, 3].map((w) => page.shape("polygon", { class: `load wheel${w}${w < 2 ? " far" : ""}` }, behind));

  const press = (x, z) => {
    const under = x > 0 ? Math.min(z * cosine - x * sine, 0) : 0;
    return [way * (x + under * sine), Math.max(z - under * cosine, 0)];
  };
  const turns = [...Array(72).keys()].map((k) => [Math.cos((k * Math.PI) / 36), Math.sin((k * Math.PI) / 36)]);
  const coil = ([, y, z, , b, c]) => {
    const [u, v] = [y - b, c - z];
    const long = Math.hypot(u, v) || 1;
    const found = [-y, z];
    for (let k = 0; k <= 10; k += 1) {
      const along = 0.14 + 0.072 * k;
      const out = k % 2 ? 55 : -55;
      found.push(-y + along * u - (out * v) / long, z + along * v + (out * u) / long);
    }
    return [...found, -b, c];
  };
  // The bar of the last axle that has one: its line from end to end, and its links.
  const bar_path = (numbers) => {
    const spots = [0, 3, 6, 9, 12, 15].map((i) => numbers.slice(-18).slice(i, i + 3)).map(([, y, z]) => `${-y},${-z}`);
    const [a, b, c, d, left, right] = spots;
    return `M${[a, b, c, d].join("L")}M${a}L${left}M${d}L${right}`;
  };
  // An arrow that ends at a tip.
  const arrow = ([u, v], [a, b]) => {
    const long = Math.hypot(a, b);
    if (long < 1.5 * letters) return "";
    const [x, z] = [a / long, b / long];
    const head = Math.min(3.6 * letters, 0.7 * long);
    const spot = (back, out) => [u - back * x - out * z, v - back * z + out * x];
    const outline = [[long, 0.5], [head, 0.5], [head, 1.5], [0, 0], [head, -1.5], [head, -0.5], [long, -0.5]];
    return line(outline.flatMap(([back, out]) => spot(back, out * letters)));
  };
  const cross = (u, v, r) => `M${u - r},${v - r}L${u + r},${v + r}M${u - r},${v + r}L${u + r},${v - r}`;

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
    const nearest = Math.round(place);
    const hub = mix(run.hub, low, share);
    const load = mix(run.load, low, share);
    const travel = mix(run.travel, low, share);
    const lean = mix(run.lean, low, share);
    const inner = mix(run.inner_end, low, share);
    const pose = mix(run.pose, low, share);
    const contact = mix(run.contact, low, share);
    const spring = mix(run.spring, low, share);
    const at_end = low === last || (low === last - 1 && share > 0.999);
    for (const draw of bodies) draw(pose);
    film.setAttribute("visibility", at_end && run.lifts >= 0 ? "visible" : "hidden");
    for (const w of [0, 1, 2, 3]) {
      const [x, y, z] = hub.slice(3 * w, 3 * w + 3);
      const [at, left, level] = contact.slice(3 * w, 3 * w + 3);
      const lifts = at_end && w === run.lifts;
      const { near, tyre, over, round } = side_wheels[w];
      const shape = turns.map(([a, b]) => [x + data.radius[w] * a, z + data.radius[w] * b])
        .map(([a, b]) => (near ? press(a, b) : [way * a, Math.max(b, 0)]));
      for (const one of [tyre, over]) one.setAttribute("points", line(shape.flat()));
      over.setAttribute("class", lifts ? `unseen lifted wheel${w}` : "unseen");
      for (const one of round) { one.setAttribute("cx", way * x); one.setAttribute("cy", -z); }
      const long = load[w] * data.arrow;
      const sloped = near && level > 1;
      let tip = [way * at, level];
      const mate = way * contact[3 * (w ^ 1)];
      if (!near && Math.abs(tip[0] - mate) < 10 * letters) {
        tip = [mate + (way * (hub[0] + hub[6]) > 2 * mate ? 10 : -10) * letters, level];
      }
      pushes[w].setAttribute("points", arrow(tip, sloped ? [-way * sine * long, cosine * long] : [0, long]));
      if (lifts) {
        const away = way * (hub[0] + hub[6]) > 2 * way * at ? -1 : 1;
        const pulled = [-60, 0, 240, 0, 310, 12, 360, 45].map((v, k) => (k % 2 ? Math.max(level, 0) + v : way * at + away * v));
        film.setAttribute("points", line(pulled));
      }
      const turn = lean[w];
      const [r, s] = [data.radius[w], data.section[w]];
      const corner = (up, out) => [-(y - up * Math.sin(turn) * r + out * Math.cos(turn) * s),
        z + up * Math.cos(turn) * r + out * Math.sin(turn) * s];
      const slice = [[1, 0.7], [1, -0.7], [0.86, -1], [-0.86, -1], [-1, -0.7], [-1, 0.7], [-0.86, 1], [0.86, 1]]
        .flatMap(([up, out]) => corner(up, out)).map((v, k) => (k % 2 ? Math.max(v, level > 1 ? level : 0) : v));
      end_tyres[w].setAttribute("points", line(slice));
      end_tyres[w].setAttribute("class", `tyre${w < 2 ? " far" : ""}${lifts ? ` lifted wheel${w}` : ""}`);
      end_pushes[w].setAttribute("points", arrow([-left + (w < 2 ? (w % 2 ? -6 : 6) * letters : 0), level], [0, long]));
      if (w < 2) unseen[w].setAttribute("points", line(slice));
      else coils[w - 2].setAttribute("points", line(coil(spring.slice(6 * w, 6 * w + 6))));
      const beam = beams[w];
      beam.setAttribute("x1", -y);
      beam.setAttribute("y1", -z);
      beam.setAttribute("x2", -inner[3 * w + 1]);
      beam.setAttribute("y2", -inner[3 * w + 2]);
      const row = rows[w];
      row.bar.style.width = `${(100 * load[w]) / data.most_load}%`;
      row.load.textContent = `${Math.round(load[w])} N`;
      row.travel.textContent = (travel[w] >= 0 ? "+" : "−") + page.tape(Math.abs(travel[w]) / 1000, first);
      const stop = run.stop[nearest][w];
      const states = [at_end && w === run.lifts ? "lifts" : "", ["at full droop", "", "on its bump stop"][stop + 1]];
      row.state.textContent = states.filter((state) => state).join("; ");
    }
    const cuts = mix(run.cut, low, share);
    [0, 1].forEach((axle) => {
      const [middle, high] = cuts.slice(2 * axle, 2 * axle + 2);
      const sides = { x: -middle - data.ramp_half_width, y: -high, height: high };
      for (const [key, value] of Object.entries(sides)) cut[axle].setAttribute(key, value);
      cut[axle].setAttribute("visibility", high > 0 ? "visible" : "hidden");
    });
    const dots = mix(run.point, low, share);
    points.forEach((spot, i) => spot.setAttribute("d", cross(way * dots[2 * i], -dots[2 * i + 1], 1.6 * letters)));
    bar.setAttribute("d", run.bar[low].length ? bar_path(mix(run.bar, low, share)) : "");
    const foot = [way * climb * 1000 * Math.cos(data.angle), -climb * 1000 * Math.sin(data.angle)];
    mark.setAttribute("points", [[0, 0], [-2, -4], [2, -4]].map(([a, b]) => `${foot[0] + a * letters},${foot[1] + b * letters}`).join(" "));
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
