// The place that was measured, cut out of the frames at full resolution and enlarged.
(() => {
  const figures = [...document.querySelectorAll(".crop")];
  if (!figures.length) return;
  // tell says what noise is there: of the nearest tone within half a stop that noise was worked out for.
  const tell = (figure, m) => {
    let near = null;
    for (const tone of JSON.parse(figure.dataset.tones)) {
      if (m.stops !== null && Math.abs(tone[0] - m.stops) <= (near ? Math.abs(near[0] - m.stops) : 0.5)) near = tone;
    }
    const grain = near && near[1] !== null ? `noise \u00b1${near[1].toFixed(1)} of 100 in lightness` : "";
    const snr = near && near[2] !== null ? `${near[2].toFixed(1)}\u00a0dB, ` : "";
    figure.querySelector("strong").textContent = grain;
    figure.querySelector(".crop-snr").textContent = snr + "recorded at " + stopsWords(m.stops);
  };
  document.addEventListener("held", (e) => {
    const { u, v, m } = e.detail;
    figures[0].closest(".chosen").hidden = false; // first, as sizes of what is hidden are none
    for (const figure of figures) {
      const well = figure.querySelector(".window"), d = figure.dataset, img = well.querySelector("img");
      if (!img.hasAttribute("src")) {
        img.onerror = () => { figure.hidden = true; };
        img.src = d.full;
      }
      const scale = Number(d.scale), side = 160 * scale, w = Number(d.width) * scale, h = Number(d.height) * scale;
      const seen = Math.min(side, well.clientWidth || side), high = Math.min(side, well.clientHeight || side);
      img.style.width = w + "px";
      img.style.height = h + "px";
      const shift = (at, size, room) => Math.min(0, Math.max(room - size, room / 2 - at * size));
      img.style.transform = `translate(${Math.round(shift(u, w, seen))}px, ${Math.round(shift(v, h, high))}px)`;
      if (m) tell(figure, m);
    }
  });
})();
