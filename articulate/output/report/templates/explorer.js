// What-ifs: linear interpolation between the points of a grid that the real model solved, the file's own vehicle one of them.
for (const root of document.querySelectorAll(".explorer")) {
  const data = page.data(root, "explorer");
  const inputs = [...root.querySelectorAll("input[type=range]")];
  const sizes = data.sliders.map((slider) => slider.values.length);
  const strides = sizes.map((_, i) => sizes.slice(i + 1).reduce((a, b) => a * b, 1));
  // Where a slider stands among its points: the point below, and the share of the way to the next.
  const place_of = (i) => {
    const at = (Number(inputs[i].value) / Number(inputs[i].max)) * (sizes[i] - 1);
    const low = Math.max(0, Math.min(sizes[i] - 2, Math.floor(at)));
    return [low, at - low];
  };
  const value = (i) => {
    const [low, share] = place_of(i);
    const { values } = data.sliders[i];
    return values[low] + share * (values[low + 1] - values[low]);
  };
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
  const show = () => {
    const place = inputs.map((_, i) => place_of(i));
    const as_filed = data.sliders.every((slider, i) => Number(inputs[i].value) === slider.start);
    data.sliders.forEach((slider, i) => {
      const words = `${value(i).toFixed(slider.digits)} ${slider.unit}`.trim();
      const filed = Number(inputs[i].value) === slider.start;
      inputs[i].closest("label").querySelector(".value").textContent = words;
      inputs[i].closest("label").querySelector(".filed").textContent = filed ? ", as the file has it" : "";
      inputs[i].setAttribute("aria-valuetext", words);
    });
    data.bars.forEach((bars, b) => {
      const score = at(data.score[b], place);
      const part = root.querySelector(`[data-bars="${bars}"]`);
      const put = (name, text) => { part.querySelector(`[data-part="${name}"]`).textContent = text; };
      const error = data.error[b].typical;
      put("error", as_filed ? "solved" : error === null ? "" : `interpolated, 95 % within ${error.toFixed(1)} points`);
      if (Number.isNaN(score)) {
        put("score", "no score");
        put("change", "no wheel lifts here, or no such vehicle can stand");
        put("mark", "");
        put("wheel", "");
        return;
      }
      // The change is that of the whole points that are read, so that it adds up with them.
      const filed = data.file[b];
      const shown = as_filed && filed !== null ? filed : Math.round(score).toString();
      const change = filed === null ? null : Number(shown) - Number(filed);
      put("score", shown);
      put("change", as_filed ? "as the file has it" : change === null ? "the file has no score"
        : change ? `${change > 0 ? "+" : "−"}${Math.abs(change)} against the file's ${filed}` : "no change against the file");
      put("mark", `mark ${page.tape((score * wheelbase() * Math.sin(data.angle)) / 1000, data.units)} above the floor`);
      const wheel = nearest(data.wheel[b], place);
      put("wheel", wheel < 0 ? "" : `${data.wheels[wheel]} lifts${as_filed ? "" : " (at the nearest grid point)"}`);
    });
  };
  const reset = () => {
    data.sliders.forEach((slider, i) => { inputs[i].value = slider.start; });
    show();
  };
  inputs.forEach((input) => input.addEventListener("input", show));
  root.querySelector("button").addEventListener("click", reset);
  reset();
  root.classList.add("ready");
}
