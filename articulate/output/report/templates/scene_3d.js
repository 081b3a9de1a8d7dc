// The climb in three dimensions: looks at what `sceneParts` places, on the clock of the climb's own slider. It draws only when
// something changes. Without WebGL, or where the library cannot be unpacked, the plain drawing stays.
const space = {
  // The drawing library, once a page: unpacked, and run under the policy's hash of it.
  async library() {
    if (!window.three) {
      const packed = document.querySelector('script[data-name="scene-library"]').textContent.trim();
      const bytes = Uint8Array.from(atob(packed), (one) => one.charCodeAt(0));
      const plain = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
      const script = document.createElement("script");
      script.textContent = await new Response(plain).text();
      document.head.append(script);
      script.remove();
    }
    return window.three;
  },
  context() {
    if (typeof DecompressionStream === "undefined") return null;
    const canvas = document.createElement("canvas");
    canvas.className = "space-canvas";
    const context = canvas.getContext("webgl2", { antialias: true, alpha: true });
    return context ? { canvas, context } : null;
  },
};

// Looks: from which way (degrees round from straight behind towards the ramp's side, and up), at what, and how solid the body is.
const LOOKS = {
  side: { round: 66, rise: 11, at: "all", solid: 1 },
  behind: { round: 12, rise: 9, at: "all", solid: 0.35 },
  axle: { round: 14, rise: -13, at: "axle", solid: 0.12 },
  lifts: { round: 48, rise: 10, at: "wheel", solid: 0.5 },
  above: { round: 40, rise: 52, at: "all", solid: 1 },
};
const FIELD = 26; // degrees, of the view upwards
const HEAD = 36; // pixels of the view that the words at its top take

const start_space = async (root, block) => {
  const data = page.climb(root);
  const made = space.context();
  if (!made) return;
  const three = await space.library();
  if (!three) return;
  const { canvas, context } = made;
  const { Climbing, shared } = sceneParts(three);
  const stage = block.querySelector(".stage");
  stage.prepend(canvas);
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", "The climb in three dimensions");
  canvas.setAttribute("aria-describedby", block.querySelector(".keys").id);
  const renderer = new three.WebGLRenderer({ canvas, context });
  renderer.autoClear = false;
  renderer.setScissorTest(true);
  const camera = new three.PerspectiveCamera(FIELD, 1, 0.1, 80);
  camera.up.set(0, 0, 1);
  const parts = shared(data);
  const climbs = data.runs.map((run) => new Climbing(data, run, parts));
  for (const one of climbs) one.show(one.run.climb[0]);
  const slider = root.querySelector("input[type=range]");
  const pair = block.querySelector("input.pair");
  const fade = block.querySelector("input.fade");
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  const outward = data.mesh.outward;
  const looking = { look: "side", round: 0, rise: 0, zoom: 1, solid: 1, ...LOOKS.side };
  let moment = { climb: 0, bars: data.runs[0].bars };
  let flight = 0;
  let asked = 0;

  const shown = () => (pair && pair.checked ? climbs : climbs.filter((one) => one.run.bars === moment.bars));

  // What a look is to hold, [m]: everything at the start and at the end, the axle, or the wheel that lifts. Of the whole the
  // view follows the vehicle half the way.
  const middle = (run, step) => run.hub[step].filter((_, i) => i % 3 === 0).reduce((a, b) => a + b, 0) / 4000;
  const boxes = [2, 3].map((part) => {
    const box = [0, 1, 2].map(() => [Infinity, -Infinity]);
    for (const [, , , , ...numbers] of data.mesh.faces.filter((face) => face[1] === part)) {
      numbers.forEach((v, i) => { const one = box[i % 3]; one[0] = Math.min(one[0], v); one[1] = Math.max(one[1], v); });
    }
    return box;
  });
  const whole = (one) => [0, one.run.climb.length - 1].flatMap((step) => {
    const { run } = one;
    const last = run.climb.length - 1;
    const aside = (middle(run, last) - middle(run, step)) / 2;
    const pose = run.pose[step];
    const points = [];
    for (const [xs, ys, zs] of boxes) {
      for (const x of xs) for (const y of ys) for (const z of zs) {
        points.push([0, 1, 2].map((k) => (pose[k] + x * pose[3 + k] + y * pose[6 + k] + z * pose[9 + k]) / 1000));
      }
    }
    for (const w of [0, 1, 2, 3]) {
      const out = w % 2 ? -1 : 1;
      points.push([run.hub[step][3 * w] / 1000, run.hub[step][3 * w + 1] / 1000 + 0.7 * out, 0]);
    }
    const up_to = run.climb[last] + 0.15;
    points.push([up_to * Math.cos(data.angle), data.mesh.lane / 1000, up_to * Math.sin(data.angle)]);
    return points.map(([x, y, z]) => new three.Vector3(x + aside, y, z));
  });
  const everything = climbs.flatMap(whole);
  const wheel_of = (one) => (one.run.lifts >= 0 ? one.run.lifts : data.ramp_wheel + 2);
  const target = (one, at) => {
    const wheel = wheel_of(one);
    if (at === "wheel") return one.now.hub[wheel].clone();
    const mate = wheel ^ 1;
    return new three.Vector3().addVectors(one.now.hub[wheel], one.now.hub[mate]).multiplyScalar(0.5);
  };
  const toward = () => {
    const [round, rise] = [looking.round, looking.rise].map((one) => (one * Math.PI) / 180);
    return new three.Vector3(-Math.cos(round) * Math.cos(rise), outward * Math.sin(round) * Math.cos(rise), Math.sin(rise));
  };
  const room = () => {
    const reach = { wheel: [0.85, 0.62], axle: [1.35, 0.62] }[looking.at];
    if (!reach) return everything;
    const [wide, high] = reach;
    return [-1, 1].flatMap((a) => [-1, 1].map((b) => new three.Vector3(0.3 * a, wide * a, high * b)));
  };
  // Centre and distance from which the points fill the view.
  const fitted = (points, aspect, free) => {
    const away = toward();
    const right = new three.Vector3(0, 0, 1).cross(away).normalize();
    const above = new three.Vector3().crossVectors(away, right);
    const full = Math.tan((FIELD * Math.PI) / 360);
    const [wide, tall] = [full * aspect, full * free];
    const centre = new three.Vector3();
    let far = 0;
    for (let pass = 0; pass < 12; pass += 1) {
      let [left, rightmost, low, high] = [-1e9, -1e9, -1e9, -1e9];
      far = 0;
      for (const point of points) {
        const d = new three.Vector3().subVectors(point, centre);
        const [x, y, z] = [d.dot(right), d.dot(above), d.dot(away)];
        rightmost = Math.max(rightmost, z + x / wide);
        left = Math.max(left, z - x / wide);
        high = Math.max(high, z + y / tall);
        low = Math.max(low, z - y / tall);
      }
      far = Math.max(left, rightmost, low, high);
      centre.addScaledVector(right, ((rightmost - left) * wide) / 2).addScaledVector(above, ((high - low) * tall) / 2);
    }
    return { centre, far };
  };

  const tags = block.querySelector(".tags");
  const labels = climbs.map(() => ({
    head: page.element("span", "", tags, "tag head"),
    mark: page.element("span", "", tags, "tag mark"),
    wheels: data.wheels.map(() => page.element("span", "", tags, "tag of-wheel")),
  }));
  const short = (name) => name.split(" ").map((word) => word[0].toUpperCase()).join("");

  // Where frames come too slowly, things that move are drawn coarser, and sharp again once they rest.
  let coarse = false;
  let slow = 0;
  let drawn_at = 0;
  let resting = 0;
  const pace = () => {
    const now = performance.now();
    const since = now - drawn_at;
    drawn_at = now;
    const moves = since > 4 && since < 700;
    if (moves && !coarse) slow += 0.2 * (since - slow);
    coarse = coarse || slow > 40;
    clearTimeout(resting);
    if (!coarse || !moves) return 1;
    resting = setTimeout(() => { drawn_at = 0; ask(); }, 350);
    return 0.5;
  };
  const draw = () => {
    asked = 0;
    const seen = shown();
    const wide = stage.clientWidth;
    if (!wide) return;
    const stacked = seen.length > 1 && wide < 620;
    const [columns, rows] = stacked ? [1, seen.length] : [seen.length, 1];
    const gap = 6;
    const cell = { wide: (wide - gap * (columns - 1)) / columns, high: Math.round(Math.min(Math.max((wide / columns) * 0.62, 250), 520)) };
    const high = cell.high * rows + gap * (rows - 1);
    const ratio = Math.min(window.devicePixelRatio || 1, 2) * pace();
    if (renderer.getPixelRatio() !== ratio) renderer.setPixelRatio(ratio);
    const size = renderer.getSize(new three.Vector2());
    if (size.x !== wide || size.y !== high) renderer.setSize(wide, high, true);
    const style = getComputedStyle(block);
    const colours = Object.fromEntries(["floor", "grid", "crease"].map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
    const aspect = cell.wide / cell.high;
    const fit = fitted(room(), aspect, 1 - HEAD / cell.high);
    renderer.info.autoReset = false;
    renderer.info.reset();
    renderer.setScissor(0, 0, wide, high);
    renderer.clear();
    labels.forEach((label, k) => {
      const on = seen.includes(climbs[k]);
      for (const one of [label.head, label.mark, ...label.wheels]) one.hidden = !on;
    });
    seen.forEach((one, k) => {
      const [left, top] = [(k % columns) * (cell.wide + gap), Math.floor(k / columns) * (cell.high + gap)];
      one.show(moment.climb);
      one.fade(looking.solid);
      one.colours(colours);
      const centre = fit.centre.clone();
      if (looking.at === "all") {
        const { run } = one;
        const now = one.now.hub.reduce((sum, hub) => sum + hub.x, 0) / 4;
        centre.x += (now - middle(run, run.climb.length - 1)) / 2;
      } else centre.add(target(one, looking.at));
      camera.setViewOffset(cell.wide, cell.high, 0, -HEAD / 2, cell.wide, cell.high);
      camera.position.copy(centre).addScaledVector(toward(), (fit.far * 1.06) / looking.zoom);
      camera.lookAt(centre);
      camera.updateProjectionMatrix();
      camera.updateMatrixWorld();
      one.from_below(camera.position.z < 0);
      renderer.setViewport(left, high - top - cell.high, cell.wide, cell.high);
      renderer.setScissor(left, high - top - cell.high, cell.wide, cell.high);
      renderer.render(one.scene, camera);
      tell(one, labels[climbs.indexOf(one)], left, top, cell);
    });
    block.dataset.calls = renderer.info.render.calls;
    block.dataset.triangles = renderer.info.render.triangles;
  };
  const ask = () => { if (!asked) asked = requestAnimationFrame(draw); };

  // Words beside the columns, the mark and what is shown, kept apart from one another and within the view.
  const sizes = new Map();
  const tell = (one, label, left, top, cell) => {
    const { now, run } = one;
    const narrow = cell.wide < 520;
    const spot = (point) => {
      const seen = point.clone().project(camera);
      return { x: left + ((seen.x + 1) / 2) * cell.wide, y: top + ((1 - seen.y) / 2) * cell.high, out: seen.z > 1 || Math.abs(seen.x) > 1 || Math.abs(seen.y) > 1 };
    };
    const placed = [];
    const put = (element, text, place) => {
      element.hidden = place.out;
      if (place.out) return;
      if (element.textContent !== text) {
        element.textContent = text;
        sizes.set(element, [element.offsetWidth / 2 + 2, element.offsetHeight]);
      }
      const [half, tall] = sizes.get(element);
      const x = Math.max(left + half, Math.min(left + cell.wide - half, place.x));
      let y = Math.max(top + tall + 30, Math.min(top + cell.high - 4, place.y - 5));
      for (let tries = 0; tries < 8; tries += 1) {
        const hit = placed.find((other) => Math.abs(other.x - x) < other.half + half && y > other.y - other.tall && y - tall < other.y);
        if (!hit) break;
        y = hit.y - hit.tall - 2;
      }
      placed.push({ x, y, half, tall });
      element.style.transform = `translate(${x}px, ${y}px) translate(-50%, -100%)`;
    };
    const order = [0, 1, 2, 3].map((w) => ({ w, at: spot(now.tag[w]) })).sort((a, b) => b.at.y - a.at.y);
    for (const { w, at } of order) {
      const name = narrow ? short(data.wheels[w]) : data.wheels[w];
      const force = w === now.lifting && now.load[w] < 0.5 ? "carries nothing" : `${Math.round(now.load[w])} N`;
      const below = w === now.lifting ? { ...at, y: at.y + 52 } : at; // where nothing stands, under the plate
      label.wheels[w].classList.toggle("lifting", w === now.lifting);
      put(label.wheels[w], `${name}\n${force}`, below);
    }
    if (now.foot) {
      const height = page.tape(now.climb * Math.sin(data.angle), data.units.slice(0, 1));
      put(label.mark, `mark ${height} high`, spot(now.foot));
    } else label.mark.hidden = true;
    label.head.hidden = false;
    label.head.textContent = `${narrow ? "" : "bars "}${run.bars}: ${state(one)}`;
    label.head.classList.toggle("lifting", now.lifting >= 0);
    label.head.style.transform = `translate(${left + 8}px, ${top + 8}px)`;
    label.head.style.maxWidth = `${cell.wide - 16}px`;
  };
  const state = ({ now, run }) => {
    const points = Math.round((1000 * now.climb) / data.wheelbase);
    if (!now.ended) return `${points} points so far`;
    return now.lifting >= 0 ? `${data.wheels[now.lifting]} lifts at ${points} points` : run.ends;
  };

  const output = block.querySelector(".shown");
  let told = 0;
  const say = () => {
    clearTimeout(told);
    told = setTimeout(() => {
      const name = block.querySelector(`[data-look="${looking.look}"]`);
      const way = name ? name.dataset.words : "your own view";
      output.textContent = `${way[0].toUpperCase()}${way.slice(1)}. ` + shown().map((one) => `Bars ${one.run.bars}: ${state(one)}`).join(". ") + ".";
    }, 150);
  };
  const press = () => {
    for (const button of block.querySelectorAll("[data-look]")) button.setAttribute("aria-pressed", String(button.dataset.look === looking.look));
    if (fade) fade.value = String(Math.round(looking.solid * 100));
    say();
  };

  const turned = (round, rise, zoom) => {
    cancelAnimationFrame(flight);
    looking.round += round;
    looking.rise = Math.max(-30, Math.min(88, looking.rise + rise));
    looking.zoom = Math.max(0.5, Math.min(6, looking.zoom * zoom));
    looking.look = "";
    press();
    ask();
  };
  // A look is flown to, unless the reader wants things to keep still.
  const look = (name) => {
    const to = { ...LOOKS[name], zoom: 1 };
    const from = { ...looking };
    looking.look = name;
    looking.at = to.at;
    cancelAnimationFrame(flight);
    const nearest = from.round + ((((to.round - from.round) % 360) + 540) % 360) - 180;
    const begun = performance.now();
    const fly = (time) => {
      const share = still.matches ? 1 : Math.max(0, Math.min(1, (time - begun) / 450));
      const eased = share * share * (3 - 2 * share);
      looking.round = from.round + eased * (nearest - from.round);
      for (const key of ["rise", "zoom", "solid"]) looking[key] = from[key] + eased * (to[key] - from[key]);
      if (share < 1) flight = requestAnimationFrame(fly);
      else { looking.round = to.round; press(); }
      draw();
    };
    if (still.matches) fly(begun);
    else flight = requestAnimationFrame(fly);
    press();
  };

  // Chapters: the start, what is met on the way, the end, of the bar state the slider has.
  const chapters = () => {
    const run = data.runs.find((one) => one.bars === moment.bars);
    const last = run.climb[run.climb.length - 1];
    return [{ climb: run.climb[0], what: "the start" }, ...run.events, { climb: last, what: run.lifts >= 0 ? `${data.wheels[run.lifts]} lifts` : run.ends }];
  };
  const go = (climb) => {
    slider.value = String(Math.ceil(climb * 1000));
    slider.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const step = (by) => {
    const all = chapters();
    const at = moment.climb * 1000;
    const next = by > 0 ? all.find((one) => Math.ceil(one.climb * 1000) > at + 1) : all.findLast((one) => Math.ceil(one.climb * 1000) < at - 1);
    go((next || all[by > 0 ? all.length - 1 : 0]).climb);
  };
  const [before, chapter, after] = [".before", ".chapter", ".after"].map((one) => block.querySelector(one));
  before.addEventListener("click", () => step(-1));
  after.addEventListener("click", () => step(1));
  const read = () => {
    const all = chapters();
    const at = all.findLastIndex((one) => one.climb <= moment.climb + 1.01e-3);
    const k = Math.max(at, 0);
    chapter.textContent = `${k + 1} of ${all.length}: ${all[k].what}`;
    before.disabled = moment.climb <= all[0].climb + 1e-3;
    after.disabled = moment.climb >= all[all.length - 1].climb - 1e-3;
  };

  for (const button of block.querySelectorAll("[data-look]")) button.addEventListener("click", () => look(button.dataset.look));
  if (pair) pair.addEventListener("change", () => { say(); ask(); });
  fade.addEventListener("input", () => { looking.solid = Number(fade.value) / 100; ask(); });
  canvas.addEventListener("keydown", (event) => {
    const names = Object.keys(LOOKS);
    const acts = {
      ArrowLeft: () => turned(-5 * outward, 0, 1), ArrowRight: () => turned(5 * outward, 0, 1),
      ArrowUp: () => turned(0, 4, 1), ArrowDown: () => turned(0, -4, 1),
      "+": () => turned(0, 0, 1.15), "=": () => turned(0, 0, 1.15), "-": () => turned(0, 0, 1 / 1.15),
      PageUp: () => step(-1), PageDown: () => step(1),
    };
    const act = acts[event.key] || (names[Number(event.key) - 1] && (() => look(names[Number(event.key) - 1])));
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  });
  // One finger goes round (up and down it scrolls the page), two go round, up and nearer; a mouse goes all ways.
  const fingers = new Map();
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  const spread = () => {
    const [a, b] = [...fingers.values()];
    return b ? Math.hypot(a.x - b.x, a.y - b.y) : 0;
  };
  canvas.addEventListener("pointermove", (event) => {
    const was = fingers.get(event.pointerId);
    if (!was) return;
    const apart = spread();
    const [x, y] = [(event.clientX - was.x) / fingers.size, (event.clientY - was.y) / fingers.size];
    was.x = event.clientX;
    was.y = event.clientY;
    turned(-x * 0.35 * outward, y * 0.3, apart > 0 ? spread() / apart : 1);
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => fingers.delete(event.pointerId));
  // The wheel scrolls the page unless the scene has been taken hold of.
  canvas.addEventListener("wheel", (event) => {
    if (document.activeElement !== canvas && !event.ctrlKey) return;
    event.preventDefault();
    turned(0, 0, Math.exp(-event.deltaY * 0.0015));
  }, { passive: false });
  canvas.addEventListener("webglcontextlost", (event) => { event.preventDefault(); plain(true); });

  // The plain drawing can be had instead.
  const switcher = block.querySelector(".plain");
  const plain = (wanted) => {
    stage.parentElement.classList.toggle("as-drawing", wanted);
    root.querySelector(".views").hidden = !wanted;
    switcher.setAttribute("aria-pressed", String(wanted));
    ask();
  };
  switcher.addEventListener("click", () => plain(switcher.getAttribute("aria-pressed") !== "true"));

  root.addEventListener("moment", (event) => { moment = event.detail; read(); say(); ask(); });
  new ResizeObserver(ask).observe(stage);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", ask);
  new MutationObserver(ask).observe(document.documentElement, { attributes: true });
  block.hidden = false;
  plain(false);
  press();
  slider.dispatchEvent(new Event("input", { bubbles: true }));
  // For whoever checks what is drawn against the solver's numbers: what was placed at this climb, and a picture at once.
  block.drawn = () => Object.fromEntries(climbs.map((one) => {
    const { tag, ...placed } = one.show(moment.climb);
    const plain = (value) => (value && value.isVector3 ? value.toArray() : Array.isArray(value) ? value.map(plain) : value);
    const found = Object.fromEntries(Object.entries(placed).map(([key, value]) => [key, plain(value)]));
    const tyre = [...one.tyre.geometry.attributes.position.array];
    return [one.run.bars, { ...found, body: one.shell.matrix.elements.slice(), tyre }];
  }));
  block.draw = draw;
};

// It begins where the reader comes near it, so a page that is only printed or skimmed pays nothing.
for (const root of document.querySelectorAll(".climb")) {
  const block = root.querySelector(".space");
  if (!block || typeof IntersectionObserver === "undefined") continue;
  const watch = new IntersectionObserver((found) => {
    if (!found.some((one) => one.isIntersecting)) return;
    watch.disconnect();
    start_space(root, block);
  }, { rootMargin: "400px" });
  watch.observe(root);
}
