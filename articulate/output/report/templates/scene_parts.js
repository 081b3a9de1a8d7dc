// What is seen in the scene in three dimensions: the vehicle of one bar state on its ramp. Lengths in the data are
// millimetres, in the scene metres, on the ground's axes: x up the ramp from its toe, y to the vehicle's left, z up.
const sceneParts = (three) => {
  const METRE = 0.001;
  const NEWTON = 0.06 / 1000; // of a column's height: 10 kN are 0.6 m
  const LIFTS = "#e8590c"; // a colour for one thing: what carries nothing
  const COLUMN = "#5b7083";
  const up = new three.Vector3(0, 0, 1);
  const vector = (numbers, at = 0) =>
    new three.Vector3(numbers[at] * METRE, numbers[at + 1] * METRE, numbers[at + 2] * METRE);

  // Corners of flat faces as triangles, their outward sides counter-clockwise.
  const triangles = (corners) => {
    const normal = new three.Vector3();
    corners.forEach((one, k) => {
      const next = corners[(k + 1) % corners.length];
      normal.add(new three.Vector3().crossVectors(one, next));
    });
    normal.normalize();
    const along = new three.Vector3(1, 0, 0);
    if (Math.abs(normal.x) > 0.8) along.set(0, 1, 0);
    along.addScaledVector(normal, -along.dot(normal)).normalize();
    const across = new three.Vector3().crossVectors(normal, along);
    const flat = corners.map((one) => new three.Vector2(one.dot(along), one.dot(across)));
    const found = three.ShapeUtils.triangulateShape(flat, []).map(([a, b, c]) => {
      const turn = (flat[b].x - flat[a].x) * (flat[c].y - flat[a].y) - (flat[b].y - flat[a].y) * (flat[c].x - flat[a].x);
      return turn > 0 ? [a, b, c] : [a, c, b];
    });
    return { normal, triples: found };
  };
  const gathered = (faces, colours) => {
    const places = [];
    const normals = [];
    const paints = [];
    for (const [material, , , both, ...numbers] of faces) {
      const corners = [];
      for (let i = 0; i < numbers.length; i += 3) corners.push(vector(numbers, i));
      const { normal, triples } = triangles(corners);
      const paint = new three.Color(colours[material]);
      for (const side of both ? [1, -1] : [1]) {
        for (const triple of triples) {
          for (const k of side > 0 ? triple : [...triple].reverse()) {
            places.push(...corners[k].toArray());
            normals.push(side * normal.x, side * normal.y, side * normal.z);
            paints.push(paint.r, paint.g, paint.b);
          }
        }
      }
    }
    const geometry = new three.BufferGeometry();
    for (const [name, values] of Object.entries({ position: places, normal: normals, color: paints })) {
      geometry.setAttribute(name, new three.BufferAttribute(new Float32Array(values), 3));
    }
    return geometry;
  };
  const lines = (pairs) => {
    const geometry = new three.BufferGeometry();
    geometry.setAttribute("position", new three.BufferAttribute(new Float32Array(pairs.flatMap((one) => one.toArray())), 3));
    return geometry;
  };

  // A wire wound round the z axis from 0 to 1, to be stretched between a spring's ends.
  const coil = (turns, radius, wire) => {
    const steps = turns * 12;
    const round = 6;
    const places = [];
    const index = [];
    for (let i = 0; i <= steps; i += 1) {
      const turn = (2 * Math.PI * turns * i) / steps;
      for (let k = 0; k < round; k += 1) {
        const a = (2 * Math.PI * k) / round;
        const out = radius + wire * Math.cos(a);
        places.push(out * Math.cos(turn), out * Math.sin(turn), i / steps + 0.022 * Math.sin(a));
        if (i < steps) {
          const [one, two] = [i * round + k, i * round + ((k + 1) % round)];
          index.push(one, one + round, two, two, one + round, two + round);
        }
      }
    }
    const geometry = new three.BufferGeometry();
    geometry.setAttribute("position", new three.BufferAttribute(new Float32Array(places), 3));
    geometry.setIndex(index);
    geometry.computeVertexNormals();
    return geometry;
  };

  // Many alike in one call: each is told its two ends, how thick it is and its colour.
  const many = (geometry, most) => {
    const mesh = new three.InstancedMesh(geometry, new three.MeshLambertMaterial({ color: "#ffffff" }), most);
    const spin = new three.Quaternion();
    const size = new three.Vector3();
    const along = new three.Vector3();
    const place = new three.Matrix4();
    const paint = new three.Color();
    mesh.frustumCulled = false;
    mesh.count = 0;
    mesh.clear_all = () => { mesh.count = 0; };
    mesh.put = (from, to, thick, colour) => {
      along.subVectors(to, from);
      const long = Math.max(along.length(), 1e-6);
      spin.setFromUnitVectors(up, along.divideScalar(long));
      mesh.setMatrixAt(mesh.count, place.compose(from, spin, size.set(thick, thick, long)));
      mesh.setColorAt(mesh.count, paint.set(colour));
      mesh.count += 1;
    };
    mesh.done = () => {
      mesh.instanceMatrix.needsUpdate = true;
      if (mesh.instanceColor) mesh.instanceColor.needsUpdate = true;
    };
    return mesh;
  };

  // The parts every bar state of a vehicle has alike.
  const shared = (data) => {
    const { mesh } = data;
    const shell = mesh.faces.filter(([, part]) => part > 1);
    const base = gathered(mesh.faces.filter(([, , upon]) => !upon), mesh.colours);
    const upon = gathered(mesh.faces.filter(([, , one]) => one), mesh.colours);
    const creases = new three.EdgesGeometry(gathered(shell, mesh.colours), 28);
    const seams = mesh.seams.flatMap((numbers) => {
      const pairs = [];
      for (let i = 3; i < numbers.length; i += 3) pairs.push(vector(numbers, i - 3), vector(numbers, i));
      return pairs;
    });
    const rod = new three.CylinderGeometry(1, 1, 1, 20).rotateX(Math.PI / 2).translate(0, 0, 0.5);
    return { base, upon, creases, seams: lines(seams), rod, ball: new three.SphereGeometry(1, 16, 12), coil: coil(6, 1, 0.16) };
  };

  const ROUND = 64;
  const SECTION = 14;
  // Round a tyre's section, from one bead over the crown to the other: cosine and sine at each corner.
  const SIDES = Array.from({ length: SECTION + 1 }, (_, k) => Math.PI * (k / SECTION - 0.5) * 1.25).flatMap((a) => [Math.cos(a), Math.sin(a)]);

  class Climbing {
    // One bar state: `show` puts it where it is at a climb.
    constructor(data, run, parts) {
      Object.assign(this, { data, run, parts });
      const { mesh } = data;
      this.scene = new three.Scene();
      const sky = new three.HemisphereLight("#ffffff", "#b9b4a8", 2.1);
      sky.position.set(0, 0, 1);
      this.scene.add(sky);
      const sun = new three.DirectionalLight("#ffffff", 1.5);
      sun.position.set(-4, 7 * mesh.outward, 9);
      this.scene.add(sun);
      this.slope = new three.Vector3(Math.cos(data.angle), 0, Math.sin(data.angle));
      this.square = new three.Vector3(-Math.sin(data.angle), 0, Math.cos(data.angle));
      this.ground();
      this.body_parts();
      this.tyres();
      this.rods = many(parts.rod, 96);
      this.columns = many(parts.rod, 8);
      this.behind = many(parts.rod, 8); // columns that stand behind something, faint
      Object.assign(this.behind.material, { transparent: true, opacity: 0.3, depthFunc: three.GreaterDepth, depthWrite: false });
      this.behind.renderOrder = 30;
      this.balls = many(parts.ball, 40);
      this.coils = many(parts.coil, 4);
      this.scene.add(this.rods, this.balls, this.coils, this.columns, this.behind);
      const film = new three.BufferGeometry();
      film.setAttribute("position", new three.BufferAttribute(new Float32Array(12), 3));
      film.setIndex([0, 1, 2, 0, 2, 3]);
      this.film = new three.Mesh(film, new three.MeshBasicMaterial({ color: "#ffd43b", side: three.DoubleSide }));
      this.film.frustumCulled = false;
      this.scene.add(this.film);
    }

    ground() {
      const { mesh, angle } = this.data;
      const [half, lane, long] = [mesh.ramp_half_width, mesh.lane, mesh.ramp_length].map((one) => one * METRE);
      const [end, high] = [long * Math.cos(angle), long * Math.sin(angle)];
      const corner = (x, side, z) => new three.Vector3(x, lane + side * half, z);
      const quads = [
        [mesh.hand.ramp, [corner(0, -1, 0), corner(end, -1, high), corner(end, 1, high), corner(0, 1, 0)]],
        [mesh.hand.ramp_side, [corner(0, 1, 0), corner(end, 1, high), corner(end, 1, 0)]],
        [mesh.hand.ramp_side, [corner(0, -1, 0), corner(end, -1, 0), corner(end, -1, high)]],
        [mesh.hand.ramp_side, [corner(end, -1, 0), corner(end, 1, 0), corner(end, 1, high), corner(end, -1, high)]],
      ];
      const faces = quads.map(([colour, corners]) => [colour, 0, 0, 0, ...corners.flatMap((one) => one.toArray().map((v) => v / METRE))]);
      const wedge = gathered(faces.map((face, k) => [k, ...face.slice(1)]), quads.map(([colour]) => colour));
      const material = new three.MeshLambertMaterial({ vertexColors: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
      this.scene.add(new three.Mesh(wedge, material));
      const pairs = [];
      const edge = (...corners) => corners.slice(1).forEach((one, k) => pairs.push(corners[k], one));
      edge(corner(0, -1, 0), corner(end, -1, high), corner(end, 1, high), corner(0, 1, 0), corner(0, -1, 0));
      edge(corner(end, 1, high), corner(end, 1, 0), corner(0, 1, 0));
      for (let s = 0.5; s < long; s += 0.5) {
        const wide = s % 1 ? 0.8 : 0.45; // half metres are short strokes at the outer edge
        const [x, z] = [s * Math.cos(angle), s * Math.sin(angle)];
        pairs.push(corner(x, mesh.outward, z), corner(x, mesh.outward * wide, z));
      }
      this.scene.add(new three.LineSegments(lines(pairs), new three.LineBasicMaterial({ color: mesh.hand.muted })));
      // The floor is seen from above alone, so that a look from below shows the axles; its lines are a metre apart.
      const hubs = [this.run.hub[0], this.run.hub[this.run.hub.length - 1]];
      const tail = Math.floor(Math.min(...hubs.map((hub) => Math.min(hub[6], hub[9]) * METRE)) - 1.6);
      const [from, to, left, right] = [tail, Math.ceil(end + 0.4), 2, -2];
      const plane = [0, 0, 0, 0, from, right, 0, to, right, 0, to, left, 0, from, left, 0];
      const floor = gathered([plane.map((v, k) => (k > 3 ? v / METRE : v))], ["#ffffff"]);
      this.floor = new three.MeshBasicMaterial({ polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 2 });
      this.scene.add(new three.Mesh(floor, this.floor));
      const grid = [];
      for (let x = from; x <= to; x += 1) grid.push(new three.Vector3(x, right, 0), new three.Vector3(x, left, 0));
      for (let y = right; y <= left; y += 1) grid.push(new three.Vector3(from, y, 0), new three.Vector3(to, y, 0));
      this.grid = new three.LineBasicMaterial();
      this.lines = new three.LineSegments(lines(grid), this.grid);
      this.scene.add(this.lines);
    }

    body_parts() {
      const { base, upon, creases, seams } = this.parts;
      const { hand } = this.data.mesh;
      const paint = () => new three.MeshLambertMaterial({ vertexColors: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 });
      this.shell = new three.Mesh(base, paint());
      this.upon = new three.Mesh(upon, paint());
      this.upon.material.polygonOffsetFactor = -0.5;
      this.upon.material.polygonOffsetUnits = -2;
      // Of a body that is faded only what lies nearest is seen: its depth is drawn before its colours.
      this.depth = new three.Mesh(base, new three.MeshBasicMaterial({ colorWrite: false, transparent: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 }));
      this.creases = new three.LineSegments(creases, new three.LineBasicMaterial({ color: hand.edge, transparent: true }));
      this.seams = new three.LineSegments(seams, new three.LineBasicMaterial({ color: hand.crease, transparent: true }));
      this.body = [this.depth, this.shell, this.upon, this.creases, this.seams];
      this.body.forEach((one, k) => {
        one.matrixAutoUpdate = false;
        one.frustumCulled = false;
        one.renderOrder = 10 + k;
        this.scene.add(one);
      });
    }

    fade(solid) {
      for (const one of [this.shell, this.upon]) {
        const see_through = solid < 0.995;
        if (one.material.transparent !== see_through) one.material.needsUpdate = true;
        one.material.transparent = see_through;
        one.material.opacity = solid;
        one.material.depthWrite = !see_through;
        one.visible = solid > 0.02;
      }
      this.depth.visible = solid > 0.02 && solid < 0.995;
      this.creases.material.opacity = 0.25 + 0.75 * solid;
      this.seams.material.opacity = 0.15 + 0.85 * solid;
    }

    // From below the floor is not there.
    from_below(so) { this.lines.visible = !so; }

    colours({ floor, grid, crease }) {
      this.floor.color.set(floor);
      this.grid.color.set(grid);
      this.creases.material.color.set(crease);
    }

    tyres() {
      const index = [];
      const across = SECTION + 1;
      for (let w = 0; w < 4; w += 1) {
        const first = w * ROUND * across;
        for (let i = 0; i < ROUND; i += 1) {
          for (let k = 0; k < SECTION; k += 1) {
            const [a, b] = [first + i * across + k, first + ((i + 1) % ROUND) * across + k];
            index.push(a, b, a + 1, a + 1, b, b + 1);
          }
        }
      }
      const geometry = new three.BufferGeometry();
      for (const name of ["position", "normal", "color"]) {
        geometry.setAttribute(name, new three.BufferAttribute(new Float32Array(4 * ROUND * across * 3), 3));
      }
      geometry.setIndex(index);
      this.tyre = new three.Mesh(geometry, new three.MeshLambertMaterial({ vertexColors: true, side: three.DoubleSide }));
      this.tyre.frustumCulled = false;
      this.scene.add(this.tyre);
    }

    // A tyre is the torus the model rolls on, pressed flat by what it stands on; its tread is lighter and darker by turns.
    tyre_at(w, hub, axle, colour) {
      const { radius, section } = this.data;
      const [thick, crown] = [section[w] * METRE, (radius[w] - section[w]) * METRE];
      const first = new three.Vector3().crossVectors(axle, up).normalize();
      const second = new three.Vector3().crossVectors(axle, first);
      const place = this.tyre.geometry.attributes.position.array;
      const normal = this.tyre.geometry.attributes.normal.array;
      const paint = this.tyre.geometry.attributes.color.array;
      const on_lane = w % 2 === this.data.ramp_wheel;
      const tone = new three.Color(colour);
      let at = w * ROUND * (SECTION + 1) * 3;
      const [sx, sz] = [this.square.x, this.square.z];
      for (let i = 0; i < ROUND; i += 1) {
        const turn = (2 * Math.PI * i) / ROUND;
        const [c, s] = [Math.cos(turn), Math.sin(turn)];
        const [ux, uy, uz] = [c * first.x + s * second.x, c * first.y + s * second.y, c * first.z + s * second.z];
        for (let k = 0; k <= SECTION; k += 1) {
          const out = SIDES[2 * k];
          const side = SIDES[2 * k + 1];
          const reach = crown + thick * out;
          let x = hub.x + reach * ux + thick * side * axle.x;
          const y = hub.y + reach * uy + thick * side * axle.y;
          let z = hub.z + reach * uz + thick * side * axle.z;
          if (on_lane && x > 0) {
            const under = Math.min(x * sx + z * sz, 0);
            x -= under * sx;
            z -= under * sz;
          }
          place[at] = x;
          place[at + 1] = y;
          place[at + 2] = Math.max(z, 0);
          normal[at] = out * ux + side * axle.x;
          normal[at + 1] = out * uy + side * axle.y;
          normal[at + 2] = out * uz + side * axle.z;
          const tread = Math.abs(k - SECTION / 2) < 3.5 && (i + (k > SECTION / 2 ? 1 : 0)) % 2 ? 0.72 : 1;
          paint[at] = tone.r * tread;
          paint[at + 1] = tone.g * tread;
          paint[at + 2] = tone.b * tread;
          at += 3;
        }
      }
    }

    show(climb) {
      const { data, run, rods, balls, coils, columns, behind } = this;
      const { mesh } = data;
      const last = run.climb.length - 1;
      const [begin, end] = [run.climb[0], run.climb[last]];
      const within = Math.max(begin, Math.min(end, climb));
      const place = Math.max(0, Math.min(last, ((within - begin) / (end - begin)) * last || 0));
      const low = Math.min(Math.floor(place), last);
      const share = place - low;
      const mix = (name) => run[name][low].map((v, i) => v + share * (run[name][Math.min(low + 1, last)][i] - v));
      const [hub, load, lean, inner, spring, contact, room] = ["hub", "load", "lean", "inner_end", "spring", "contact", "room"].map(mix);
      const pitch = (run.pitch[low] + share * (run.pitch[Math.min(low + 1, last)] - run.pitch[low])) * (Math.PI / 180);
      const pose = mix("pose");
      const ended = place > last - 1e-3;
      const lifting = ended ? run.lifts : -1;
      const now = { climb: within, load, ended, lifting, hub: [], axle: [], contact: [], tag: [], bar: [] };
      const matrix = new three.Matrix4().set(
        pose[3], pose[6], pose[9], pose[0] * METRE, pose[4], pose[7], pose[10], pose[1] * METRE,
        pose[5], pose[8], pose[11], pose[2] * METRE, 0, 0, 0, 1,
      );
      for (const one of this.body) { one.matrix.copy(matrix); one.matrixWorldNeedsUpdate = true; }
      const body_up = new three.Vector3(pose[9], pose[10], pose[11]);
      for (const one of [rods, balls, coils, columns, behind]) one.clear_all();
      this.film.visible = lifting >= 0;
      for (let w = 0; w < 4; w += 1) {
        const centre = vector(hub, 3 * w);
        const axle = new three.Vector3(Math.tan(pitch) * Math.sin(lean[w]), Math.cos(lean[w]), Math.sin(lean[w])).normalize();
        const foot = vector(contact, 3 * w);
        const out = w % 2 ? -1 : 1;
        const [radius, section] = [data.radius[w] * METRE, data.section[w] * METRE];
        now.hub.push(centre);
        now.axle.push(axle);
        now.contact.push(foot);
        this.tyre_at(w, centre, axle, w === lifting ? LIFTS : "#50565c");
        const rim = Math.max(radius - 1.3 * section, 0.45 * radius);
        const across = (share_out) => centre.clone().addScaledVector(axle, share_out);
        rods.put(across(-0.72 * section), across(0.72 * section), rim, "#d5dade");
        rods.put(across(out * 0.72 * section), across(out * 0.76 * section), 0.8 * rim, "#eef1f3");
        rods.put(across(out * 0.72 * section), across(out * 0.86 * section), 0.3 * rim, mesh.wheel_colours[w]);
        const end_in = vector(inner, 3 * w);
        rods.put(centre, end_in, data.solid[w] ? 0.052 : 0.034, "#6d747b");
        const [seat, top] = [vector(spring, 6 * w), vector(spring, 6 * w + 3)];
        coils.put(seat, top, 0.062, "#868e96");
        const spin = new three.Vector3().subVectors(top, seat).normalize();
        rods.put(top, top.clone().addScaledVector(spin, 0.02), 0.085, "#495057");
        rods.put(seat.clone().addScaledVector(spin, -0.02), seat, 0.08, "#495057");
        // Travel left, to scale: a bead between bump stop and full droop; the stop that is met glows.
        const inboard = new three.Vector3().subVectors(end_in, centre).normalize();
        const bead = seat.clone().addScaledVector(inboard, data.solid[w] ? 0.15 : -0.15);
        bead.x -= 0.1; // clear of the axle
        const bump = bead.clone().addScaledVector(body_up, room[w] * METRE);
        const droop = bead.clone().addScaledVector(body_up, -room[4 + w] * METRE);
        const met = [room[w] <= 0.5, room[4 + w] <= 0.5];
        if (Math.abs(room[w]) < 999 && Math.abs(room[4 + w]) < 999) {
          rods.put(droop, bump, 0.008, "#343a40");
          [bump, droop].forEach((stop, k) => {
            const away = body_up.clone().multiplyScalar(k ? -0.035 : 0.035);
            rods.put(stop, stop.clone().add(away), met[k] ? 0.065 : 0.035, met[k] ? "#e03131" : "#343a40");
          });
          balls.put(bead, bead.clone().addScaledVector(up, 0.026), 0.026, "#f8f9fa");
        }
        // The load as a column on the floor, outboard of the wheel and of the ramp.
        const lane = w % 2 === data.ramp_wheel ? mesh.ramp_half_width * METRE : section;
        const stand = new three.Vector3(foot.x, foot.y + out * (lane + 0.3), 0);
        const high = load[w] * NEWTON;
        for (const one of [columns, behind]) {
          one.put(stand, stand.clone().addScaledVector(up, 0.012), 0.15, w === lifting ? LIFTS : "#adb5bd");
          if (high > 0.004) one.put(stand, stand.clone().addScaledVector(up, high), 0.085, COLUMN);
        }
        now.tag.push(stand.clone().addScaledVector(up, high));
        if (w === lifting) {
          const flat = this.film.geometry.attributes.position;
          const [y, long, half] = [foot.y - out * 0.9 * section, 0.34 + 0.9 * section, 0.12];
          const along = w % 2 === data.ramp_wheel && foot.x > 0 ? this.slope : new three.Vector3(1, 0, 0);
          [[-half, 0], [half, 0], [half, long], [-half, long]].forEach(([x, side], k) => {
            flat.setXYZ(k, foot.x + x * along.x, y + out * side, Math.max(foot.z, 0) + x * along.z + 0.004);
          });
          flat.needsUpdate = true;
        }
      }
      for (const axle of [0, 1]) {
        if (!data.solid[2 * axle]) continue;
        const middle = vector(inner, 6 * axle);
        balls.put(middle, middle.clone().add(new three.Vector3(0, 0, 0.13)), 0.13, "#6d747b");
      }
      const bar = mix("bar");
      run.bar_free.forEach((free, k) => {
        const spots = [0, 1, 2, 3, 4, 5].map((i) => vector(bar, 18 * k + 3 * i));
        now.bar.push(spots);
        const colour = mesh.hand.bar;
        [[0, 1], [1, 2], [2, 3]].forEach(([a, b]) => rods.put(spots[a], spots[b], 0.019, colour));
        [[0, 4], [3, 5]].forEach(([a, b]) => rods.put(spots[a], spots[b], 0.011, colour));
        for (const i of [0, 1, 2, 3]) balls.put(spots[i], spots[i].clone().addScaledVector(up, 0.02), 0.02, colour);
        for (const i of [4, 5]) balls.put(spots[i], spots[i].clone().addScaledVector(up, 0.028), 0.028, free ? "#ffffff" : colour);
      });
      const [dots, sides] = [mix("point"), mix("across")];
      now.point = sides.map((y, i) => new three.Vector3(dots[2 * i] * METRE, y * METRE, dots[2 * i + 1] * METRE));
      for (const one of now.point) balls.put(one, one.clone().addScaledVector(up, 0.022), 0.022, mesh.hand.bar);
      // The mark, and the square from it to the hub.
      const climber = now.hub[data.ramp_wheel];
      now.mark = this.slope.clone().multiplyScalar(within).setY(climber.y);
      if (within > 0) {
        const edge = (side) => now.mark.clone().setY((mesh.lane + side * mesh.ramp_half_width) * METRE).addScaledVector(this.square, 0.004);
        rods.put(edge(-1), edge(1), 0.014, "#0b7285");
        const outer = now.mark.clone().setY(edge(mesh.outward).y);
        rods.put(outer, outer.clone().add(new three.Vector3().subVectors(climber, now.mark)), 0.009, "#0b7285");
        rods.put(new three.Vector3(outer.x, outer.y + mesh.outward * 0.02, 0), outer.clone().setY(outer.y + mesh.outward * 0.02), 0.007, mesh.hand.ink);
        now.foot = outer;
      }
      for (const one of [rods, balls, coils, columns, behind]) one.done();
      const { position, normal, color } = this.tyre.geometry.attributes;
      for (const one of [position, normal, color]) one.needsUpdate = true;
      this.now = now;
      return now;
    }
  }
  return { Climbing, shared };
};
