// The buttons below a strip: zoom, lanes, and files.
import { savePicture } from "./strip-picture.js";
import { moment } from "./strip-values.js";

// Whether the page is light on dark, and so the picture of a strip: the server does not know.
export const dark = matchMedia("(prefers-color-scheme: dark)");

const make = (name, attributes = {}, ...inside) => {
  const one = document.createElement(name);
  Object.entries(attributes).forEach(([key, value]) => one.setAttribute(key, value));
  one.append(...inside);
  return one;
};

const button = (words, says, does) => {
  const one = make("button", { type: "button", title: says }, words);
  one.addEventListener("click", does);
  return one;
};

const laneBoxes = (strip, lanes) => {
  const row = make("div", { class: "row", role: "group", "aria-label": "Lanes to show" });
  const boxes = lanes.map((name) => {
    const box = make("input", { type: "checkbox" });
    box.checked = true;
    box.addEventListener("change", () => {
      // One lane stays: a strip of nothing says nothing.
      if (!boxes.some((each) => each.checked)) box.checked = true;
      strip.lanes(new Set(lanes.filter((_, at) => !boxes[at].checked)));
    });
    row.append(make("label", {}, box, name));
    return box;
  });
  return row;
};

export const addTools = (strip, lanes) => {
  const closer = button("Closer", "Show half of this time (+)", () => strip.zoom(2));
  const wider = button("Wider", "Show twice this time (-)", () => strip.zoom(0.5));
  const whole = button("Whole", "Show the whole strip (0)", () => strip.all());
  const earlier = button("Earlier", "Move on to what was before (Page Up)", () => strip.pan(-0.5));
  const later = button("Later", "Move on to what comes (Page Down)", () => strip.pan(0.5));
  const span = make("span", { class: "span" });
  const svg = make("a", { class: "button", download: "" }, "SVG");
  const csv = make("a", { class: "button", download: "" }, "CSV");
  const png = button("PNG", "Save the picture as it looks here", () => savePicture(strip));
  svg.title = "Save the drawing";
  csv.title = "Save every sample of this time, in the units shown";
  const line = make("p", { class: "line" });
  const save = make("details", {}, make("summary", {}, "Save"), make("div", { class: "row" }, png, svg, csv), line);
  const parts = [closer, wider, whole, earlier, later];
  if (lanes.length > 1) parts.push(make("details", {}, make("summary", {}, "Lanes"), laneBoxes(strip, lanes)));
  const tools = make("div", { class: "strip-tools", role: "group", "aria-label": "This strip" }, ...parts, save, span);
  strip.stage.after(tools);

  const command = (words) => {
    if (line.dataset.words === words) return;
    line.dataset.words = words;
    const copy = make("button", { type: "button", "data-copy": words }, "Copy");
    line.replaceChildren(make("code", {}, words), copy);
  };

  const update = () => {
    const [low, high] = strip.span;
    wider.disabled = whole.disabled = !strip.zoomed;
    earlier.disabled = low <= strip.whole[0];
    later.disabled = high >= strip.whole[1];
    span.textContent = `${moment(low, strip.span)} to ${moment(high, strip.span)}`;
    const query = strip.query();
    svg.href = `${strip.address}.svg?${strip.query({ width: strip.kind })}`;
    csv.href = `${strip.address}.csv?${query}`;
    if (strip.command) command(`${strip.command}${dark.matches ? " --dark" : ""}`);
  };
  return { update, part: () => span.textContent };
};
