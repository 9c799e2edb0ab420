// Zoom, pan and full screen of a stage: all its sheets move together. 100 % is one pixel of the frame to one
// of the screen. Pictures at full resolution lie beside the page and are read when they are first wanted.
const stages = [...document.querySelectorAll(".stage")].map((stage) => {
  const viewer = stage.closest(".viewer"), bar = stage.closest("section").querySelector(".zooms");
  const frameWidth = Number(stage.dataset.frameWidth);
  const at = { z: 1, x: 0, y: 0 };
  let asked = false;

  const full = () => {
    if (asked) return;
    asked = true;
    for (const img of stage.querySelectorAll("img[data-full]")) {
      const better = new Image();
      better.onload = () => { img.src = better.src; img.classList.add("full-size"); };
      better.onerror = () => { viewer.querySelector(".lacking").hidden = false; };
      better.src = img.dataset.full;
    }
  };
  const wide = () => stage.getBoundingClientRect().width, high = () => stage.getBoundingClientRect().height;
  const percent = () => 100 * at.z * wide() / frameWidth * devicePixelRatio;
  const scaleOf = (p) => p / 100 / devicePixelRatio * frameWidth / wide();
  const hold = (v, size) => at.z < 1 ? (size - size * at.z) / 2 : Math.min(0, Math.max(size - size * at.z, v));
  const show = () => {
    at.x = hold(at.x, wide());
    at.y = hold(at.y, high());
    stage.style.setProperty("--z", at.z);
    stage.style.setProperty("--x", at.x + "px");
    stage.style.setProperty("--y", at.y + "px");
    stage.classList.toggle("zoomed", at.z > 1.001);
    stage.classList.toggle("pixels", percent() > 190);
    for (const b of bar.querySelectorAll("[data-zoom]")) {
      const is = b.dataset.zoom === "fit" ? at.z === 1 : at.z !== 1 && Math.abs(percent() - b.dataset.zoom) < 0.5;
      b.setAttribute("aria-pressed", is);
    }
    bar.querySelector(".zoom-now").textContent = at.z === 1 ? "" : Math.round(percent()) + "\u00a0%";
  };
  // zoom keeps the point (x, y) of the stage where it is; without one, its middle.
  const zoom = (z, x = wide() / 2, y = high() / 2) => {
    const to = Math.min(Math.max(z, Math.min(1, scaleOf(100))), Math.max(1, scaleOf(800)));
    at.x = x - (x - at.x) * to / at.z;
    at.y = y - (y - at.y) * to / at.z;
    at.z = to;
    if (to > 1) full();
    show();
  };
  const pan = (dx, dy) => { at.x += dx; at.y += dy; show(); };
  // centre brings a place of the frame, 0..1 across and down, to the middle.
  const centre = (u, v) => {
    at.x = wide() * (0.5 - u * at.z);
    at.y = high() * (0.5 - v * at.z);
    show();
  };
  const place = (e) => {
    const box = stage.getBoundingClientRect();
    return [(e.clientX - box.left - at.x) / at.z / box.width, (e.clientY - box.top - at.y) / at.z / box.height];
  };
  const self = { stage, viewer, at, zoom, pan, centre, place, percent, full, moving: false, focus: null };
  const preset = (words) => {
    zoom(words === "fit" ? 1 : scaleOf(Number(words)));
    if (self.focus && words !== "fit") centre(...self.focus);
  };
  for (const b of bar.querySelectorAll("[data-zoom]")) b.addEventListener("click", () => preset(b.dataset.zoom));
  self.step = (by) => {
    const all = [100, 200, 400, 800], now = percent();
    const next = by > 0 ? all.find((p) => p > now * 1.01) : all.reverse().find((p) => p < now * 0.99);
    preset(next === undefined || scaleOf(next) < 1 && by < 0 ? by < 0 ? "fit" : "800" : String(next));
  };
  self.preset = preset;

  for (const b of bar.querySelectorAll("[data-drag]")) {
    b.addEventListener("click", () => {
      self.moving = b.dataset.drag === "moves";
      stage.classList.toggle("moves", self.moving);
      for (const other of bar.querySelectorAll("[data-drag]")) other.setAttribute("aria-pressed", other === b);
    });
  }
  const fill = bar.querySelector(".fill");
  self.leave = () => {
    if (!viewer.classList.contains("full")) return;
    viewer.classList.remove("full");
    document.documentElement.classList.remove("filled");
    fill.textContent = "Full screen";
    if (document.fullscreenElement) document.exitFullscreen();
    zoom(1);
  };
  self.fill = () => {
    if (viewer.classList.contains("full")) return self.leave();
    viewer.classList.add("full");
    document.documentElement.classList.add("filled");
    fill.textContent = "Leave full screen";
    full();
    const section = stage.closest("section"); // with the buttons
    if (section.requestFullscreen) section.requestFullscreen().catch(() => {}); // the page is filled all the same
    zoom(1);
  };
  fill.addEventListener("click", self.fill);
  document.addEventListener("fullscreenchange", () => { if (!document.fullscreenElement) self.leave(); else show(); });

  stage.addEventListener("wheel", (e) => {
    if (!e.ctrlKey && !viewer.classList.contains("full")) return; // the page scrolls
    e.preventDefault();
    const box = stage.getBoundingClientRect();
    zoom(at.z * Math.exp(-e.deltaY / 300), e.clientX - box.left, e.clientY - box.top);
  }, { passive: false });

  // Two fingers zoom and move; one moves where dragging moves, or with Shift or the middle button.
  const down = new Map();
  let apart = 0;
  const spread = () => {
    const [a, b] = [...down.values()];
    return Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
  };
  self.moves = (e) => self.moving || e.shiftKey || e.button === 1 || down.size > 1;
  stage.addEventListener("pointerdown", (e) => {
    down.set(e.pointerId, e);
    if (down.size === 2) apart = spread();
    if (self.moves(e)) { stage.setPointerCapture(e.pointerId); e.preventDefault(); stage.classList.add("held"); }
  });
  stage.addEventListener("pointermove", (e) => {
    const before = down.get(e.pointerId);
    if (!before) return;
    const held = stage.classList.contains("held");
    down.set(e.pointerId, e);
    if (held) pan((e.clientX - before.clientX) / down.size, (e.clientY - before.clientY) / down.size);
    if (down.size === 2) {
      const now = spread(), box = stage.getBoundingClientRect(), [a, b] = [...down.values()];
      zoom(at.z * now / apart, (a.clientX + b.clientX) / 2 - box.left, (a.clientY + b.clientY) / 2 - box.top);
      apart = now;
    }
  });
  for (const end of ["pointerup", "pointercancel"]) {
    stage.addEventListener(end, (e) => {
      down.delete(e.pointerId);
      if (!down.size) stage.classList.remove("held");
    });
  }
  addEventListener("resize", show);
  bar.hidden = false;
  show();
  return self;
});
