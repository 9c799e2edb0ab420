// Pointing at the frame, or at the map, reads it; a click or a drag measures a point or an area and says the
// --region that does the same on the command line.
const measuring = (async () => {
  const source = document.getElementById("levels");
  if (!source) return null;
  const out = document.getElementById("reading"), panel = document.getElementById("held");
  let levels;
  try {
    levels = await levelsOf(source.dataset);
  } catch {
    out.textContent = "This browser cannot unpack what was measured; another one, or a newer version, can.";
    return null;
  }
  const { command, path } = source.dataset, grey = source.dataset.grey === "" ? null : Number(source.dataset.grey);
  const holders = [];
  const box = (svg, area) => {
    const s = levels.seen(area), view = svg.viewBox.baseVal;
    svg.removeAttribute("hidden");
    for (const rect of svg.children) {
      for (const [name, value] of [["x", s.x * view.width], ["y", s.y * view.height], ["width", s.w * view.width],
        ["height", s.h * view.height]]) rect.setAttribute(name, value);
    }
    return s;
  };
  const describe = (m) => [stopsWords(m.stops), "code\u00a0" + Math.round(m.code), percentOf(m.code)]
    .concat(m.clipped.length ? ["clipped in " + m.clipped.join(", ")] : []).join(" \u00b7 ");
  const read = (area) => { out.textContent = describe(levels.measure(area)); };

  const say = (name, words) => { panel.querySelector(`[data-is="${name}"]`).textContent = words; };
  // hold measures an area and keeps it on the page.
  const hold = (area) => {
    const m = levels.measure(area);
    read(area);
    say("stops", stopsWords(m.stops));
    say("grey", grey === null || m.stops === null ? "" : signed(m.stops - grey, 2) + "\u00a0from the grey found");
    say("code", m.code.toFixed(0));
    say("percent", percentOf(m.code));
    say("rgb", m.rgb.map((c) => c.toFixed(0)).join("\u2009\u00b7\u2009"));
    say("spread", m.spread === null ? "\u2013" : "\u00b1" + m.spread.toFixed(2) + "\u00a0stops");
    say("area", `${area.w} \u00d7 ${area.h}\u00a0px at ${area.x}, ${area.y}`);
    say("clipped", m.clipped.length ? "clipped in " + m.clipped.join(", ") : "");
    const line = document.getElementById("command");
    line.textContent = `${command} --region ${regionOf(area)} ${path}`;
    line.dataset.plain = line.textContent;
    panel.hidden = false;
    document.getElementById("held-hint").hidden = true;
    let s;
    for (const h of holders) s = box(h.querySelector(".held-box"), area);
    const stage = stages.find((g) => g.stage.classList.contains("measured"));
    if (stage) stage.focus = [s.x + s.w / 2, s.y + s.h / 2];
    document.dispatchEvent(new CustomEvent("held", { detail: { u: s.x + s.w / 2, v: s.y + s.h / 2, m } }));
  };

  for (const well of document.querySelectorAll(".measured")) {
    holders.push(well);
    const view = stages.find((g) => g.stage === well);
    const place = view ? view.place : (e) => {
      const r = well.getBoundingClientRect();
      return [(e.clientX - r.left) / r.width, (e.clientY - r.top) / r.height];
    };
    const inside = (p) => p.map((v) => Math.max(0, Math.min(0.99999, v)));
    let from = null;
    well.addEventListener("pointerdown", (e) => {
      if (e.button !== 0 || view && view.moves(e)) { from = null; return; }
      from = inside(place(e));
      well.setPointerCapture(e.pointerId);
    });
    well.addEventListener("pointermove", (e) => {
      const p = inside(place(e));
      const area = levels.between(from || p, p);
      read(area);
      if (from) box(well.querySelector(".held-box"), area);
    });
    well.addEventListener("pointerup", (e) => {
      if (!from) return;
      hold(levels.between(from, inside(place(e))));
      from = null;
    });
    well.addEventListener("pointercancel", () => { from = null; });
    // By keyboard the arrows move a point, with Shift they stretch an area.
    let a = [0.5, 0.5], b = a;
    well.addEventListener("keydown", (e) => {
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
      if (!step || e.altKey || e.ctrlKey || e.metaKey) return;
      e.preventDefault();
      e.stopPropagation();
      const one = levels.seen({ x: 0, y: 0, w: levels.side, h: levels.side });
      b = inside([b[0] + step[0] * one.w, b[1] + step[1] * one.h]);
      if (!e.shiftKey) a = b;
      hold(levels.between(a, b));
    });
  }
  for (const button of document.querySelectorAll(".candidate")) {
    const [x, y, w, h] = button.dataset.region.split(",").map(Number);
    button.addEventListener("click", () => hold({ x, y, w, h }));
  }
  document.documentElement.classList.add("measures");
  return { hold };
})();
