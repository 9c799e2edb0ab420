// Sorting and narrowing of the table. Without it the page is a plain table by folder.
(() => {
  "use strict";
  const table = document.querySelector(".clips");
  if (!table) return;
  const byId = (id) => document.getElementById(id);
  const tools = document.querySelector(".tools"), empty = document.querySelector(".empty");
  const find = byId("find"), level = byId("level"), finding = byId("finding"), folders = byId("folders");
  const rows = [...table.querySelectorAll(".clip")].map((row) => ({
    row, home: row.parentNode, place: Number(row.dataset.place), text: null,
  }));
  const bodies = [...table.tBodies];
  const flat = table.createTBody();
  flat.setAttribute("role", "rowgroup");
  let order = null; // {head, key, number, sign}

  const compare = (a, b) => {
    if (!order) return a.place - b.place;
    const x = a.row.dataset[order.key], y = b.row.dataset[order.key];
    if (x === "" || y === "") return (x === "") - (y === "") || a.place - b.place; // what was not measured comes last
    const d = order.number ? x - y : x.localeCompare(y, undefined, { numeric: true });
    return d * order.sign || a.place - b.place;
  };

  const arrange = () => {
    const grouped = folders.checked;
    table.classList.toggle("flat", !grouped);
    const parts = new Map();
    for (const r of [...rows].sort(compare)) {
      const to = grouped ? r.home : flat;
      if (!parts.has(to)) parts.set(to, document.createDocumentFragment());
      parts.get(to).append(r.row);
    }
    for (const [to, part] of parts) to.append(part);
  };

  const textOf = (r) => r.text ??= (r.row.textContent + " " + r.row.dataset.ids).toLowerCase();

  const narrow = () => {
    const words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    const alive = new Set();
    for (const r of rows) {
      const d = r.row.dataset;
      const keep = (!level.value || d.status === level.value) &&
        (!finding.value || d.ids.split(" ").includes(finding.value)) && words.every((w) => textOf(r).includes(w));
      if (r.row.hidden === keep) r.row.hidden = !keep;
      if (keep) { shown++; alive.add(r.home); }
    }
    for (const body of bodies) body.hidden = folders.checked && !alive.has(body);
    empty.hidden = shown > 0;
    byId("shown").textContent = shown === rows.length ? `${shown} clips` : `${shown} of ${rows.length} clips`;
  };

  for (const head of table.tHead.rows[0].cells) {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      const first = head.dataset.first === "down" ? -1 : 1;
      const sign = order && order.head === head ? (order.sign === first ? -first : 0) : first;
      if (order) order.head.removeAttribute("aria-sort");
      order = sign ? { head, key: head.dataset.key, number: head.dataset.kind === "number", sign } : null;
      if (order) head.setAttribute("aria-sort", sign > 0 ? "ascending" : "descending");
      arrange();
    });
  }
  find.addEventListener("input", narrow);
  level.addEventListener("change", narrow);
  finding.addEventListener("change", narrow);
  folders.addEventListener("change", () => { arrange(); narrow(); });
  byId("reset").addEventListener("click", () => {
    find.value = level.value = finding.value = "";
    narrow();
    find.focus();
  });
  tools.hidden = false;
  narrow();
})();
