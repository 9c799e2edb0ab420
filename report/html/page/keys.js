// Keys for the whole page; what they do is listed in a dialog of the page.
(() => {
  const list = document.getElementById("keys");
  const click = (selector) => document.querySelector(selector)?.click();
  const shown = () => stages.find((s) => s.viewer.classList.contains("full")) || stages[0];
  const keys = {
    "ArrowLeft": () => click("a[rel=prev]"), "ArrowRight": () => click("a[rel=next]"),
    " ": () => click(".motion:not([hidden])"),
    "c": () => click('input[data-shows="clipped"]'),
    "f": () => dividers[0]?.flip(),
    ",": () => click("[data-step='-1']"), ".": () => click("[data-step='1']"),
    "[": () => click("[data-group='-1']"), "]": () => click("[data-group='1']"),
    "+": () => shown()?.step(1), "=": () => shown()?.step(1), "-": () => shown()?.step(-1),
    "0": () => shown()?.preset("fit"), "z": () => shown()?.fill(),
    "Escape": () => shown()?.leave(),
    "?": () => list?.showModal(),
  };
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.defaultPrevented || list?.open) return;
    const within = e.target.closest("input:not([type=checkbox]), select, textarea");
    if (within || !(e.key in keys)) return;
    if (e.key === " " && e.target.closest("button, a, summary, input, [tabindex='0'].scroll")) return;
    e.preventDefault();
    keys[e.key]();
  });
  list?.querySelector(".close-keys").addEventListener("click", () => list.close());
  for (const button of document.querySelectorAll(".ask-keys")) {
    button.hidden = false;
    button.addEventListener("click", () => list.showModal());
  }
})();
