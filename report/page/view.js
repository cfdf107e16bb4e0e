// A view is one drawing of a layer in an SVG element, whole or close up.

const svgSpace = 'http://www.w3.org/2000/svg';

function make(parent, name, attributes, text) {
  const e = document.createElementNS(svgSpace, name);
  for (const k in attributes) e.setAttribute(k, attributes[k]);
  if (text !== undefined) e.textContent = text;
  parent.append(e);
  return e;
}

const tints = 6; // of parts, in the style sheet

class View {
  constructor(svg, name) {
    this.svg = svg;
    this.name = name;
    this.title = svg.querySelector('title');
  }

  // draw shows a layer. look is the box of mm to show at least, gaps are
  // dimensioned, and the parts in chosen (all if empty) are not dimmed.
  draw({number, look, gaps, chosen, close, frame}) {
    const wide = this.svg.clientWidth || 600, tall = this.svg.clientHeight || 400;
    const px = Math.max((look[2] - look[0]) / wide, (look[3] - look[1]) / tall); // mm a pixel
    const mid = [(look[0] + look[2]) / 2, (look[1] + look[3]) / 2];
    const x0 = mid[0] - wide * px / 2, y0 = mid[1] - tall * px / 2;
    this.px = px;
    const window = [x0, y0, x0 + wide * px, y0 + tall * px];
    this.svg.replaceChildren(this.title);
    // In pixels, with y downward: the drawing is the same on every screen.
    this.svg.setAttribute('viewBox', `0 0 ${wide} ${tall}`);
    const at = (p) => [(p[0] - x0) / px, tall - (p[1] - y0) / px];
    const scale = data.grid / px;
    const place = `matrix(${scale} 0 0 ${-scale} ${-x0 / px} ${tall + y0 / px})`;

    const layer = data.layers[number - 1];
    const parts = partsOf(layer);
    this.#patterns(scale);
    // Close up, the lower layer is the one that the gap leads to.
    const lower = close && gaps[0] && gaps[0].layers[1] < number ? gaps[0].layers[1] : number - 1;
    const material = make(this.svg, 'g', {transform: place});
    for (const p of parts) {
      const dim = chosen.length && !chosen.includes(p.part) ? ' dim' : '';
      make(material, 'path', {class: `island t${(p.part - 1) % tints}${dim}`, d: p.d});
    }
    // The layer below shows through.
    const through = make(this.svg, 'g', {transform: place});
    if (lower > 0) {
      for (const p of partsOf(data.layers[lower - 1])) make(through, 'path', {class: 'below', d: p.d});
    }
    const tight = tightOf(layer);
    const clip = make(make(this.svg, 'defs', {}), 'clipPath', {id: this.name + '-material'});
    make(clip, 'path', {transform: place, d: parts.map((p) => p.d).join(''), 'clip-rule': 'evenodd'});
    const heavy = make(this.svg, 'g', close ? {'clip-path': `url(#${this.name}-material)`} : {});
    const placed = make(heavy, 'g', {transform: place});
    for (const r of tight.roofs) {
      make(placed, 'path', {class: 'roof', fill: `url(#${this.name}-${r.short ? 'short' : 'close'})`, d: r.d});
    }
    for (const w of tight.walls) make(placed, 'path', {class: `wall ${w.short ? 'short' : 'close'}${close ? ' inner' : ''}`, d: w.d});

    if (frame) {
      const [fx, fy] = at([frame[0], frame[3]]);
      const w = (frame[2] - frame[0]) / px, h = (frame[3] - frame[1]) / px;
      make(this.svg, 'rect', {class: 'frame', x: fx, y: fy, width: w, height: h});
    }
    this.taken = []; // boxes of labels, in pixels
    if (close) gaps.forEach((g, i) => {
      if (i === 0 || g.ends.flat().every((v, k) => v > window[k % 2] && v < window[k % 2 + 2])) this.#dimension(g, at, wide, tall, i > 0);
    });
    const grid = window.map((v) => v / data.grid);
    for (const p of parts) {
      const pixel = (s) => at([s[0] * data.grid, s[1] * data.grid]);
      const s = spot(p.lines, grid, 26 * px / data.grid, (s) => {
        const [x, y] = pixel(s);
        return !this.taken.some((t) => x > t[0] - 12 && x < t[2] + 12 && y > t[1] - 12 && y < t[3] + 12);
      });
      if (!s) continue;
      const [x, y] = pixel(s);
      make(this.svg, 'text', {class: 'part-number', x, y: y + 5}, p.part);
    }
    this.#bar(px, wide, tall);
  }

  #patterns(scale) {
    const defs = make(this.svg, 'defs', {});
    for (const kind of ['short', 'close']) {
      const step = (kind === 'short' ? 7 : 12) / scale;
      const p = make(defs, 'pattern', {id: `${this.name}-${kind}`, class: `hatch ${kind}`, width: step, height: step, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(60)'});
      make(p, 'path', {d: `M0 0V${step}`, 'stroke-width': 4 / scale});
    }
  }

  // dimension joins two nearest points and says how far apart they are, at
  // the end of a line led aside to where there is room.
  #dimension(gap, at, wide, tall, second) {
    const g = make(this.svg, 'g', {class: second ? 'gap second' : 'gap', 'data-mm': gap.mm});
    const [a, b] = gap.ends.map(at);
    const mid = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const apart = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const text = make(g, 'text', {class: 'gap-text'}, gap.text);
    const w = text.getComputedTextLength() + 6, h = 22;
    const led = this.#aside(mid, apart > 1 ? Math.atan2(b[0] - a[0], a[1] - b[1]) : -0.9, w, h, wide, tall);
    this.taken.push(led.box, [Math.min(a[0], b[0]) - 8, Math.min(a[1], b[1]) - 8, Math.max(a[0], b[0]) + 8, Math.max(a[1], b[1]) + 8]);
    if (apart > 1) make(g, 'path', {class: 'join', d: `M${a[0]} ${a[1]}L${b[0]} ${b[1]}`});
    else make(g, 'circle', {class: 'ring', cx: mid[0], cy: mid[1], r: 9});
    make(g, 'path', {class: 'lead', d: `M${mid[0]} ${mid[1]}L${led.knee[0]} ${led.knee[1]}`});
    for (const p of [a, b]) make(g, 'circle', {class: 'end', cx: p[0], cy: p[1], r: 3.5});
    text.setAttribute('x', led.box[0] + 3);
    text.setAttribute('y', led.box[1] + 16);
    g.append(text);
  }

  // aside finds room for a label of w by h pixels beside a place: in the
  // direction wished for, or as near to it as can be.
  #aside(mid, wish, w, h, wide, tall) {
    const out = 46;
    for (const turn of [0, Math.PI, 0.7, -0.7, Math.PI - 0.7, Math.PI + 0.7, 1.5, -1.5]) {
      const [dx, dy] = [Math.cos(wish + turn), Math.sin(wish + turn)];
      const knee = [mid[0] + dx * out, mid[1] + dy * out];
      const x = knee[0] - w / 2 + dx * w / 2, y = knee[1] - h / 2 + dy * h / 2;
      const box = [x, y, x + w, y + h];
      const free = this.taken.every((t) => box[0] > t[2] || box[2] < t[0] || box[1] > t[3] || box[3] < t[1]);
      if (free && x > 2 && y > 2 && box[2] < wide - 2 && box[3] < tall - 2) return {knee, box};
    }
    const x = Math.min(Math.max(mid[0] - w / 2, 2), wide - w - 2);
    return {knee: [mid[0], mid[1] - out], box: [x, mid[1] - out - h, x + w, mid[1] - out]};
  }

  // bar draws a scale bar of a round length.
  #bar(px, wide, tall) {
    const most = Math.min(wide * 0.3, 140) * px;
    const power = 10 ** Math.floor(Math.log10(most));
    const mm = [5, 2, 1].map((k) => k * power).find((v) => v <= most);
    const long = mm / px;
    const g = make(this.svg, 'g', {class: 'bar'});
    const x = wide - 12 - long, y = tall - 12;
    make(g, 'path', {d: `M${x} ${y - 5}V${y}H${x + long}V${y - 5}`});
    make(g, 'text', {x: x + long / 2, y: y - 6}, `${Number(mm.toPrecision(1))} mm`);
  }
}
