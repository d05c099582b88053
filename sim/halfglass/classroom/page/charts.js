// The last minutes as lines: the present branch, and those tried before it, on the same clock.
import { FAINT, INK, RED, RULE, clock, make } from "./parts.js";

const TYPE = '11px "DejaVu Sans", Verdana, sans-serif';
const FIRST = { colour: INK, dash: [] }, SECOND = { colour: INK, dash: [3, 2] };
const SHADE = "#f3e3dc";
export const SPANS = [[300, "5 min"], [600, "10 min"], [1200, "20 min"], [3600, "1 h"], [14400, "4 h"]];
const MOST = 180; // points of a line; beyond that, of each few the lowest and the highest stand for all

/** Rows of one branch on the even grid of moments all branches share. */
class Branch {
  constructor(told) {
    this.number = told.number;
    this.letter = told.letter;
    this.from = told.from;
    this.columns = {};
    this.count = 0;
  }

  add(rows) {
    for (const [name, values] of Object.entries(rows)) (this.columns[name] ||= []).push(...values);
    this.count = Object.values(this.columns)[0]?.length ?? 0;
  }

  at(name, place, factor = 1) {
    const value = this.columns[name]?.[place] ?? null;
    return value === null ? null : value * factor;
  }
}

export class Charts {
  /** `strokes`: colour and dash of each branch; `grid` [s]. */
  constructor(place, list, { origin, grid, strokes }, span) {
    Object.assign(this, { origin, grid, strokes, span });
    this.branches = new Map();
    this.present = null;
    this.cursor = null;
    this.waiting = [];
    place.replaceChildren();
    this.plots = list.map(chart => {
      const room = make("div", { class: "plot" });
      const figure = make("figure", { class: "chart", role: "img", "aria-label": `${chart.title} over the last minutes` },
        make("p", { class: "chart-label" }, chart.title, chart.unit ? ` [${chart.unit}]` : "", ...legend(chart)), room);
      place.append(figure);
      return { chart, room, plot: null, series: "", wide: 0, inSight: true };
    });
    const of = room => this.plots.find(one => one.room === room);
    this.sight = new IntersectionObserver(seen => {
      for (const { target, isIntersecting } of seen) of(target).inSight = isIntersecting;
      this.redraw();
    }, { rootMargin: "100px" });
    this.size = new ResizeObserver(seen => {
      for (const { target, contentRect } of seen) {
        const one = of(target);
        one.wide = Math.floor(contentRect.width);
        if (one.plot && one.wide > 50) one.plot.setSize({ width: one.wide, height: one.plot.height });
      }
      this.redraw();
    });
    for (const one of this.plots) {
      this.sight.observe(one.room);
      this.size.observe(one.room);
    }
  }

  /** Let go of the page. */
  close() {
    this.sight.disconnect();
    this.size.disconnect();
    for (const one of this.plots) one.plot?.destroy();
  }

  /** Begin anew with these branches, the present one last. */
  take(branches) {
    this.branches = new Map();
    for (const told of branches) {
      const branch = new Branch(told);
      branch.add(told.rows);
      this.branches.set(told.number, branch);
      this.present = branch;
    }
    this.redraw();
  }

  add(number, rows, now) {
    const branch = this.branches.get(number);
    if (!branch) return;
    branch.add(rows);
    this.now = now;
    this.redraw();
  }

  /** A column of the present branch between two moments, as points [s since the first, value], and how it stands now. */
  points(name, from, until, now) {
    const found = [];
    for (let place = Math.ceil(from / this.grid); place < this.present.count && place * this.grid <= until; place++)
      found.push([place * this.grid - from, this.present.at(name, place)]);
    if (now.time <= until && now.time >= from && now.shown[name] !== undefined) found.push([now.time - from, now.shown[name]]);
    return found;
  }

  /** Draw those in sight at the next frame of the screen, all in one: each frame more costs more than a line. */
  redraw() {
    if (this.isAsked) return;
    this.isAsked = true;
    requestAnimationFrame(() => {
      this.isAsked = false;
      for (const one of this.plots) if (one.inSight) this.fill(one);
    });
  }

  lines(chart) {
    const others = [...this.branches.values()].filter(branch => branch !== this.present);
    return [
      ...others.flatMap(branch => chart.lines.map((line, i) => ({ branch, column: line.column, factor: line.factor, stroke: this.earlier(branch, chart, i), width: 1.5 }))),
      ...chart.lines.map((line, i) => ({ branch: this.present, column: line.column, factor: line.factor, stroke: i ? SECOND : FIRST, width: i ? 2 : 2.2 })),
    ];
  }

  /** An earlier branch: its colour and its letter say which try; the dash too, or which line where there are more. */
  earlier(branch, chart, i) {
    const stroke = this.strokes[branch.number % this.strokes.length];
    return chart.lines.length > 1 ? { ...stroke, dash: (i ? SECOND : FIRST).dash } : stroke;
  }

  fill(one) {
    if (!this.present || one.wide < 50) return;
    const last = this.present.count - 1, first = Math.max(0, last - Math.round(this.span / this.grid));
    const lines = this.lines(one.chart), times = [], columns = lines.map(() => []);
    for (const place of places(lines.at(-one.chart.lines.length), first, last)) {
      times.push(place * this.grid);
      lines.forEach((line, i) => columns[i].push(line.branch.at(line.column, place, line.factor)));
    }
    const key = lines.map(line => line.branch.number + line.column).join();
    if (!one.plot || one.series !== key) {
      one.plot?.destroy();
      one.series = key;
      one.plot = this.plot(one, lines);
    }
    const end = Math.max(last * this.grid, first * this.grid + Math.min(this.span, 120));
    const [low, high] = bounds(one.chart, columns);
    one.plot.batch(() => { // all at once, drawn once
      one.plot.setData([times, ...columns], false);
      one.plot.setScale("x", { min: first * this.grid, max: end });
      one.plot.setScale("y", { min: low, max: high });
    });
  }

  plot(one, lines) {
    const { chart, room } = one;
    const line = { stroke: INK, font: TYPE, grid: { stroke: RULE, width: 0.6 }, ticks: { stroke: FAINT, size: 4, width: 0.8 } };
    return new uPlot({
      width: one.wide, height: 150, legend: { show: false }, cursor: { show: false }, padding: [8, 24, 0, 0],
      pxAlign: 0,
      scales: { x: { time: false, auto: false }, y: { auto: false } },
      axes: [
        { ...line, grid: { show: false }, size: 26, space: 80, incrs: [10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600],
          values: (plot, at, axis, space, step) => at.map(time => clock(this.origin, time, step < 60)) },
        { ...line, size: 44, space: 32, values: (plot, at) => at.map(value => String(Number(value.toPrecision(5)))) },
      ],
      series: [{}, ...lines.map(({ stroke, width }) => ({ stroke: stroke.colour, width, dash: stroke.dash.map(part => 2 * part), points: { show: false }, spanGaps: false }))],
      hooks: { drawClear: [plot => ground(plot, chart)], draw: [plot => this.over(plot, one, lines)] },
    }, [[0], ...lines.map(() => [null])], room);
  }

  /** Letters of earlier branches on their lines, and the moment to go back to. */
  over(plot, one, lines) {
    const { ctx, bbox } = plot, dots = devicePixelRatio || 1, { min, max } = plot.scales.x;
    ctx.save();
    ctx.font = "bold " + TYPE.replace("11px", 10 * dots + "px");
    ctx.textAlign = "center";
    ctx.textBaseline = "middle";
    lines.forEach((line, i) => {
      if (line.branch === this.present) return;
      const from = Math.max(line.branch.from, min), until = Math.min(max, (line.branch.count - 1) * this.grid);
      if (until <= from) return;
      const time = from + (until - from) * (0.55 + 0.12 * (i % 4));
      const value = line.branch.at(line.column, Math.round(time / this.grid));
      if (value === null) return;
      const x = plot.valToPos(time, "x", true), y = plot.valToPos(value, "y", true);
      if (y < bbox.top || y > bbox.top + bbox.height) return;
      ctx.setLineDash([]);
      ctx.beginPath();
      ctx.arc(x, y, 7 * dots, 0, 2 * Math.PI);
      ctx.fillStyle = "#fff"; ctx.fill();
      ctx.strokeStyle = line.stroke.colour; ctx.lineWidth = 1.4 * dots; ctx.stroke();
      ctx.fillStyle = INK;
      ctx.fillText(line.branch.letter, x, y + 0.5 * dots);
    });
    if (this.cursor !== null && this.cursor >= min && this.cursor <= max) {
      const x = plot.valToPos(this.cursor, "x", true);
      ctx.setLineDash([]);
      ctx.strokeStyle = RED; ctx.lineWidth = 1.5 * dots;
      ctx.beginPath(); ctx.moveTo(x, bbox.top); ctx.lineTo(x, bbox.top + bbox.height); ctx.stroke();
    }
    ctx.restore();
  }
}

/** The places to draw of a line's rows: all, or of each few the lowest and the highest, and the last. */
function places({ branch, column }, first, last) {
  const few = 2 * Math.ceil((last - first + 1) / MOST), found = [];
  for (let from = first, until; from <= last; from = until + 1) {
    until = Math.min(last, from - from % few + few - 1); // the same few from frame to frame
    let low = from, high = from;
    for (let place = from + 1; place <= until; place++) {
      if (branch.at(column, place) < branch.at(column, low)) low = place;
      if (branch.at(column, place) >= branch.at(column, high)) high = place;
    }
    if (low !== high) found.push(Math.min(low, high));
    found.push(Math.max(low, high));
  }
  if (found.at(-1) !== last) found.push(last);
  return found;
}

/** Danger bands under the lines, and marks. */
function ground(plot, chart) {
  const { ctx, bbox } = plot, scale = plot.scales.y, dots = devicePixelRatio || 1;
  ctx.save();
  ctx.fillStyle = SHADE;
  for (const [from, to] of chart.shades) {
    const low = Math.max(scale.min, from ?? scale.min), high = Math.min(scale.max, to ?? scale.max);
    if (high <= low) continue;
    const top = plot.valToPos(high, "y", true);
    ctx.fillRect(bbox.left, top, bbox.width, plot.valToPos(low, "y", true) - top);
  }
  ctx.strokeStyle = FAINT;
  ctx.lineWidth = dots;
  ctx.setLineDash([3 * dots, 3 * dots]);
  for (const mark of chart.marks) {
    if (mark < scale.min || mark > scale.max) continue;
    const y = plot.valToPos(mark, "y", true);
    ctx.beginPath(); ctx.moveTo(bbox.left, y); ctx.lineTo(bbox.left + bbox.width, y); ctx.stroke();
  }
  ctx.restore();
}

function bounds(chart, columns) {
  let low = Infinity, high = -Infinity;
  for (const column of columns) for (const value of column) if (value !== null) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  if (low > high) return [0, 1];
  const room = Math.max(0.08 * (high - low), chart.least / 2 - (high - low) / 2, 1e-6);
  return [chart.low === null ? low - room : Math.min(chart.low, low), chart.high === null ? high + room : Math.max(chart.high, high)];
}

function legend(chart) {
  if (chart.lines.length < 2) return [];
  return chart.lines.map(line => make("span", { class: "line-name", "data-line": line.column }, line.label));
}
