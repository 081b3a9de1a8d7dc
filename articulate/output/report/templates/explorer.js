// What-ifs: linear interpolation between the points of a grid that the real model solved.
for (const root of document.querySelectorAll(".explorer")) {
  const data = page.data(root, "explorer");
  const inputs = [...root.querySelectorAll("input[type=range]")];
  const sizes = data.sliders.map((slider) => slider.points);
  const strides = sizes.map((_, i) => sizes.slice(i + 1).reduce((a, b) => a * b, 1));
  const value = (i) => {
    const { low, high, nominal } = data.sliders[i];
    return inputs[i].dataset.moved ? low + (Number(inputs[i].value) / Number(inputs[i].max)) * (high - low) : nominal;
  };
  const cell = () => data.sliders.map((slider, i) => {
    const place = ((value(i) - slider.low) / (slider.high - slider.low)) * (slider.points - 1);
    const low = Math.max(0, Math.min(slider.points - 2, Math.floor(place)));
    return [low, place - low];
  });
  const at = (table, place) => {
    let total = 0;
    for (let corner = 0; corner < 1 << place.length; corner += 1) {
      let weight = 1;
      let index = 0;
      place.forEach(([low, share], i) => {
        const up = (corner >> i) & 1;
        weight *= up ? share : 1 - share;
        index += (low + up) * strides[i];
      });
      if (weight > 1e-12) {
        if (table[index] === null) return NaN;
        total += weight * table[index];
      }
    }
    return total;
  };
  const nearest = (table, place) =>
    table[place.reduce((index, [low, share], i) => index + (low + (share > 0.5 ? 1 : 0)) * strides[i], 0)];
  const wheelbase = () => {
    const i = data.sliders.findIndex((slider) => slider.key === "wheelbase");
    return i < 0 ? data.wheelbase : value(i) * data.sliders[i].size;
  };
  const start = data.bars.map(() => NaN);
  const show = () => {
    const place = cell();
    data.sliders.forEach((slider, i) => {
      const words = `${value(i).toFixed(slider.digits)} ${slider.unit}`.trim();
      inputs[i].closest("label").querySelector(".value").textContent = words;
      inputs[i].setAttribute("aria-valuetext", words);
    });
    data.bars.forEach((bars, b) => {
      const score = at(data.score[b], place);
      const part = root.querySelector(`[data-bars="${bars}"]`);
      const put = (name, text) => { part.querySelector(`[data-part="${name}"]`).textContent = text; };
      if (Number.isNaN(start[b])) start[b] = score;
      if (Number.isNaN(score)) {
        put("score", "no score");
        put("change", "no wheel lifts here, or no such vehicle can stand");
        put("mark", "");
        put("wheel", "");
        return;
      }
      const change = Math.round(score - start[b]);
      put("score", Math.round(score).toString());
      put("change", change ? `${change > 0 ? "+" : "−"}${Math.abs(change)} against the file` : "as the file has it");
      put("mark", `mark ${page.tape((score * wheelbase() * Math.sin(data.angle)) / 1000, data.units)} above the floor`);
      const wheel = nearest(data.wheel[b], place);
      put("wheel", wheel < 0 ? "" : `${data.wheels[wheel]} lifts (at the nearest grid point)`);
    });
  };
  const reset = () => {
    data.sliders.forEach((slider, i) => {
      delete inputs[i].dataset.moved;
      inputs[i].value = Math.round(((slider.nominal - slider.low) / (slider.high - slider.low)) * Number(inputs[i].max));
    });
    show();
  };
  inputs.forEach((input) => input.addEventListener("input", () => { input.dataset.moved = "yes"; show(); }));
  root.querySelector("button").addEventListener("click", reset);
  reset();
  root.classList.add("ready");
}
