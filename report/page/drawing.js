'use strict';
// What is drawn: pieces of base64 numbers, decoded when a layer is first
// looked at. Points are in steps of data.grid mm; y points away from you.

const stored = (id) => JSON.parse(document.getElementById(id).textContent);
const data = stored('data'), pieces = stored('pieces');

// numbers reads unsigned LEB128 numbers, and points as steps from the last.
function numbers(base64) {
  const bytes = atob(base64);
  let at = 0, x = 0, y = 0;
  const next = () => {
    let v = 0, unit = 1;
    for (;;) {
      const b = bytes.charCodeAt(at++);
      v += (b & 127) * unit;
      if (b < 128) return v;
      unit *= 128;
    }
  };
  const step = () => {
    const v = next();
    return v % 2 ? -(v + 1) / 2 : v / 2;
  };
  const line = () => {
    const pts = new Array(next());
    for (let i = 0; i < pts.length; i++) {
      x += step();
      y += step();
      pts[i] = [x, y];
    }
    return pts;
  };
  const many = (read) => Array.from({length: next()}, read);
  return {next, line, many};
}

// path writes lines as the data of an SVG path, in steps of the grid.
function path(lines, closed) {
  let d = '';
  for (const pts of lines) {
    let x = 0, y = 0;
    pts.forEach((p, i) => {
      d += (i ? 'l' : 'M') + (p[0] - x) + ' ' + (p[1] - y);
      [x, y] = p;
    });
    if (closed) d += 'z';
  }
  return d;
}

const decoded = {islands: new Map(), tight: new Map()};

function decode(kind, index, read) {
  if (!(index >= 0)) return null;
  if (!decoded[kind].has(index)) decoded[kind].set(index, read(numbers(pieces[kind][index])));
  return decoded[kind].get(index);
}

// partsOf gives the material of a layer by part: its contours and their path.
function partsOf(layer) {
  const parts = decode('islands', layer.islands, (n) => {
    const byPart = new Map();
    n.many(() => {
      const part = n.next();
      if (!byPart.has(part)) byPart.set(part, []);
      byPart.get(part).push(...n.many(n.line));
    });
    return [...byPart].map(([part, lines]) => ({part, lines, d: path(lines, true)}));
  });
  return parts || [];
}

// tightOf gives what is tight in a layer, as paths.
function tightOf(layer) {
  const tight = decode('tight', layer.tight, (n) => ({
    walls: n.many(() => {
      const short = n.next() === 1, part = n.next(), other = n.next();
      return {short, part, other, d: path([n.line()], false)};
    }),
    roofs: n.many(() => {
      const short = n.next() === 1, part = n.next(), over = n.next(), overLayer = n.next();
      return {short, part, over, overLayer, d: path(n.many(n.line), true)};
    }),
  }));
  return tight || {walls: [], roofs: []};
}

// spot finds a place for a part's number: the middle of the widest stretch of
// material on some lines across a window [x0, y0, x1, y1], in steps of the
// grid, of those whose middle is free; null where none is as wide as asked.
function spot(lines, window, least, free) {
  const [x0, y0, x1, y1] = window;
  let low = Infinity, high = -Infinity;
  for (const pts of lines) for (const p of pts) {
    low = Math.min(low, p[1]);
    high = Math.max(high, p[1]);
  }
  low = Math.max(low, y0);
  high = Math.min(high, y1);
  let best = null, widest = least;
  for (const share of [0.5, 0.35, 0.65, 0.2, 0.8]) {
    const y = low + (high - low) * share + 0.5;
    const xs = [];
    for (const pts of lines) pts.forEach((a, i) => {
      const b = pts[(i + 1) % pts.length];
      if (a[1] > y !== b[1] > y) xs.push(a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]));
    });
    xs.sort((a, b) => a - b);
    for (let i = 0; i + 1 < xs.length; i += 2) {
      const from = Math.max(xs[i], x0), to = Math.min(xs[i + 1], x1);
      const middle = [(from + to) / 2, y];
      if (to - from > widest * 1.02 && free(middle)) {
        widest = to - from;
        best = middle;
      }
    }
  }
  return best;
}
