// The form of a document: checks what is typed, counts what is changed, keeps it until it is saved.
import { inBrowser } from "./kept.js";
import { ask, put } from "./workbench.js";

const PAUSE = 300; // ms after the last key
const byId = (id) => document.getElementById(id);
let form = byId("document");
let timer = 0;
let asking = null;
let leaving = false;

const fieldsOf = () => [...form.querySelectorAll("[data-was]")];
const tables = (name) => [...form.querySelectorAll(`input[name="${name}"]`)].map((each) => each.value);
const isChanged = (field) => field.value.trim() !== field.dataset.was.trim();
const changes = () =>
  fieldsOf().filter(isChanged).length + tables("gone").length + tables("added").length;
const key = () => `loftwright ${form.dataset.draft}`;

const command = byId("main").parentElement.querySelector(".command");
const first = command?.querySelector("code").textContent;
const tellCommand = (words) => {
  if (!command) return;
  command.querySelector("code").textContent = words || first;
  command.querySelector("[data-copy]").dataset.copy = words || first;
};

const tellChanged = () => {
  const n = changes();
  byId("changed").textContent = n ? `${n} ${n === 1 ? "change" : "changes"} not saved` : "Nothing is changed";
  byId("discard").hidden = !n;
  for (const field of fieldsOf()) field.classList.toggle("is-changed", isChanged(field));
  return n;
};

// What is typed is kept by the browser until it is saved or discarded, also over a reload.
const keep = () => {
  if (!changes()) {
    inBrowser.forget(key());
    return;
  }
  const values = Object.fromEntries(fieldsOf().filter(isChanged).map((each) => [each.name, each.value]));
  const draft = { basedOn: form.dataset.basedOn, values, added: tables("added"), gone: tables("gone") };
  inBrowser.write(key(), draft);
};

const tell = (field, said) => {
  const line = byId(`${field.id}-says`);
  const wrong = said?.severity === "error";
  const end = said && /[?!.]$/.test(said.mend) ? "" : ".";
  const upper = (words) => words.charAt(0).toUpperCase() + words.slice(1);
  const words = said ? `! ${upper(said.message)}.${said.mend ? ` ${upper(said.mend)}${end}` : ""}` : "";
  if (line.textContent !== words) line.textContent = words;
  line.className = `${wrong ? "wrong" : "doubt"} says`;
  for (let fold = field.closest("details"); wrong && fold; fold = fold.parentElement.closest("details")) fold.open = true;
  if (wrong) field.setAttribute("aria-invalid", "true");
  else field.removeAttribute("aria-invalid");
};

const check = async () => {
  asking?.abort();
  const mine = (asking = new AbortController());
  try {
    const answer = await ask(`${form.getAttribute("action")}/check`, {
      method: "POST",
      body: new URLSearchParams(new FormData(form)),
      signal: mine.signal,
    });
    if (!answer.ok || asking !== mine) return;
    const found = await answer.json();
    if (asking !== mine) return; // a newer one is under way
    for (const field of fieldsOf()) tell(field, found.fields[field.closest("[data-field]").dataset.field]);
    put(byId("rest"), found.rest);
    if (found.pad !== null) put(byId("pad"), found.pad);
    byId("pad-stale").hidden = found.pad !== null || !byId("pad").querySelector("figure");
    tellCommand(found.command);
    form.dataset.checked = String(Number(form.dataset.checked || 0) + 1);
  } catch (error) {
    if (error.name !== "AbortError") byId("changed").textContent = "! The workbench does not answer. What you typed is kept.";
  }
};

const edited = () => {
  tellChanged();
  keep();
  clearTimeout(timer);
  timer = setTimeout(check, PAUSE);
};

// Ask for the form with another shape: a table more or less, or a draft of before.
const reshape = async (body) => {
  const answer = await ask(`${form.getAttribute("action")}/form`, { method: "POST", body });
  if (!answer.ok) return false;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const made = page.getElementById("document");
  if (!made) return false;
  form.replaceWith(made);
  form = made;
  wire();
  edited();
  return true;
};

const restore = async () => {
  const draft = inBrowser.read(key());
  if (!draft) return;
  const body = new URLSearchParams({ based_on: draft.basedOn });
  for (const [name, value] of Object.entries(draft.values)) body.append(name, value);
  for (const path of draft.added) body.append("added", path);
  for (const path of draft.gone) body.append("gone", path);
  if (!(await reshape(body))) return;
  const n = changes();
  byId("draft-said").textContent = `${n} ${n === 1 ? "change" : "changes"} from before, not saved yet. Save or discard at the bottom.`;
  byId("draft-said").hidden = !n;
};

const find = (words) => {
  const wanted = words.trim().toLowerCase().split(/\s+/).filter(Boolean);
  for (const row of form.querySelectorAll("[data-field]"))
    row.hidden = !wanted.every((word) => row.dataset.words.includes(word));
  for (const section of form.querySelectorAll("[data-section]"))
    section.hidden = wanted.length > 0 && !section.querySelector("[data-field]:not([hidden])");
  if (wanted.length)
    for (const folded of form.querySelectorAll("details"))
      folded.open = !!folded.querySelector("[data-field]:not([hidden])");
};

const act = async (button) => {
  const body = new URLSearchParams(new FormData(form));
  body.set("act", button.value);
  const [verb, path] = button.value.split(":");
  await reshape(body);
  const section = byId(`s-${path.replaceAll(".", "-")}`);
  if (verb === "add" && section) {
    section.scrollIntoView({ block: "start" });
    section.querySelector("input, select, textarea")?.focus({ preventScroll: true });
  } else byId("s-more")?.querySelector("button")?.focus();
};

const wire = () => {
  form.addEventListener("input", (event) => {
    if (event.target.id === "find") find(event.target.value);
    else edited();
  });
  form.addEventListener("keydown", (event) => {
    if (event.target.id === "find" && event.key === "Enter") event.preventDefault();
  });
  form.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (button?.name === "act") {
      event.preventDefault();
      act(button);
    } else leaving = true;
  });
  byId("discard").addEventListener("click", () => {
    inBrowser.forget(key());
    leaving = true;
    location.assign(form.getAttribute("action"));
  });
  tellChanged();
};

window.addEventListener("beforeunload", (event) => {
  if (!leaving && changes()) event.preventDefault();
});
window.addEventListener("pageshow", () => (leaving = false));

wire();
if (document.querySelector("[data-saved]")) {
  inBrowser.forget(key());
  history.replaceState(null, "", form.getAttribute("action"));
} else if (!document.querySelector("[role=alert]")) restore();
else edited();
