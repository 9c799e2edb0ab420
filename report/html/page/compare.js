// Which two takes lie under the dividers, and the place that is enlarged for all of them.
(() => {
  const left = document.getElementById("left"), right = document.getElementById("right");
  const stripOf = (take) => document.querySelector(`.strip[data-take="${take}"] .window`);
  const nameOf = (take) => document.querySelector(`.layer[data-take="${take}"]`)?.dataset.name || take;
  const tag = (figure, a, b) => {
    figure.querySelector(".tag.left").textContent = nameOf(a);
    figure.querySelector(".tag.right").textContent = nameOf(b);
  };

  // The moving divider shows copies of the two strips, started together so that they step alike.
  const across = document.querySelector(".across");
  const move = (a, b) => {
    if (!across) return;
    const first = stripOf(a), second = stripOf(b);
    across.hidden = !first || !second || first === second;
    if (across.hidden) return;
    const well = across.querySelector(".motionwell");
    for (const old of well.querySelectorAll(".window")) old.remove();
    well.style.aspectRatio = first.style.aspectRatio;
    well.style.width = `min(100%, ${first.style.getPropertyValue("--wide")})`;
    for (const [strip, name] of [[second, "second"], [first, "first"]]) {
      const copy = strip.cloneNode(true);
      copy.classList.add(name);
      copy.removeAttribute("role");
      copy.setAttribute("aria-hidden", "true");
      well.prepend(copy);
    }
    tag(across, a, b);
  };

  const choose = (a, b) => {
    for (const figure of document.querySelectorAll(".pairing:not(.across)")) {
      for (const layer of figure.querySelectorAll(".layer")) {
        layer.classList.toggle("first", layer.dataset.take === a);
        layer.classList.toggle("second", layer.dataset.take === b);
      }
      tag(figure, a, b);
    }
    move(a, b);
  };

  if (left && right) {
    right.selectedIndex = Math.min(1, right.options.length - 1);
    const show = () => choose(left.value, right.value);
    left.addEventListener("change", show);
    right.addEventListener("change", show);
    document.querySelector(".chooser").hidden = left.options.length < 3;
    show();
  } else {
    const strips = [...document.querySelectorAll(".strip[data-take]")];
    if (strips.length > 1) move(strips[0].dataset.take, strips[1].dataset.take);
  }

  for (const view of stages) {
    let from = null;
    view.stage.addEventListener("pointerdown", (e) => { from = view.moves(e) ? null : [e.clientX, e.clientY]; });
    view.stage.addEventListener("pointerup", (e) => {
      if (!from || Math.hypot(e.clientX - from[0], e.clientY - from[1]) > 6) return;
      const [u, v] = view.place(e);
      view.focus = [u, v];
      document.dispatchEvent(new CustomEvent("held", { detail: { u, v, m: null } }));
    });
  }
})();
