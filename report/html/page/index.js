// Order, narrowing, contact sheet, timeline, ticks and notes. Without it the page is a plain table, worst first.
(() => {
  "use strict";
  const table = document.querySelector(".clips");
  if (!table) return;
  const byId = (id) => document.getElementById(id);
  const tools = document.querySelector(".tools"), empty = document.querySelector(".empty");
  const folders = byId("folders");
  const chosen = { find: byId("find"), show: byId("level"), with: byId("finding"), reviewed: byId("reviewed"),
    sort: byId("sort"), view: byId("view") };
  const usual = { sort: "worst" };
  const body = table.tBodies[0];
  const rows = [...body.rows].map((row, worst) => ({ row, worst, place: Number(row.dataset.place), text: null,
    name: row.dataset.name, folder: null, group: null, note: {}, tick: null, words: null }));

  // What is chosen stands in the address, so that it can be kept as a bookmark and is there after a step back.
  const write = () => {
    const p = new URLSearchParams();
    for (const [name, field] of Object.entries(chosen)) {
      if (field.value !== (usual[name] ?? "")) p.set(name, field.value);
    }
    if (folders.checked) p.set("by", "folder");
    if (location.hash.slice(1) !== p.toString()) history.replaceState(null, "", "#" + p);
  };
  const read = () => {
    const p = new URLSearchParams(location.hash.slice(1));
    if (location.hash.length > 1 && ![...p.keys()].some((k) => k in chosen || k === "by")) return; // a place in the page
    for (const [name, field] of Object.entries(chosen)) {
      field.value = p.get(name) ?? usual[name] ?? "";
      if (field.selectedIndex === -1) field.value = usual[name] ?? "";
    }
    folders.checked = p.get("by") === "folder";
  };

  const names = new Intl.Collator(undefined, { numeric: true });
  const comparison = () => {
    const key = chosen.sort.value.replace("-", ""), sign = chosen.sort.value.startsWith("-") ? -1 : 1;
    if (key === "worst") return (a, b) => sign * (a.worst - b.worst);
    if (key === "listed") return (a, b) => a.place - b.place;
    if (key === "name") return (a, b) => sign * names.compare(a.name, b.name) || a.place - b.place;
    const value = key === "time" ? timeOf : (r) => r.row.dataset[key];
    return (a, b) => {
      const x = value(a), y = value(b);
      if (x === "" || y === "") return (x === "") - (y === "") || a.place - b.place; // what is not known comes last
      return sign * (x - y) || a.place - b.place;
    };
  };
  const timeOf = (r) => {
    if (!r.row.dataset.at) return "";
    const [day, x] = r.row.dataset.at.split(" ");
    return 2000 * day + Number(x);
  };

  // Folders stand as the clips were listed.
  const groups = new Map();
  const group = () => {
    for (const r of [...rows].sort((a, b) => a.place - b.place)) {
      r.folder = r.row.querySelector(".where").textContent;
      if (!groups.has(r.folder)) {
        const to = table.createTBody(), head = to.insertRow(), cell = document.createElement("th");
        to.setAttribute("role", "rowgroup");
        head.className = "folder";
        head.setAttribute("role", "row");
        cell.colSpan = 6;
        cell.scope = "rowgroup";
        cell.setAttribute("role", "rowheader");
        cell.textContent = r.folder;
        head.append(cell);
        groups.set(r.folder, to);
      }
      r.group = groups.get(r.folder);
    }
  };

  let arranged = "worst";
  const arrange = () => {
    const grouped = folders.checked;
    table.classList.toggle("grouped", grouped);
    table.classList.toggle("sheet", chosen.view.value === "sheet");
    for (const head of table.tHead.rows[0].cells) {
      const key = head.dataset.key, sort = chosen.sort.value;
      const down = sort.startsWith("-") !== (key === "worst"); // worst first goes down from the gravest
      if (sort.replace("-", "") !== key) head.removeAttribute("aria-sort");
      else head.setAttribute("aria-sort", down ? "descending" : "ascending");
    }
    const now = chosen.sort.value + (grouped ? " by folder" : "");
    if (now === arranged) return;
    arranged = now;
    if (grouped && !groups.size) group();
    const parts = new Map();
    for (const r of [...rows].sort(comparison())) {
      const to = grouped ? r.group : body;
      if (!parts.has(to)) parts.set(to, document.createDocumentFragment());
      parts.get(to).append(r.row);
    }
    for (const [to, part] of parts) to.append(part);
    for (const to of groups.values()) to.hidden = !grouped;
  };

  const textOf = (r) => r.text ??= [...r.row.querySelectorAll(".clipname, .sub, .num, .status, .finding")]
    .map((e) => e.textContent).concat(r.row.dataset.ids).join(" ").toLowerCase();

  const narrow = () => {
    const words = chosen.find.value.toLowerCase().split(/\s+/).filter(Boolean);
    const level = chosen.show.value, finding = chosen.with.value, reviewed = chosen.reviewed.value;
    let shown = 0;
    const alive = new Set();
    for (const r of rows) {
      const d = r.row.dataset;
      const keep = (!level || d.status === level) && (!finding || d.ids.split(" ").includes(finding)) &&
        (!reviewed || (reviewed === "yes") === !!r.note.reviewed) &&
        words.every((w) => textOf(r).includes(w) || r.note.note?.toLowerCase().includes(w));
      if (r.row.hidden === keep) r.row.hidden = !keep;
      if (keep) { shown++; alive.add(r.group); }
    }
    if (folders.checked) for (const to of groups.values()) to.hidden = !alive.has(to);
    empty.hidden = shown > 0;
    byId("shown").textContent = shown === rows.length ? `${shown} clips` : `${shown} of ${rows.length} clips`;
  };
  const all = () => { arrange(); narrow(); };

  for (const head of table.tHead.rows[0].cells) {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      const { key, first = "" } = head.dataset, one = first + key, other = (first ? "" : "-") + key;
      chosen.sort.value = { [one]: other, [other]: "worst" }[chosen.sort.value] ?? one;
      arrange();
      write();
    });
  }
  chosen.find.addEventListener("input", () => { narrow(); write(); });
  for (const field of [...Object.values(chosen).slice(1), folders]) {
    field.addEventListener("change", () => { all(); write(); });
  }
  byId("reset").addEventListener("click", () => {
    for (const name of ["find", "show", "with", "reviewed"]) chosen[name].value = "";
    narrow();
    write();
    chosen.find.focus();
  });
  window.addEventListener("hashchange", () => { read(); all(); });

  // Ticks and notes are kept by the recording, not by the report, so that they are there after another audit.
  const kept = (() => { try { return window.localStorage; } catch { return null; } })();
  const keyOf = (r) => "stopledger/review/" + r.row.dataset.review;
  const tell = () => {
    byId("progress").textContent = `${rows.filter((r) => r.note.reviewed).length} of ${rows.length} reviewed`;
  };
  const failed = () => { byId("kept").textContent = "This browser keeps nothing: save them before you close the page."; };
  const keep = (r) => {
    r.note = { reviewed: r.tick.checked, note: r.words.value.trim(), changed_at: new Date().toISOString() };
    r.words.parentNode.dataset.note = r.note.note;
    try {
      if (r.note.reviewed || r.note.note) kept.setItem(keyOf(r), JSON.stringify(r.note));
      else kept.removeItem(keyOf(r));
    } catch { failed(); }
    tell();
  };
  const recall = (r, text) => {
    try { r.note = JSON.parse(text) ?? {}; } catch { r.note = {}; }
    if (r.tick.checked !== !!r.note.reviewed) r.tick.checked = !!r.note.reviewed;
    const words = typeof r.note.note === "string" ? r.note.note : "";
    if (r.words.value !== words) r.words.value = words;
    r.words.parentNode.dataset.note = words; // for paper
  };
  const blank = byId("review").content.firstElementChild, rowOf = new Map();
  if (!kept) failed();
  for (const r of rows) {
    const box = blank.cloneNode(true);
    r.tick = box.firstElementChild.firstElementChild;
    r.words = box.lastElementChild;
    r.tick.setAttribute("aria-label", "reviewed: " + r.name);
    r.words.setAttribute("aria-label", "note: " + r.name);
    r.row.lastElementChild.append(box);
    rowOf.set(r.tick, r).set(r.words, r).set(keyOf(r), r);
    const text = kept?.getItem(keyOf(r));
    if (text) recall(r, text);
  }
  table.addEventListener("input", (e) => { const r = rowOf.get(e.target); if (r) keep(r); });
  window.addEventListener("storage", (e) => { const r = rowOf.get(e.key); if (r) { recall(r, e.newValue); tell(); } });
  byId("save").addEventListener("click", () => {
    const clips = rows.filter((r) => r.note.reviewed || r.note.note).sort((a, b) => a.place - b.place).map((r) => ({
      name: r.name, folder: r.row.querySelector(".where").textContent,
      page: r.row.querySelector("a").getAttribute("href"), ...r.note }));
    const text = JSON.stringify({ schema: "stopledger/review/1", title: document.title,
      saved_at: new Date().toISOString(), clips }, null, 1);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text + "\n"], { type: "application/json" }));
    link.download = "review.json";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  });

  window.addEventListener("beforeprint", () => {
    for (const img of table.querySelectorAll("img")) img.loading = "eager"; // those out of sight are printed too
  });

  // The timeline tells the clip nearest to the pointer, or to where the arrow keys went.
  for (const panels of document.querySelectorAll(".panels")) {
    const day = panels.dataset.day, out = byId("moment-" + day), here = panels.querySelector(".here");
    const clips = rows.filter((r) => r.row.dataset.at?.startsWith(day + " "))
      .map((r) => ({ r, x: Number(r.row.dataset.at.split(" ")[1]) })).sort((a, b) => a.x - b.x || a.r.place - b.r.place);
    let at = -1;
    const show = (i) => {
      if (at === i || !clips[i]) return;
      at = i;
      const { r, x } = clips[i], link = r.row.querySelector("a").cloneNode(false);
      link.textContent = r.name;
      const said = [r.row.querySelector("time").textContent, ...[...r.row.querySelectorAll(".num")].map((e) => e.textContent)];
      said[3] += " clipped";
      out.replaceChildren(link, " \u00b7 " + said.join(" \u00b7 "));
      here.hidden = false;
      here.style.left = `calc(58px + ${x / 1000} * (100% - 58px))`;
    };
    const point = (e) => {
      const box = panels.querySelector(".dots").getBoundingClientRect();
      const x = (e.clientX - box.left) / box.width * 1000;
      let low = 0, high = clips.length;
      while (low < high) {
        const middle = low + high >> 1;
        if (clips[middle].x < x) low = middle + 1; else high = middle;
      }
      show(low === clips.length || low > 0 && x - clips[low - 1].x < clips[low].x - x ? low - 1 : low);
    };
    panels.tabIndex = 0;
    panels.setAttribute("role", "application");
    panels.setAttribute("aria-label", "Clips by time. The arrow keys go from clip to clip, Enter opens one.");
    panels.setAttribute("aria-describedby", out.id);
    panels.addEventListener("pointermove", point);
    panels.addEventListener("pointerdown", point);
    panels.addEventListener("focus", () => show(Math.max(at, 0)));
    panels.addEventListener("keydown", (e) => {
      const to = { ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: clips.length - 1 }[e.key];
      if (e.key === "Enter") out.querySelector("a")?.click();
      if (to === undefined) return;
      e.preventDefault();
      show(Math.max(0, Math.min(clips.length - 1, to)));
    });
  }

  tools.hidden = document.querySelector(".noted").hidden = false;
  read();
  all();
  tell();
})();
