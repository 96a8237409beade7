// The what-if: sliders ask, the picture follows. Of two answers the newer one is shown, and an older
// one never takes its place. All that stands here is in the address, so that a reload loses nothing.
import { ask } from "./workbench.js";
import { addTouch } from "./slider-touch.js";
import { patch } from "./whatif-patch.js";

const REST = 350; // ms without a touch, after which a finer answer is asked for
const SOON = 150; // ms after a movement, in which the address and the forms may wait
const root = document.getElementById("whatif");
const sliders = document.getElementById("sliders");
const state = document.getElementById("state");
const glance = document.getElementById("glance");
const picture = document.getElementById("picture");
const rest = document.getElementById("rest");
const wrong = document.getElementById("whatif-wrong");
const who = `page-${Math.random().toString(36).slice(2, 12)}`; // what this page goes by

let pinned = JSON.parse(root.dataset.pinned); // values of the baseline; {}: the documents
let pinnedName = root.dataset.name;
let asked = 0; // number of the latest question
let shown = 0; // number of the question whose answer is seen
let flying = false; // flights of a quick question are under way
let again = false; // the hand has moved since
let resting = 0;
let restHtml = "";
let moved = 0; // when the hand moved first since the last question

const boxes = () => [...sliders.querySelectorAll(".slider")];
const range = (box) => box.querySelector("input[type=range]");
const typed = (box) => box.querySelector(".slider-text");
const written = (box) => box.dataset.text;

// ------------------------------------------------------------ values

const full = (box) => {
  const text = typed(box).value.trim();
  const spread = box.dataset.spread;
  return spread && !/±|\+\/?-/.test(text) ? `${text} ± ${spread}` : text;
};

const isMoved = (box) => typed(box).value.trim() !== written(box);

const values = () => Object.fromEntries(boxes().filter(isMoved).map((box) => [box.dataset.path, full(box)]));

const same = (one, other) => JSON.stringify(Object.entries(one).sort()) === JSON.stringify(Object.entries(other).sort());

const byPrograms = () =>
  document.querySelector('input[name="who"]:checked')?.value === "programs" ||
  Object.keys({ ...values(), ...pinned }).some((path) => path.startsWith("program."));

const says = (box, number) => {
  const places = Number(box.dataset.places);
  const shownNumber = String(Number(number.toFixed(places + 2)));
  return `${shownNumber} ${box.dataset.unit}`.trim();
};

let kind = picture.clientWidth >= 560 ? "medium" : "narrow"; // which width of drawing is wanted

// ------------------------------------------------------------ asking

const question = (fine) => {
  const now = values();
  return {
    who,
    values: now,
    pinned: same(now, pinned) ? null : pinned,
    against: pinnedName || (Object.keys(pinned).length ? "baseline" : "as written"),
    width: kind,
    fine,
    programs: byPrograms(),
  };
};

// Ask for the values as they stand now.
const begin = (fine) => {
  const round = { number: ++asked, fine, began: fine ? 0 : moved, read: performance.now(), question: question(fine) };
  if (!fine) moved = 0;
  const reply = ask("/forecast/whatif", {
    method: "POST",
    body: JSON.stringify(round.question),
    headers: { "Content-Type": "application/json" },
  });
  round.flown = reply.catch(() => null); // the head of the answer comes before it is drawn
  round.answer = reply.then((head) => head.json()).catch(() => SILENT);
  return round;
};

const SILENT = {
  problems: [{ message: "the workbench does not answer", mend: "see whether it still runs", where: {} }],
};

const settle = (round, answer) => {
  if (round.number > shown && !answer.stale) show(answer, round);
  if (round.began && shown === round.number) measure({ "hand to picture": round.began, "age of the picture": round.read });
};

// The engine reads documents anew that change; what this page calls "as written" is of when it was opened.
const tellOfOthers = (of) => {
  document.getElementById("of-others").textContent =
    !of || of === root.dataset.of
      ? ""
      : "! The documents have changed since this page was opened. The picture is of those of now; what the sliders show where they were not moved is of before. Load this page anew: values that you moved stay.";
};

const follow = () => {
  clearTimeout(resting);
  if (flying) again = true;
  else fly();
};

// As soon as the flights of one question are flown the next may follow, if the hand has moved: while
// the one answer is drawn, sent and painted, flights of the other are under way.
const fly = async () => {
  flying = true;
  again = false;
  const round = begin(false);
  await round.flown;
  flying = false;
  if (again) fly();
  const answer = await round.answer;
  settle(round, answer);
  if (round.number === asked && !answer.problems) resting = setTimeout(refine, REST);
};

const refine = async () => {
  const round = begin(true);
  settle(round, await round.answer);
};

// ------------------------------------------------------------ showing

const clearWrongs = () => {
  wrong.textContent = "";
  for (const box of boxes()) {
    box.querySelector(".wrong").textContent = "";
    typed(box).removeAttribute("aria-invalid");
  }
};

const large = (words) => words.charAt(0).toUpperCase() + words.slice(1);

const sentence = (problem) => `${large(problem.message)}. ${large(problem.mend ?? "")}`.trim();

const showProblems = (problems) => {
  let ofValues = false;
  for (const problem of problems) {
    const box = boxes().find((each) => each.dataset.path === problem.where?.field);
    ofValues ||= Boolean(box);
    (box?.querySelector(".wrong") ?? wrong).textContent = sentence(problem);
    if (box) typed(box).setAttribute("aria-invalid", "true");
  }
  const why = ofValues ? ": something is wrong with a value" : "";
  state.textContent = `Not flown${why}. The picture is that of the last answer.`;
  picture.classList.add("late");
  glance.classList.add("late");
};

const show = (answer, { number, fine, question: of }) => {
  shown = number;
  clearWrongs();
  if (answer.problems) {
    showProblems(answer.problems);
    return;
  }
  patch(glance, answer.glance);
  patch(picture, answer.html);
  picture.classList.remove("late");
  glance.classList.remove("late");
  tellOfOthers(answer.of);
  if (answer.rest) {
    // What is read aloud comes when the hand rests, and only where it is another than before.
    if (restHtml !== answer.rest.html) rest.innerHTML = restHtml = answer.rest.html;
    document.getElementById("said").textContent = glance.querySelector(".lead")?.textContent ?? "";
    rest.classList.remove("waits");
    tellFigures(answer.figures);
  } else {
    rest.classList.add("waits");
  }
  const decided = answer.decided_by === "programs" ? "; the release program decides" : "";
  state.textContent = `${answer.flights} flights${fine ? "" : " at once"}${decided}`;
  for (const [path, at] of Object.entries(answer.numbers ?? {})) {
    const box = boxes().find((each) => each.dataset.path === path);
    if (box && document.activeElement !== range(box) && full(box) === of.values[path]) setThumb(box, at);
  }
  picture.dataset.answer = number;
  picture.dataset.flights = answer.flights;
  document.dispatchEvent(new CustomEvent("whatif:drawn", { detail: { number, fine } }));
};

// What a search can aim at.
const tellFigures = (names) => {
  const list = document.getElementById("figures");
  if (list.children.length) return;
  list.append(...names.map((name) => Object.assign(document.createElement("option"), { value: name })));
};

// Until the picture is painted: the frame after the one in which it was put in. Counted from the
// first movement that it answers, and from when the values that it shows were read off the hands.
const measure = (starts) => {
  requestAnimationFrame(() =>
    setTimeout(() => {
      const end = performance.now();
      for (const [name, start] of Object.entries(starts)) performance.measure(name, { start, end });
    })
  );
};

const setThumb = (box, number) => {
  const thumb = range(box);
  if (number < Number(thumb.min)) widen(box, ".slider-low", number);
  if (number > Number(thumb.max)) widen(box, ".slider-high", number);
  thumb.value = number;
};

const widen = (box, end, number) => {
  box.querySelector(end).value = number;
  range(box)[end === ".slider-low" ? "min" : "max"] = number;
};

// ------------------------------------------------------------ what stands here

const remember = () => {
  const query = new URLSearchParams();
  for (const box of boxes()) query.append("show", box.dataset.path);
  for (const [path, text] of Object.entries(values())) query.append("set", `${path}=${text}`);
  for (const [path, text] of Object.entries(pinned)) query.append("pin", `${path}=${text}`);
  for (const box of boxes()) {
    const [low, high] = [".slider-low", ".slider-high"].map((end) => box.querySelector(end));
    if (low.value !== low.defaultValue || high.value !== high.defaultValue) {
      query.append("range", `${box.dataset.path}=${low.value}..${high.value}`);
    }
  }
  if (pinnedName) query.set("name", pinnedName);
  if (document.querySelector('input[name="who"]:checked')?.value === "programs") query.set("programs", "1");
  history.replaceState(null, "", `${location.pathname}?${query}${location.hash}`);
};

// As report/shell.py has it.
const quoted = (text) => {
  if (root.dataset.shell !== "windows") {
    return /^[\w@%+=:,./-]+$/.test(text) ? text : `'${text.replaceAll("'", `'"'"'`)}'`;
  }
  return /^[\w.:/\\=+-]+$/.test(text) ? text : `"${text.replace(/(\\*)"/g, '$1$1\\"').replace(/(\\+)$/, "$1$1")}"`;
};

const options = (name, some) =>
  Object.entries(some)
    .map(([path, text]) => ` --${name} ${quoted(`${path}=${text}`)}`)
    .join("");

const tellCommand = (now) => {
  const line = document.querySelector(".command .line");
  if (!line) return;
  const decides = byPrograms() ? " --programs" : "";
  const values = options("set", now) + options("against", pinned);
  const command = `loftwright whatif ${quoted(root.dataset.home)}${decides}${values}`;
  line.querySelector("code").textContent = command;
  line.querySelector("button").dataset.copy = command;
  line.querySelector("button").textContent = "Copy";
};

const hidden = (form, now) => {
  for (const old of form.querySelectorAll('input[name="set"]')) old.remove();
  for (const [path, text] of Object.entries(now)) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name: "set", value: `${path}=${text}` });
    form.append(field);
  }
  const programs = form.querySelector('input[name="programs"]');
  if (programs) programs.value = byPrograms() ? "yes" : "";
};

// What a number is called on this page; by its path where it has no slider.
const called = (path) => boxes().find((box) => box.dataset.path === path)?.querySelector("label").textContent ?? path;

const tell = () => {
  const now = values();
  const count = Object.keys(now).length;
  for (const box of boxes()) {
    box.classList.toggle("moved", isMoved(box));
    box.querySelector(".slider-reset").hidden = !isMoved(box);
    range(box).setAttribute("aria-valuetext", typed(box).value);
  }
  document.getElementById("all-back").hidden = count === 0;
  document.getElementById("write-it").disabled = count === 0;
  document.getElementById("write-words").textContent = count
    ? `${Object.entries(now).map(([path, text]) => `${called(path)} ${text}`).join(", ")}.`
    : "Nothing is another than in the documents.";
  const pinnedCount = Object.keys(pinned).length;
  document.getElementById("unpin").hidden = pinnedCount === 0;
  document.getElementById("baseline").textContent = pinnedCount
    ? `Beside ${pinnedName || "the baseline"}: ${Object.entries(pinned).map(([path, text]) => `${called(path)} ${text}`).join(", ")}.`
    : "Beside the documents as they are written.";
  for (const form of document.querySelectorAll("form[data-with-values], #write")) hidden(form, now);
  for (const words of document.querySelectorAll("[data-values-words]")) {
    const decides = byPrograms() ? "; the release program decides, as in the picture" : "";
    words.textContent = `With the values of the ${count ? "sliders" : "documents"}${decides}.`;
  }
  const more = new URLSearchParams(Object.entries(now).map(([path, text]) => ["set", `${path}=${text}`]));
  document.getElementById("to-more").href = `/forecast/more?${more}`;
  tellCommand(now);
  tellMovable();
  remember();
};

// What may move in a search: the sliders, each between the ends of its range.
const tellMovable = () => {
  const list = document.getElementById("movable");
  const ticked = new Set([...list.querySelectorAll("input[type=checkbox]:checked")].map((box) => box.value));
  const rows = boxes().filter((box) => box.dataset.program === "0").map((box) => {
    const path = box.dataset.path;
    const row = document.createElement("div");
    const label = document.createElement("label");
    const tick = Object.assign(document.createElement("input"), { type: "checkbox", name: "vary", value: path });
    tick.checked = ticked.has(path);
    label.append(tick, ` ${box.querySelector(".slider-head label").textContent}`);
    row.append(label);
    for (const [word, end] of [["from", ".slider-low"], ["to", ".slider-high"]]) {
      const own = document.createElement("label");
      const field = Object.assign(document.createElement("input"), {
        type: "text",
        name: `${word}.${path}`,
        value: `${box.querySelector(end).value} ${box.dataset.unit}`.trim(),
      });
      own.append(`${word} `, field);
      row.append(own);
    }
    return row;
  });
  list.replaceChildren(...rows);
};

// ------------------------------------------------------------ hands

let telling = 0;

// While a thumb is dragged only what must be is done; the rest of the page is told soon after.
const touched = (box = null) => {
  moved = moved || performance.now();
  clearTimeout(telling);
  if (box) {
    box.classList.toggle("moved", isMoved(box));
    telling = setTimeout(tell, SOON);
  } else {
    tell();
  }
  follow();
};

// What a form sends is what the sliders say when it is sent.
document.addEventListener("submit", tell, true);

addTouch(sliders);

sliders.addEventListener("input", (event) => {
  const box = event.target.closest(".slider");
  if (event.target.type === "range") {
    moved = moved || event.timeStamp;
    typed(box).value = says(box, Number(event.target.value));
    event.target.setAttribute("aria-valuetext", typed(box).value);
    touched(box);
  }
});

sliders.addEventListener("change", (event) => {
  const box = event.target.closest(".slider");
  if (event.target.matches(".slider-text")) touched();
  if (event.target.matches(".slider-low, .slider-high")) {
    const [low, high] = [".slider-low", ".slider-high"].map((end) => Number(box.querySelector(end).value));
    const fits = Number.isFinite(low) && Number.isFinite(high) && low < high;
    box.querySelector(".wrong").textContent = fits ? "" : "The first end must be a number below the second.";
    if (!fits) return;
    range(box).min = low;
    range(box).max = high;
    tell();
  }
});

sliders.addEventListener("keydown", (event) => {
  if (event.target.matches(".slider-text") && event.key === "Enter") {
    event.preventDefault();
    touched();
  }
  if (event.target.type !== "range" || !event.shiftKey) return;
  const way = { ArrowRight: 10, ArrowUp: 10, ArrowLeft: -10, ArrowDown: -10 }[event.key];
  if (!way) return;
  event.preventDefault();
  if (way > 0) event.target.stepUp(way);
  else event.target.stepDown(-way);
  event.target.dispatchEvent(new Event("input", { bubbles: true }));
});

const back = (box) => {
  typed(box).value = written(box);
  setThumb(box, Number(box.dataset.number));
};

sliders.addEventListener("click", (event) => {
  const box = event.target.closest(".slider");
  if (event.target.matches(".slider-reset")) {
    back(box);
    range(box).focus();
    touched();
  }
  if (event.target.matches(".slider-remove")) {
    const wasMoved = isMoved(box);
    box.remove();
    document.getElementById("another").focus();
    if (wasMoved) touched();
    else tell();
  }
});

document.getElementById("all-back").addEventListener("click", () => {
  boxes().forEach(back);
  touched();
});

document.getElementById("pin").addEventListener("click", () => {
  pinned = values();
  pinnedName = document.getElementById("pin-name").value.trim();
  touched();
});

document.getElementById("unpin").addEventListener("click", () => {
  pinned = {};
  pinnedName = "";
  touched();
});

for (const choice of document.querySelectorAll('input[name="who"]')) choice.addEventListener("change", touched);

const another = document.getElementById("another");
const add = async () => {
  const said = document.getElementById("another-wrong");
  const text = another.value.trim();
  const option = [...document.querySelectorAll("#numbers option")].find(
    (each) => each.value === text || each.textContent === text
  );
  const path = option?.value ?? text;
  said.textContent = "";
  const there = boxes().find((box) => box.dataset.path === path);
  if (there) {
    range(there).focus();
    return;
  }
  const reply = await ask(`/forecast/slider?${new URLSearchParams({ path })}`);
  if (!reply.ok) {
    said.textContent = `There is no number called “${text}”. Choose one of the list.`;
    return;
  }
  sliders.insertAdjacentHTML("beforeend", await reply.text()); // made and escaped by the workbench
  another.value = "";
  range(boxes().at(-1)).focus();
  tell();
};
document.getElementById("add").addEventListener("click", add);
another.addEventListener("keydown", (event) => {
  if (event.key === "Enter") add();
});

// Told by the browser when it has laid the page out; to ask it would have it do so at once.
new ResizeObserver(([{ contentRect }]) => {
  const now = contentRect.width >= 560 ? "medium" : "narrow";
  if (now === kind) return;
  kind = now;
  follow();
}).observe(picture);

// Whoever comes back to the page may have changed a document meanwhile.
window.addEventListener("focus", follow);

tell();
follow();
