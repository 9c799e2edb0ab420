// The divider between two pictures, the probe on the stop map, and motion.
(() => {
  "use strict";
  for (const well of document.querySelectorAll(".divider")) {
    const slider = well.querySelector("input[type=range]");
    if (!slider) continue;
    const move = () => well.style.setProperty("--cut", slider.value + "%");
    slider.addEventListener("input", move);
    move();
  }

  for (const box of document.querySelectorAll("input[data-shows]")) {
    const view = box.closest(".view");
    const show = () => {
      for (const layer of view.querySelectorAll("." + box.dataset.shows)) layer.toggleAttribute("hidden", !box.checked);
    };
    box.addEventListener("change", show);
    show();
  }

  const minus = (text) => text.replace("-", "\u2212");
  const describe = (stops, code, clipped) => {
    const percent = ((code - 64) / 8.76).toFixed(1);
    const parts = [stops === null ? "no light" : minus((stops < 0 ? "" : "+") + stops.toFixed(1)) + "\u00a0stops",
      "code\u00a0" + code, minus(percent) + "\u00a0%"];
    const channels = ["R", "G", "B"].filter((_, i) => clipped >> i & 1);
    if (channels.length) parts.push("clipped in " + channels.join(", "));
    return parts.join(" \u00b7 ");
  };

  for (const well of document.querySelectorAll(".probe[data-cells]")) {
    const d = well.dataset, width = Number(d.width), height = Number(d.height);
    const cells = Uint8Array.from(atob(d.cells), (c) => c.charCodeAt(0));
    const cross = well.querySelector(".cross"), out = document.getElementById(well.getAttribute("aria-describedby"));
    let x = width >> 1, y = height >> 1;
    const read = () => {
      const [level, high, low] = cells.subarray(3 * (y * width + x), 3 * (y * width + x) + 3);
      const stops = level === 0 ? null : Number(d.first) + (level - 1) * Number(d.step);
      out.textContent = describe(stops, (high & 3) << 8 | low, high >> 2);
      cross.hidden = false;
      cross.style.left = 100 * (x + 0.5) / width + "%";
      cross.style.top = 100 * (y + 0.5) / height + "%";
    };
    const point = (e) => {
      const box = well.getBoundingClientRect();
      x = Math.max(0, Math.min(width - 1, Math.floor((e.clientX - box.left) / box.width * width)));
      y = Math.max(0, Math.min(height - 1, Math.floor((e.clientY - box.top) / box.height * height)));
      read();
    };
    well.addEventListener("pointermove", point);
    well.addEventListener("pointerdown", point);
    well.addEventListener("focus", read);
    well.addEventListener("keydown", (e) => {
      const by = e.shiftKey ? 10 : 1;
      const step = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] }[e.key];
      if (!step) return;
      e.preventDefault();
      x = Math.max(0, Math.min(width - 1, x + step[0]));
      y = Math.max(0, Math.min(height - 1, y + step[1]));
      read();
    });
  }

  for (const button of document.querySelectorAll(".motion")) {
    const section = button.closest("section");
    let moving = !matchMedia("(prefers-reduced-motion: reduce)").matches;
    const show = () => {
      section.classList.toggle("moving", moving);
      section.classList.toggle("still", !moving);
      button.textContent = moving ? "Hold still" : "Play";
    };
    button.hidden = false;
    button.removeAttribute("aria-pressed");
    button.addEventListener("click", () => { moving = !moving; show(); });
    show();
  }
})();
