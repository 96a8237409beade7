// Moving what is drawn while the hand moves: curves are scaled along the clock, words are carried.
const NAMESPACE = "http://www.w3.org/2000/svg";
let made = 0;

const element = (name, attributes) => {
  const one = document.createElementNS(NAMESPACE, name);
  Object.entries(attributes).forEach(([key, value]) => one.setAttribute(key, value));
  return one;
};

// Let nothing of a lane be seen beside it; the drawing itself needs no such thing.
const clip = (svg) => {
  if (svg.querySelector("clipPath")) return;
  const { x0, x1 } = svg.dataset;
  const name = `strip-clip-${made += 1}`;
  const path = element("clipPath", { id: name });
  path.append(element("rect", { x: x0, width: x1 - x0, y: -20, height: svg.viewBox.baseVal.height + 40 }));
  svg.append(path);
  svg.querySelectorAll(".plot").forEach((plot) => {
    const around = element("g", { "clip-path": `url(#${name})` });
    plot.replaceWith(around);
    around.append(plot);
  });
};

const place = (one) => Number(one.getAttribute("x") ?? one.getAttribute("x1"));

// Show a drawing of the time `drawn` as far as it can tell the time `wanted`, both [from, to].
export const moveTo = (svg, drawn, wanted) => {
  const [low, high] = wanted;
  const still = low === drawn[0] && high === drawn[1];
  if (still && !svg.dataset.moved) return;
  clip(svg);
  svg.dataset.moved = "yes";
  const [x0, x1] = [Number(svg.dataset.x0), Number(svg.dataset.x1)];
  const scale = (drawn[1] - drawn[0]) / (high - low);
  const shift = x0 + (drawn[0] - low) / (high - low) * (x1 - x0) - scale * x0;
  svg.querySelectorAll(".plot").forEach((plot) => {
    plot.setAttribute("transform", still ? "" : `matrix(${scale} 0 0 1 ${shift} 0)`);
  });
  svg.querySelectorAll(".rail > *, .axis > *, .notes > *").forEach((one) => {
    if (one.tagName === "line" && one.getAttribute("y1") === one.getAttribute("y2")) return;
    const x = place(one);
    const to = scale * x + shift;
    one.setAttribute("transform", still ? "" : `translate(${to - x} 0)`);
    one.style.visibility = to < x0 - 8 || to > x1 + 8 ? "hidden" : "";
  });
};

// The span that a drag has gone over.
export const markSpan = (svg, [low, high], from, to) => {
  clearSpan(svg);
  const [x0, x1] = [Number(svg.dataset.x0), Number(svg.dataset.x1)];
  const x = (time) => x0 + (Math.min(Math.max(time, low), high) - low) / (high - low) * (x1 - x0);
  const [left, right] = [x(Math.min(from, to)), x(Math.max(from, to))];
  const cursor = svg.querySelector(".cursor");
  const [top, bottom] = [cursor.getAttribute("y1"), cursor.getAttribute("y2")];
  svg.append(element("rect", { class: "strip-span", x: left, y: top, width: right - left, height: bottom - top }));
};

export const clearSpan = (svg) => svg.querySelector(".strip-span")?.remove();
