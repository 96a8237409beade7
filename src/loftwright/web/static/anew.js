// Where work has ended, a page is asked to load anew, to show what came of it. It does not do so from
// under what somebody types: then it says so, and loads when it is told to.
const touched = new Set(); // by a hand: scripts fill in fields as well

for (const kind of ["input", "change"]) {
  // Only what is sent with a form: sliders and their numbers are kept by the address of the page.
  document.addEventListener(kind, ({ target, isTrusted }) => { if (isTrusted && target.name && target.form) touched.add(target); });
}

const isTyped = (field) => {
  if (field.matches("select")) return field.selectedIndex !== Math.max(0, [...field.options].findIndex((each) => each.defaultSelected));
  if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
  return field.type === "file" ? field.files.length > 0 : field.value !== field.defaultValue;
};

const isInUse = () => [...touched].some((each) => each.isConnected && (isTyped(each) || each === document.activeElement));

const tell = () => {
  if (document.getElementById("anew")) return;
  const bar = Object.assign(document.createElement("p"), { id: "anew" });
  bar.setAttribute("role", "status");
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Load it anew" });
  button.addEventListener("click", () => location.reload());
  bar.append("Work has ended. Load the page anew to see what came of it; what you typed here and did not send may go with that. ", button);
  document.body.prepend(bar);
};

document.addEventListener("htmx:after:request", (event) => {
  const { hx } = event.detail.ctx;
  if (hx.refresh !== "true" || !isInUse()) return;
  hx.refresh = "false";
  tell();
});
