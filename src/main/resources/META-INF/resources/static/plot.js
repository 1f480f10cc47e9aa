// Draws the day of a cabinet from the table beside it: who cannot see the drawing reads the same figures.
const place = document.querySelector('[data-plot]');

if (place) {
  const { default: uPlot } = await import(place.dataset.plot);
  draw(uPlot);
}

function figures() {
  const at = [];
  const inside = [];
  const outside = [];
  const content = [];
  // A quarter of an hour and a little: more between two figures is a gap, and nothing is drawn where nothing was heard.
  const gap = 25 * 60;
  for (const row of document.querySelectorAll('tr[data-at]')) {
    const time = Number(row.dataset.at);
    if (at.length > 0 && time - at[at.length - 1] > gap) {
      at.push(time - 1);
      inside.push(null);
      outside.push(null);
      content.push(null);
    }
    at.push(time);
    inside.push(row.dataset.inside === '' ? null : Number(row.dataset.inside));
    outside.push(row.dataset.outside === '' ? null : Number(row.dataset.outside));
    content.push(row.dataset.content === '' ? null : Number(row.dataset.content));
  }
  return [at, inside, outside, content];
}

function spans() {
  return [...document.querySelectorAll('[data-span]')].map((item) => ({
    look: item.dataset.span, from: Number(item.dataset.from), to: Number(item.dataset.to),
  }));
}

function draw(uPlot) {
  const night = matchMedia('(prefers-color-scheme: dark)');
  const zone = place.dataset.zoneName;
  const data = figures();
  let plot = null;

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  const width = () => place.parentElement.clientWidth - 2 * parseFloat(getComputedStyle(place.parentElement).paddingLeft);

  const make = () => {
    plot?.destroy();
    const ink = colour('--ink');
    const soft = colour('--soft');
    const hair = colour('--hair');
    const axis = { stroke: soft, grid: { stroke: hair, width: 1 }, ticks: { stroke: hair, width: 1 }, font: '13px system-ui, sans-serif' };
    plot = new uPlot({
      width: width(),
      height: 240,
      tzDate: (seconds) => uPlot.tzDate(new Date(seconds * 1000), zone),
      scales: { x: { range: [Number(place.dataset.since), Number(place.dataset.now)] } },
      legend: { show: false },
      cursor: { show: false },
      axes: [
        { ...axis, values: '{HH}:{mm}', space: 60 },
        { ...axis, size: 54, values: (self, ticks) => ticks.map((tick) => `${tick}`.replace('-', '\u2212') + ' °C') },
      ],
      series: [
        {},
        { stroke: ink, width: 2, points: { show: false } },
        { stroke: soft, width: 2, dash: [6, 5], points: { show: false } },
        { stroke: colour('--content'), width: 2, dash: [10, 3], points: { show: false } },
      ],
      hooks: { drawClear: [(self) => shade(self)] },
    }, data, place);
  };

  const shade = (self) => {
    for (const span of spans()) {
      const from = self.valToPos(Math.max(span.from, Number(place.dataset.since)), 'x', true);
      const to = self.valToPos(span.to, 'x', true);
      self.ctx.fillStyle = colour(span.look === 'lost' ? '--lost-tint' : '--unknown-tint');
      self.ctx.fillRect(from, self.bbox.top, Math.max(2, to - from), self.bbox.height);
      self.ctx.fillStyle = colour(span.look === 'lost' ? '--lost' : '--unknown');
      self.ctx.fillRect(from, self.bbox.top, Math.max(2, to - from), 4);
    }
  };

  place.hidden = false;
  place.setAttribute('aria-hidden', 'true');
  document.querySelector('[data-legend]').hidden = false;
  make();
  night.addEventListener('change', make);
  addEventListener('resize', () => plot.setSize({ width: width(), height: 240 }));
}
