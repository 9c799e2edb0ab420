// Enlarged pieces in motion: held still, played, and stepped a frame at a time.
for (const button of document.querySelectorAll(".motion")) {
  const section = button.closest("section"), steps = [...section.querySelectorAll("[data-step]")];
  const films = () => [...section.querySelectorAll(".window img[data-frames]")];
  let moving = !matchMedia("(prefers-reduced-motion: reduce)").matches, at = 0;
  const show = () => {
    section.classList.toggle("moving", moving);
    section.classList.toggle("still", !moving);
    button.textContent = moving ? "Pause" : "Play";
    const where = section.querySelector(".frame-now"), first = films()[0];
    if (where) where.textContent = moving || !first ? "" : `frame ${at + 1} of ${first.dataset.frames}`;
    for (const img of films()) {
      const n = Number(img.dataset.frames), each = parseFloat(img.style.animationDuration) / n;
      img.style.animationDelay = moving ? "" : -(at % n + 0.5) * each + "s";
    }
  };
  // The pieces are files beside the page, which somebody may have without them.
  const lack = (img) => {
    img.closest("figure").hidden = true;
    section.querySelector(".lacking").hidden = false;
  };
  for (const img of films()) {
    if (img.complete && !img.naturalWidth) lack(img);
    img.addEventListener("error", () => lack(img));
  }
  button.hidden = false;
  button.addEventListener("click", () => { moving = !moving; at = 0; show(); });
  for (const step of steps) {
    step.hidden = false;
    step.addEventListener("click", () => {
      const n = Number(films()[0].dataset.frames);
      at = moving ? 0 : (at + Number(step.dataset.step) + n) % n;
      moving = false;
      show();
    });
  }
  show();
}

// Groups of frames that were measured, one at a time.
for (const box of document.querySelectorAll(".groups")) {
  const lines = [...box.querySelectorAll("li")], list = box.querySelector("ol");
  let at = 0;
  const show = () => {
    lines.forEach((line, i) => { line.hidden = i !== at; });
    list.dataset.of = `group ${at + 1} of ${lines.length}`;
  };
  list.setAttribute("aria-live", "polite");
  for (const button of box.querySelectorAll("[data-group]")) {
    button.hidden = false;
    button.addEventListener("click", () => { at = (at + Number(button.dataset.group) + lines.length) % lines.length; show(); });
  }
  box.classList.add("one");
  show();
}
