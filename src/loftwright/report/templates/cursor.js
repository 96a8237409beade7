// A line to read values off the strips. The page says everything without it.
(() => {
  "use strict";
  const strips = JSON.parse(document.getElementById("strip-data").textContent);
  const figures = [...document.querySelectorAll("figure[data-strip]")];
  const round = (value) => String(Number(value.toPrecision(3))).replace("-", "\u2212");

  const read = (strip, time) => {
    const after = Math.max(1, strip.t.findIndex((t) => t >= time));
    const share = (time - strip.t[after - 1]) / (strip.t[after] - strip.t[after - 1]);
    const at = (column) => {
      const [one, other] = [column[after - 1], column[after]];
      return one === null || other === null ? null : one + share * (other - one);
    };
    const during = (stays) => stays.find(([start, end]) => start <= time && time < end);
    const told = (lane) => (lane.stays ? during(lane.stays) !== undefined : at(lane.v) !== null);
    const parts = strip.lanes.filter(told).map((lane) => {
      if (lane.stays) return `${lane.name}: ${during(lane.stays)[2]}`;
      const [low, high] = lane.lo ? [round(at(lane.lo)), round(at(lane.hi))] : ["", ""];
      const spread = low === high ? "" : ` (${low} to ${high})`;
      return `${lane.name} ${round(at(lane.v))} ${lane.unit}${spread}`;
    });
    return [`at ${round(time)} s`, parts.join(" · ")];
  };

  const show = (time) => figures.forEach((figure) => {
    const strip = strips[Number(figure.dataset.strip)];
    const inside = time >= strip.t[0] && time <= strip.t[strip.t.length - 1];
    const line = figure.parentElement.querySelector("[data-readout]");
    const [when, what] = inside ? read(strip, time) : ["", ""];
    const bold = document.createElement("b");
    bold.textContent = when;
    line.replaceChildren(bold, inside ? `  ${what}` : "\u00a0");
    figure.querySelectorAll("svg").forEach((svg) => {
      const { x0, x1, t0, t1 } = svg.dataset;
      const x = Number(x0) + (time - t0) / (t1 - t0) * (x1 - x0);
      const cursor = svg.querySelector(".cursor");
      cursor.setAttribute("x1", x);
      cursor.setAttribute("x2", x);
      cursor.style.visibility = inside ? "visible" : "hidden";
    });
  });

  figures.forEach((figure) => {
    if (figure === figures[0]) {
      figure.parentElement.querySelector("[data-readout]").textContent =
        "Move along a strip, or use the arrow keys, to read values.";
    }
    figure.querySelectorAll("svg").forEach((svg) => {
      const { x0, x1, t0, t1, width } = svg.dataset;
      let now = Number(t0);
      const go = (time) => { now = Math.min(t1, Math.max(t0, time)); show(now); };
      svg.setAttribute("tabindex", "0");
      svg.addEventListener("pointermove", (event) => {
        const room = svg.getBoundingClientRect();
        const x = (event.clientX - room.left) / room.width * width;
        go(Number(t0) + (x - x0) / (x1 - x0) * (t1 - t0));
      });
      svg.addEventListener("keydown", (event) => {
        const turn = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
        if (!turn) return;
        event.preventDefault();
        go(now + turn * (t1 - t0) / 100);
      });
    });
  });
})();
