// What is looked at, and the ways to change it.

const element = (id) => document.getElementById(id);
const whole = new View(element('whole'), 'whole');
const near = new View(element('near'), 'near');
const strip = element('strip');
const last = data.layers.length;

const shown = {layer: data.first, joint: -1, centre: null};

// closeUp is how many mm the close-up shows: wide enough for the gap and the
// walls beside it.
function closeUp(gap) {
  const apart = gap ? Math.hypot(gap.ends[0][0] - gap.ends[1][0], gap.ends[0][1] - gap.ends[1][1]) : 0;
  return Math.max(5, 7 * apart);
}

function gapsOf(layer, joint) {
  if (!joint) return layer.gaps || [];
  if (joint.layer === shown.layer) {
    const side = (layer.gaps || []).filter((g, i) => i > 0 && sameParts(layer, joint));
    return joint.gap ? [joint.gap, ...side] : [];
  }
  return sameParts(layer, joint) ? layer.gaps || [] : [];
}

function sameParts(layer, joint) {
  return layer.parts && layer.parts[0] === joint.parts[0] && layer.parts[1] === joint.parts[1];
}

function show() {
  if (last === 0) return;
  const layer = data.layers[shown.layer - 1];
  const joint = data.joints[shown.joint];
  const gaps = gapsOf(layer, joint);
  if (gaps.length) {
    const [a, b] = gaps[0].ends;
    shown.centre = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  }
  const [x0, y0, x1, y1] = data.box;
  const pad = 0.04 * Math.max(x1 - x0, y1 - y0);
  let frame = null;
  if (shown.centre) {
    const half = closeUp(gaps[0]) / 2, [x, y] = shown.centre;
    frame = [x - half, y - half, x + half, y + half];
  }
  whole.draw({number: shown.layer, look: [x0 - pad, y0 - pad, x1 + pad, y1 + pad], gaps, chosen: joint ? joint.parts : [], close: false, frame});
  near.draw({number: shown.layer, look: frame || data.box, gaps, chosen: joint ? joint.parts : [], close: true, frame: null});
  tell(layer, joint, gaps);
}

// tell says in words what is drawn.
function tell(layer, joint, gaps) {
  const z = `of ${last}, z\u00a0${layer.z}\u00a0mm`;
  element('now-layer').textContent = `layer\u00a0${shown.layer}`;
  element('now-of').textContent = z;
  const word = element('now-outcome');
  word.hidden = layer.outcome === '';
  word.textContent = layer.outcome;
  word.dataset.outcome = layer.outcome;
  element('now-words').textContent = layer.words;
  const marks = layer.marks ? `(${layer.marks.join(', ')})` : '';
  element('now-marks').textContent = marks;
  const words = `layer ${shown.layer} ${z}: ${layer.outcome} ${layer.words} ${marks}`.replace(/\s+/g, ' ').trim();
  whole.title.textContent = `The whole of ${words}`;
  near.title.textContent = gaps.length ? `Close-up: ${gaps.map((g) => g.text).join('; ')}` : 'Close-up: nothing near here to measure';
  let what = 'Close-up of its tightest place';
  if (joint) what = `Close-up of parts ${joint.parts[0]} and ${joint.parts[1]}`;
  else if (!gaps.length) what = 'Close-up: no gap in this layer';
  element('near-what').textContent = what;
  element('near-words').textContent = layer.outcome ? `: ${layer.outcome}, ${layer.words}` : '';
  element('follow').hidden = !joint;
  strip.setAttribute('aria-valuenow', shown.layer);
  strip.setAttribute('aria-valuetext', words);
  element('cursor').style.left = `${(shown.layer - 0.5) / last * 100}%`;
  for (const row of document.querySelectorAll('tr[data-joint]')) {
    const chosen = Number(row.dataset.joint) === shown.joint;
    if (chosen) row.setAttribute('aria-current', 'true');
    else row.removeAttribute('aria-current');
  }
  document.body.dataset.layer = shown.layer;
  speak(words);
}

// speak says a layer to a screen reader once the layer has settled; the strip
// says its own when it has the focus.
let speaking = 0;
function speak(words) {
  clearTimeout(speaking);
  speaking = setTimeout(() => {
    element('spoken').textContent = document.activeElement === strip ? '' : words;
  }, 500);
}

let asked = false;
function go(layer, joint) {
  shown.layer = Math.min(Math.max(layer, 1), last);
  if (joint !== undefined) shown.joint = joint;
  if (asked) return;
  asked = true;
  requestAnimationFrame(() => {
    asked = false;
    show();
  });
}

// The next tight place, up (1) or down (-1); from the last one round again.
function nextTight(way) {
  const stops = way > 0 ? data.stops : [...data.stops].reverse();
  if (stops.length) go(stops.find((n) => (n - shown.layer) * way > 0) || stops[0], -1);
}

const steps = {ArrowLeft: -1, ArrowRight: 1};
addEventListener('keydown', (e) => {
  if (e.ctrlKey || e.altKey || e.metaKey || !(e.key in steps)) return;
  if (e.shiftKey) nextTight(steps[e.key]);
  else go(shown.layer + steps[e.key]);
  e.preventDefault();
});
strip.addEventListener('keydown', (e) => {
  const to = {
    ArrowUp: shown.layer + 1, ArrowDown: shown.layer - 1, Home: 1, End: last,
    PageUp: shown.layer + 10, PageDown: shown.layer - 10,
  }[e.key];
  if (to === undefined || e.ctrlKey || e.altKey || e.metaKey) return;
  go(to);
  e.preventDefault();
});

function layerAt(e) {
  const box = strip.getBoundingClientRect();
  return Math.floor((e.clientX - box.left) / box.width * last) + 1;
}
strip.addEventListener('pointerdown', (e) => {
  if (e.button !== 0) return;
  strip.setPointerCapture(e.pointerId);
  go(layerAt(e));
});
strip.addEventListener('pointermove', (e) => {
  if (strip.hasPointerCapture(e.pointerId)) go(layerAt(e));
});

element('back').addEventListener('click', () => go(shown.layer - 1));
element('on').addEventListener('click', () => go(shown.layer + 1));
element('next').addEventListener('click', () => nextTight(1));
element('next').disabled = data.stops.length === 0;
element('follow').addEventListener('click', () => {
  go(shown.layer, -1);
  strip.focus();
});

// toDrawing scrolls to the drawing where it is not to be seen.
function toDrawing() {
  const box = element('look').getBoundingClientRect();
  if (box.top < 0 || box.bottom > innerHeight + box.height / 2) element('look').scrollIntoView({block: 'start'});
}

for (const row of document.querySelectorAll('tr[data-joint]')) {
  const index = Number(row.dataset.joint), joint = data.joints[index];
  if (!joint.layer) continue;
  row.addEventListener('click', () => {
    shown.centre = null;
    go(joint.layer, index);
    toDrawing();
  });
}

const named = (hash) => Number((/^#layer-(\d+)$/.exec(hash) || [])[1] || 0);
document.addEventListener('click', (e) => {
  const link = e.target.closest && e.target.closest('a[href^="#layer-"]');
  if (!link) return;
  e.preventDefault();
  go(named(link.getAttribute('href')), -1);
  toDrawing();
});

new ResizeObserver(() => go(shown.layer)).observe(element('look'));
if (named(location.hash)) shown.layer = Math.min(named(location.hash), last);
show();
