// A document as text: numbers its lines, marks those where something is found, keeps unsaved text.
import { inBrowser } from "./kept.js";
import { ask, put } from "./workbench.js";

const PAUSE = 300; // ms after the last key
const byId = (id) => document.getElementById(id);
const form = byId("text");
const lines = byId("lines");
const key = `loftwright ${form.dataset.draft}`;
let timer = 0;
let asking = null;
let leaving = false;
let marks = {};

const isChanged = () => lines.value !== lines.dataset.was;

const number = () => {
  const count = lines.value.split("\n").length;
  lines.rows = count + 1;
  byId("gutter").replaceChildren(
    ...Array.from({ length: count }, (_, k) => {
      const row = document.createElement("span");
      row.textContent = `${marks[k + 1] ? "! " : ""}${k + 1}\n`;
      row.className = marks[k + 1] || "";
      return row;
    }),
  );
};

const tellChanged = () => {
  byId("changed").textContent = isChanged() ? "Not saved" : "Nothing is changed";
  byId("discard").hidden = !isChanged();
};

const check = async () => {
  asking?.abort();
  const mine = (asking = new AbortController());
  try {
    const body = new URLSearchParams({ text: lines.value });
    const answer = await ask(`${form.getAttribute("action")}/check`, { method: "POST", body, signal: mine.signal });
    if (!answer.ok || asking !== mine) return;
    const found = await answer.json();
    if (asking !== mine) return; // a newer one is under way
    marks = found.lines;
    number();
    put(byId("found"), found.found);
    if (found.pad !== null) put(byId("pad"), found.pad);
    byId("pad-stale").hidden = found.pad !== null || !byId("pad").querySelector("figure");
  } catch (error) {
    if (error.name !== "AbortError") byId("changed").textContent = "! The workbench does not answer. What you typed is kept.";
  }
};

const edited = () => {
  number();
  tellChanged();
  if (isChanged()) inBrowser.write(key, { basedOn: form.dataset.basedOn, text: lines.value });
  else inBrowser.forget(key);
  clearTimeout(timer);
  timer = setTimeout(check, PAUSE);
};

const restore = () => {
  const draft = inBrowser.read(key);
  if (!draft || draft.text === lines.value) return;
  lines.value = draft.text;
  form.querySelector("[name=based_on]").value = draft.basedOn;
  form.dataset.basedOn = draft.basedOn;
  byId("draft-said").textContent = "This is what you typed before; it is not saved yet. Save or discard at the bottom.";
  byId("draft-said").hidden = false;
};

lines.addEventListener("input", edited);
form.addEventListener("submit", () => (leaving = true));
byId("discard").addEventListener("click", () => {
  inBrowser.forget(key);
  leaving = true;
  location.assign(form.getAttribute("action"));
});
document.addEventListener("click", (event) => {
  const line = Number(event.target.closest("[data-line]")?.dataset.line);
  if (!line) return;
  const start = lines.value.split("\n").slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  lines.focus();
  lines.setSelectionRange(start, start + lines.value.split("\n")[line - 1].length);
});
window.addEventListener("beforeunload", (event) => {
  if (!leaving && isChanged()) event.preventDefault();
});
window.addEventListener("pageshow", () => (leaving = false));

if (document.querySelector("[data-saved]")) {
  inBrowser.forget(key);
  history.replaceState(null, "", form.getAttribute("action"));
} else if (!document.querySelector("[role=alert]")) restore();
edited();
