// What the frame reads, block by block, as the page carries it. A block's light is kept as
// zero + fine asinh(light / toe); the form is told where it is written.
const unpackLevels = async (packed, size) => {
  const bytes = Uint8Array.from(atob(packed), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const data = new Uint8Array(await new Response(stream).arrayBuffer());
  const n = data.length / 2, values = new Uint16Array(n);
  for (let i = 0; i < n; i++) {
    const starts = i % size === 0 && i <= 6 * size;
    values[i] = (data[i] << 8 | data[n + i]) + (starts ? 0 : values[i - 1]);
  }
  for (let i = 0; i < size; i++) for (let k = 1; k <= 3; k++) values[k * size + i] += values[i];
  return values;
};

// An area is in pixels of the frame as coded, as --region takes it; levelsOf measures areas of whole blocks.
const levelsOf = async (d) => {
  const width = Number(d.width), height = Number(d.height), side = Number(d.side), size = width * height;
  const [zero, fine, toe] = [d.zero, d.fine, d.toe].map(Number);
  const turn = Number(d.rotation), upright = turn === 90 || turn === 270;
  const frame = { w: Number(d.frameW), h: Number(d.frameH) };
  const across = upright ? height : width, down = upright ? width : height; // blocks as coded
  const values = await unpackLevels(d.packed, size);
  const light = (v) => toe * Math.sinh((v - zero) / fine);
  const table = Array.from(values.subarray(6 * size), light);

  const codeOf = (l) => {
    let low = 0, high = table.length - 1;
    if (l <= table[low]) return low;
    if (l >= table[high]) return high;
    while (high - low > 1) {
      const middle = low + high >> 1;
      if (table[middle] <= l) low = middle; else high = middle;
    }
    return low + (l - table[low]) / (table[high] - table[low]);
  };
  // index is where a block as coded lies in the planes, which are turned as the picture is.
  const index = (x, y) => {
    switch (turn) {
      case 90: return x * width + down - 1 - y;
      case 180: return (down - 1 - y) * width + across - 1 - x;
      case 270: return (across - 1 - x) * width + y;
    }
    return y * width + x;
  };
  // coded takes a place of the picture, 0..1 across and down, to a pixel of the frame as coded.
  const coded = (u, v) => {
    const [x, y] = turn === 90 ? [v, 1 - u] : turn === 180 ? [1 - u, 1 - v] : turn === 270 ? [1 - v, u] : [u, v];
    return [x * frame.w, y * frame.h];
  };
  // seen takes an area as coded to the picture, 0..1.
  const seen = (a) => {
    const [x, y, w, h] = [a.x / frame.w, a.y / frame.h, a.w / frame.w, a.h / frame.h];
    switch (turn) {
      case 90: return { x: 1 - y - h, y: x, w: h, h: w };
      case 180: return { x: 1 - x - w, y: 1 - y - h, w, h };
      case 270: return { x: y, y: 1 - x - w, w: h, h: w };
    }
    return { x, y, w, h };
  };
  const block = ([x, y]) => [Math.max(0, Math.min(across - 1, Math.floor(x / side))),
    Math.max(0, Math.min(down - 1, Math.floor(y / side)))];
  // between is the area of whole blocks that two places of the picture span.
  const between = (p, q) => {
    const [a, b] = [block(coded(...p)), block(coded(...q))];
    const x = Math.min(a[0], b[0]), y = Math.min(a[1], b[1]);
    return { x: x * side, y: y * side, w: (Math.abs(a[0] - b[0]) + 1) * side, h: (Math.abs(a[1] - b[1]) + 1) * side };
  };
  // blocks are those from first to before last that lie within a stretch, or the one nearest to a short one.
  const blocks = (from, long, most) => {
    const first = Math.ceil(from / side), last = Math.min(most, Math.floor((from + long) / side));
    const near = Math.max(0, Math.min(most - 1, Math.floor((from + long / 2) / side)));
    return first < last ? [Math.max(0, first), last] : [near, near + 1];
  };
  // measure reads the blocks that lie within an area.
  const measure = (a) => {
    const [x0, x1] = blocks(a.x, a.w, across), [y0, y1] = blocks(a.y, a.h, down);
    const mean = [0, 0, 0, 0];
    let square = 0, clipped = 0;
    const n = (x1 - x0) * (y1 - y0);
    for (let y = y0; y < y1; y++) {
      for (let x = x0; x < x1; x++) {
        const i = index(x, y), luma = light(values[i]), spread = light(values[4 * size + i]);
        for (let k = 0; k < 4; k++) mean[k] += light(values[k * size + i]) / n;
        square += (luma * luma + spread * spread) / n;
        clipped |= values[5 * size + i];
      }
    }
    const sigma = Math.sqrt(Math.max(0, square - mean[0] * mean[0]));
    return {
      light: mean[0], stops: mean[0] > 0 ? Math.log2(mean[0] / 0.18) : null, code: codeOf(mean[0]),
      rgb: mean.slice(1).map(codeOf), spread: mean[0] > 0 ? Math.log2(1 + sigma / mean[0]) : null,
      clipped: ["R", "G", "B"].filter((_, k) => clipped >> k & 1),
    };
  };
  return { side, frame, coded, seen, between, measure };
};

const minus = (text) => text.replace("-", "\u2212");
const signed = (v, digits) => {
  const text = v.toFixed(digits);
  return minus(Number(text) < 0 ? text : "+" + text.replace("-", ""));
};
const percentOf = (code) => minus(((code - 64) / 8.76).toFixed(1)) + "\u00a0%";
const stopsWords = (stops) => stops === null ? "no light" : signed(stops, 2) + "\u00a0stops";
const regionOf = (a) => [a.x, a.y, a.w, a.h].join(",");
