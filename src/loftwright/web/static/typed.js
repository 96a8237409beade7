// What is typed into a long form stays until it is sent: a phone throws a page away while its camera
// is used, or the network is gone when somebody goes back. Kept by the browser, for this tab alone.
import { inTab } from "./kept.js";

const key = `loftwright typed ${location.pathname}`;

const fieldsOf = (root) =>
  [...root.querySelectorAll("textarea, select, input:not([type=hidden], [type=checkbox], [type=radio], [type=file])")].filter((each) => each.name);

const before = (field) =>
  field.matches("select") ? ([...field.options].find((each) => each.defaultSelected) ?? field.options[0])?.value ?? "" : field.defaultValue;

const basis = (root) => root.closest("form").elements.based_on;

const keep = (root) => {
  const changed = fieldsOf(root).filter((each) => each.value !== before(each));
  const values = Object.fromEntries(changed.map((each) => [each.name, each.value]));
  if (changed.length) inTab.write(key, { basedOn: basis(root)?.value, values });
  else inTab.forget(key);
};

const unfold = (field) => {
  for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
};

const putBack = (root) => {
  const { basedOn, values } = inTab.read(key) ?? { values: {} };
  const fields = fieldsOf(root).filter((each) => each.name in values && values[each.name] !== each.value);
  if (!fields.length) return;
  for (const field of fields) {
    field.value = values[field.name];
    unfold(field);
  }
  // Whoever wrote meanwhile is not written over: the workbench compares with what was seen then.
  if (basis(root) && basedOn) basis(root).value = basedOn;
  const count = fields.length === 1 ? "One field stands" : `${fields.length} fields stand`;
  const said = Object.assign(document.createElement("p"), { className: "said-back", textContent: `${count} as you typed before, not written yet.` });
  said.setAttribute("role", "status");
  root.prepend(said);
};

for (const root of document.querySelectorAll("[data-kept]")) {
  if (!document.querySelector("main [role=alert]")) putBack(root); // refused, it came back as it was sent
  for (const kind of ["input", "change"]) root.addEventListener(kind, () => keep(root));
  // It is sent only where the workbench answers; from then on it is there.
  root.closest("form").addEventListener("submit", (event) => {
    if (event.submitter?.matches(".main-act")) inTab.forget(key);
  });
}
