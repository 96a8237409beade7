// Tables that sort: any <table data-sort>. Each head becomes a button; a row's place follows the
// number in data-value, or what the cell says. Rows without a value come last, whichever way.
// On a head: data-plain has no button, data-first="down" begins with the greatest.
const collator = new Intl.Collator(undefined, { numeric: true, sensitivity: "base" });

const valueOf = (cell) => {
  if (!cell) return null;
  const said = (cell.dataset.value ?? cell.textContent).trim();
  if (said === "") return null;
  const number = Number(said);
  return Number.isNaN(number) ? said : number;
};

const compare = (a, b) =>
  typeof a === "number" && typeof b === "number"
    ? a - b
    : collator.compare(String(a), String(b));

const sortRows = (body, column, down) => {
  const rows = [...body.rows].map((row, place) => ({ row, place, value: valueOf(row.cells[column]) }));
  rows.sort((a, b) => {
    if (a.value === null || b.value === null) {
      if (a.value === b.value) return a.place - b.place;
      return a.value === null ? 1 : -1;
    }
    return (down ? -1 : 1) * compare(a.value, b.value) || a.place - b.place;
  });
  body.append(...rows.map((each) => each.row));
};

const prepare = (table) => {
  const heads = [...table.tHead.rows[0].cells];
  heads.forEach((head, column) => {
    if (head.dataset.plain !== undefined || !head.textContent.trim()) return;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "sort";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      const now = head.getAttribute("aria-sort");
      const down = now ? now === "ascending" : head.dataset.first === "down";
      heads.forEach((each) => each.removeAttribute("aria-sort"));
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      [...table.tBodies].forEach((body) => sortRows(body, column, down));
    });
  });
};

const prepareAll = (root) => {
  for (const table of root.querySelectorAll("table[data-sort]:not([data-sorts])")) {
    table.dataset.sorts = "";
    prepare(table);
  }
};

prepareAll(document);
document.addEventListener("htmx:after:swap", () => prepareAll(document));

// A form that only chooses what is shown acts at once.
for (const form of document.querySelectorAll("form[data-at-once]")) {
  form.addEventListener("change", () => form.requestSubmit());
}
