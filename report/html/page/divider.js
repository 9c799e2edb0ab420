// The divider between two pictures, flipping between them, and what is laid over them.
"use strict";
const dividers = [...document.querySelectorAll(".divider")].map((well) => {
  const slider = well.parentNode.querySelector("input.cutter"), knob = well.querySelector(".cut");
  if (!slider) return null;
  const set = (value) => {
    slider.value = value;
    well.style.setProperty("--cut", slider.value + "%");
    well.classList.toggle("left-only", slider.value === "100");
    well.classList.toggle("right-only", slider.value === "0");
  };
  slider.addEventListener("input", () => set(slider.value));
  knob.addEventListener("pointerdown", (e) => {
    e.preventDefault();
    e.stopPropagation();
    knob.setPointerCapture(e.pointerId);
  });
  knob.addEventListener("pointermove", (e) => {
    if (!knob.hasPointerCapture(e.pointerId)) return;
    const box = well.getBoundingClientRect();
    set(Math.max(0, Math.min(100, 100 * (e.clientX - box.left) / box.width)));
  });
  set(slider.value);
  // From wherever the divider is, the first flip shows what is left, the next what is right.
  const flip = () => set(slider.value === "100" ? 0 : 100);
  for (const button of well.parentNode.querySelectorAll(".flip")) {
    button.hidden = false;
    button.addEventListener("click", flip);
  }
  return { well, set, flip };
}).filter(Boolean);

for (const box of document.querySelectorAll("input[data-shows]")) {
  const view = box.closest(".view");
  const show = () => {
    for (const layer of view.querySelectorAll("." + box.dataset.shows)) layer.toggleAttribute("hidden", !box.checked);
  };
  box.addEventListener("change", show);
  show();
}
