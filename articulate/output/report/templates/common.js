"use strict";
// What the page's parts share. Text only ever goes in by textContent, so that data stays data.
const page = {
  data(root, name) {
    return JSON.parse(root.querySelector(`script[data-name="${name}"]`).textContent);
  },
  // The climb, each quantity of a run with a row a step again: written as whole numbers, a first row and what is added to it.
  climb(root) {
    const data = page.data(root, "climb");
    for (const run of data.runs) {
      for (const [name, { digits, rows }] of Object.entries(run.along)) {
        const size = 10 ** digits;
        let sum = rows[0].map(() => 0);
        run[name] = rows.map((row) => {
          sum = sum.map((v, i) => v + row[i]);
          return sum.map((v) => v / size);
        });
      }
      run.pose = run.origin.map((origin, k) => [...origin, ...run.axes[k]]);
    }
    for (const face of data.mesh.faces) for (let i = 7; i < face.length; i += 1) face[i] += face[i - 3];
    return data;
  },
  shape(name, attributes, parent) {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (parent) parent.append(made);
    return made;
  },
  element(name, text, parent, kind) {
    const made = document.createElement(name);
    if (text !== null) made.textContent = text;
    if (kind) made.className = kind;
    if (parent) parent.append(made);
    return made;
  },
  // Whether the page is in its dark hand.
  dark() {
    const chosen = document.documentElement.dataset.hand;
    return chosen ? chosen === "dark" : window.matchMedia("(prefers-color-scheme: dark)").matches;
  },
  inches(metres) {
    const parts = Math.round((Math.abs(metres) / 0.0254) * 16);
    const whole = Math.floor(parts / 16);
    let top = parts % 16;
    let bottom = 16;
    while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
    const sign = metres < 0 && parts ? "-" : "";
    if (!top) return `${sign}${whole} in`;
    return `${sign}${whole ? whole + " " : ""}${top}/${bottom} in`;
  },
  tape(metres, units) {
    return units.map((unit) => (unit === "in" ? page.inches(metres) : `${Math.round(metres * 1000)} mm`)).join(", ");
  },
};
