// Strips that can be read and zoomed. A page says everything without this script.
import { readAt, sampleTimes, sampleNear, words } from "./strip-values.js";
import { moveTo, markSpan, clearSpan } from "./strip-motion.js";
import { addTools, dark } from "./strip-tools.js";
import { addGestures } from "./strip-gestures.js";

const LEAST = 4e-6; // s; the server draws nothing shorter than a microsecond
const BETWEEN = 120; // ms between two pictures while a hand moves: the old one follows it meanwhile
const SPEAK = 700; // ms between two readings that are spoken
const strips = new Set();

class LiveStrip {
  constructor(figure) {
    this.figure = figure;
    this.address = `${figure.closest("[data-strips]").dataset.strips}/${figure.dataset.strip}`;
    const drawn = figure.querySelector("svg.strip");
    this.whole = [Number(drawn.dataset.t0), Number(drawn.dataset.t1)];
    this.span = [...this.whole]; // what is wanted
    this.shown = null; // what is drawn
    this.without = new Set();
    this.cursor = null;
    this.shownAt = -Infinity;
    this.half = [...figure.querySelectorAll("svg.strip.wide")].some((svg) => Number(svg.dataset.width) < 700);
    this.readout = lineFor(figure);
    this.held = 0; // px that the readout keeps
    this.spoken = document.createElement("p");
    this.spoken.className = "unseen";
    this.spoken.setAttribute("aria-live", "polite");
    figure.after(this.spoken);
  }

  get clock() { return this.figure.closest("[data-clock]")?.dataset.clock ?? ""; }

  get zoomed() { return this.span[0] > this.whole[0] || this.span[1] < this.whole[1]; }

  get kind() {
    if (this.figure.dataset.kind) return this.figure.dataset.kind; // drawn for less than the page
    if (matchMedia("(max-width: 599px)").matches) return "narrow";
    if (matchMedia("(max-width: 999px)").matches) return "medium";
    if (this.half) return "half";
    return matchMedia("(min-width: 1600px)").matches ? "widest" : "wide";
  }

  // What tells the server which part is wanted; without times it is the whole.
  query(extra = {}) {
    const query = new URLSearchParams(extra);
    if (this.zoomed) { query.set("from", this.span[0]); query.set("to", this.span[1]); }
    this.without.forEach((name) => query.append("without", name));
    return query;
  }

  // One question is under way at a time: answers come in order, and the last wish is always met.
  async draw() {
    this.wish = this.query({ width: this.kind }).toString();
    if (this.busy) return;
    this.busy = true;
    while (this.wish !== this.met && this.figure.isConnected) {
      const wait = this.shownAt + BETWEEN - performance.now();
      if (wait > 0) await new Promise((done) => { setTimeout(done, wait); });
      const wish = this.wish;
      const answer = await this.ask(wish);
      if (answer) {
        this.show(answer);
        this.met = wish;
      } else if (wish === this.wish) {
        break; // it may be wished for again
      }
    }
    this.busy = false;
  }

  async ask(wish) {
    try {
      const answer = await fetch(`${this.address}/window?${wish}`);
      const told = await answer.json();
      if (answer.ok) return told;
      if (answer.status === 404 && !this.stage) {
        this.readout.textContent = ""; // the drawing of the page stays as it is
        return null;
      }
      this.complain(told.problems.map((each) => `${each.message}: ${each.mend}`).join(". "));
    } catch {
      this.complain("The workbench does not answer: see whether it still runs, then load the page anew");
    }
    return null;
  }

  complain(text) {
    const said = document.createElement("span");
    said.className = "off";
    said.textContent = `! ${text}.`;
    this.readout.replaceChildren(said);
  }

  show(answer) {
    if (!this.stage) this.begin(answer);
    const made = document.createElement("template");
    made.innerHTML = answer.svg;
    this.svg = made.content.firstElementChild;
    this.shownAt = performance.now();
    this.stage.replaceChildren(this.svg);
    // Paper shows the whole as it is drawn for paper, or the part that is looked at.
    this.figure.classList.toggle("partly", this.zoomed || this.without.size > 0);
    this.data = answer.readout;
    this.times = sampleTimes(this.data);
    this.shown = [answer.readout.from, answer.readout.to];
    if (!this.zoomed && this.wish === this.query({ width: this.kind }).toString()) this.span = [...this.shown];
    this.command = answer.command;
    this.name = answer.name;
    this.follow();
    this.tools.update();
    this.place();
  }

  begin(answer) {
    // Nobody has looked closer yet; the numbers of a drawing are rounded, these are not.
    this.whole = answer.whole;
    this.span = [...this.whole];
    this.stage = document.createElement("div");
    this.stage.className = "strip-stage";
    this.stage.tabIndex = 0;
    this.stage.setAttribute("role", "group");
    this.stage.setAttribute("aria-label", `${answer.title}: arrow keys read values, plus and minus zoom, 0 shows the whole, Page Up and Page Down move on`);
    this.figure.prepend(this.stage);
    this.figure.classList.add("live");
    this.tools = addTools(this, answer.lanes);
    addGestures(this);
  }

  // The drawing at hand, moved to where the wanted part stands, until the new one arrives.
  follow() {
    const [low, high] = this.span;
    const same = low === this.shown[0] && high === this.shown[1];
    this.stage.classList.toggle("moving", !same);
    const scale = (this.shown[1] - this.shown[0]) / (high - low);
    this.stage.classList.toggle("scaled", Math.abs(scale - 1) > 0.01);
    moveTo(this.svg, this.shown, this.span);
  }

  // ---- which part

  look(low, high) {
    const [first, last] = this.whole;
    const wide = Math.min(Math.max(high - low, Math.min(LEAST, last - first)), last - first);
    const start = Math.min(Math.max(low, first), last - wide);
    this.span = wide >= last - first ? [first, last] : this.rounded(start, start + wide);
    this.follow();
    this.place();
    this.tools.update();
    return this.draw();
  }

  // To what a pixel can tell apart, so that a part can be said in few figures.
  rounded(low, high) {
    const decimals = Math.min(Math.max(Math.ceil(-Math.log10((high - low) / 10000)), 0), 9);
    const [first, last] = this.whole;
    return [Math.max(Number(low.toFixed(decimals)), first), Math.min(Number(high.toFixed(decimals)), last)];
  }

  zoom(factor, about = null) {
    const [low, high] = this.span;
    const middle = about ?? (this.cursor !== null && this.cursor >= low && this.cursor <= high ? this.cursor : (low + high) / 2);
    return this.look(middle - (middle - low) / factor, middle + (high - middle) / factor);
  }

  pan(share) {
    const [low, high] = this.span;
    const step = share * (high - low);
    const most = step > 0 ? Math.min(step, this.whole[1] - high) : Math.max(step, this.whole[0] - low);
    return this.look(low + most, high + most);
  }

  all() { return this.look(...this.whole); }

  lanes(without) { this.without = without; return this.draw(); }

  // ---- the cursor

  get frame() {
    const { x0, x1, width } = this.svg.dataset;
    return { x0: Number(x0), x1: Number(x1), width: Number(width) };
  }

  timeAt(clientX) {
    const room = this.svg.getBoundingClientRect();
    const { x0, x1, width } = this.frame;
    const x = (clientX - room.left) / room.width * width;
    return this.span[0] + (x - x0) / (x1 - x0) * (this.span[1] - this.span[0]);
  }

  get perPixel() {
    const { x0, x1, width } = this.frame;
    return (this.span[1] - this.span[0]) / (x1 - x0) * width / this.svg.getBoundingClientRect().width;
  }

  // A sample of this strip, where there is one within a few pixels.
  snap(time, pixels = 8) {
    const near = sampleNear(this.times, time);
    return near !== null && Math.abs(near - time) <= pixels * this.perPixel ? near : time;
  }

  step(count) {
    const [low, high] = this.span;
    const now = this.cursor ?? low;
    if (this.cursor === null) return setCursor(this, this.snap(low), true);
    const next = this.times.length ? nextSample(this.times, now, count) : now + count * this.perPixel;
    const time = Math.min(Math.max(next ?? (count > 0 ? high : low), this.whole[0]), this.whole[1]);
    if (next === null && this.zoomed && (count > 0 ? high < this.whole[1] : low > this.whole[0])) {
      this.pan(count > 0 ? 0.5 : -0.5);
    }
    return setCursor(this, time, true);
  }

  place() {
    if (!this.svg) return;
    const line = this.svg.querySelector(".cursor");
    const [low, high] = this.span;
    const inside = this.cursor !== null && this.cursor >= low && this.cursor <= high;
    line.style.visibility = inside ? "visible" : "hidden";
    if (inside) {
      const { x0, x1 } = this.frame;
      const x = x0 + (this.cursor - low) / (high - low) * (x1 - x0);
      line.setAttribute("x1", x);
      line.setAttribute("x2", x);
    }
    this.tell(inside && this.cursor >= this.shown[0] && this.cursor <= this.shown[1]);
  }

  tell(inside) {
    if (!inside) {
      if (this.cursor !== null) this.readout.replaceChildren("\u00a0");
      return;
    }
    const read = readAt(this.data, this.cursor, this.shown);
    this.readout.replaceChildren(...words(read));
    // What stands below does not jump while values get longer and shorter.
    const high = this.readout.offsetHeight;
    if (high > this.held) this.readout.style.minHeight = `${this.held = high}px`;
  }

  // Spoken at most so often, and always what is so in the end: the part where it is another one,
  // and the reading where the cursor is in sight.
  speak() {
    this.waiting ??= setTimeout(() => {
      this.waiting = null;
      if (this.busy) {
        this.speak();
        return;
      }
      const part = this.tools.part();
      const parts = part === this.partSaid ? [] : [part];
      this.partSaid = part;
      this.spoken.textContent = [...parts, this.readout.textContent].join(": ").trim();
    }, SPEAK);
  }

  mark(from, to) { markSpan(this.svg, this.span, from, to); }

  unmark() { clearSpan(this.svg); }
}

const nextSample = (times, now, count) => {
  let at = count > 0 ? times.findIndex((t) => t > now) : times.findLastIndex((t) => t < now);
  if (at < 0) return null;
  at += count - Math.sign(count);
  return times[Math.min(Math.max(at, 0), times.length - 1)];
};

const lineFor = (figure) => {
  let line = figure.parentElement.querySelector("[data-readout]");
  if (!line) {
    line = document.createElement("p");
    line.className = "readout";
    line.dataset.readout = "";
    figure.before(line);
  }
  line.classList.add("strip-values");
  if (!line.textContent.trim()) line.textContent = "Move along the strip, or use the arrow keys, to read values.";
  return line;
};

let waiting = null;

// Pages that put drawings anew leave none of the old ones alive.
const forget = () => strips.forEach((strip) => { if (!strip.figure.isConnected) strips.delete(strip); });

// The cursor of all strips on the same clock; drawn once a frame.
export const setCursor = (from, time, speaks = false) => {
  forget();
  for (const strip of strips) if (strip.clock === from.clock) strip.cursor = time;
  if (speaks) from.speak();
  waiting ??= requestAnimationFrame(() => {
    waiting = null;
    strips.forEach((strip) => strip.place());
  });
};

// Strips begin to live shortly before they come into sight.
const watcher = new IntersectionObserver((seen) => {
  forget();
  for (const { target, isIntersecting } of seen) {
    if (!isIntersecting) continue;
    watcher.unobserve(target);
    const strip = new LiveStrip(target);
    strips.add(strip);
    strip.draw();
  }
}, { rootMargin: "300px" });

const known = new WeakSet();

// Make every strip in `root` live, whenever it was put there; nothing happens twice.
export const attach = (root = document) => {
  const found = root.matches?.("figure[data-strip]") ? [root] : root.querySelectorAll("figure[data-strip]");
  for (const figure of found) {
    if (known.has(figure) || !figure.closest("[data-strips]") || !figure.querySelector("svg.strip")) continue;
    known.add(figure);
    watcher.observe(figure);
  }
};

attach();
new MutationObserver((changes) => {
  for (const { addedNodes } of changes) {
    addedNodes.forEach((node) => { if (node.nodeType === Node.ELEMENT_NODE) attach(node); });
  }
}).observe(document.body, { childList: true, subtree: true });

// Another width class wants another drawing.
for (const query of ["(max-width: 599px)", "(max-width: 999px)", "(min-width: 1600px)"]) {
  matchMedia(query).addEventListener("change", () => strips.forEach((strip) => {
    if (strip.figure.isConnected && strip.stage) strip.draw();
  }));
}

dark.addEventListener("change", () => strips.forEach((strip) => {
  if (strip.figure.isConnected && strip.stage) strip.tools.update();
}));
