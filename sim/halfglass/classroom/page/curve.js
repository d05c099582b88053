// The axis of a lesson: the student draws what will come, and what came is laid over it.
import { FAINT, GLASS, INK, RULE, attribute, draw, duration, figures, make, write } from "./parts.js";

const WIDE = 400, TALL = 250, LEFT = 46, RIGHT = 388, TOP = 12, BOTTOM = 214;
const POINTS = 25;
const DRAWN = "#185abb";

export class Curve {
  /** `axis`: label, unit, low, high, duration [s], start (value at the beginning); `changed`: called on every stroke. */
  constructor(place, axis, changed) {
    Object.assign(this, { axis, changed });
    this.values = new Array(POINTS).fill(null);
    this.values[0] = axis.start;
    this.chosen = 0;
    this.build(place);
  }

  build(place) {
    const { axis } = this;
    const picture = this.picture = draw("svg", { viewBox: `0 0 ${WIDE} ${TALL}`, class: "curve-picture" });
    picture.append(draw("rect", { x: LEFT, y: TOP, width: RIGHT - LEFT, height: BOTTOM - TOP, fill: GLASS, stroke: RULE }));
    for (const value of ticks(axis.low, axis.high)) {
      const y = this.y(value);
      picture.append(draw("path", { d: `M${LEFT} ${y}H${RIGHT}`, stroke: RULE }),
        draw("text", { x: LEFT - 6, y: y + 4, "text-anchor": "end", fill: INK }, String(Number(value.toPrecision(4)))));
    }
    const every = EVERY.find(step => axis.duration / step <= 4.01) ?? axis.duration / 4;
    for (let time = 0; time <= axis.duration; time += every) {
      const share = time / axis.duration, x = LEFT + share * (RIGHT - LEFT);
      picture.append(draw("path", { d: `M${x} ${BOTTOM}v4`, stroke: FAINT }),
        draw("text", { x: share > 0.97 ? x + 6 : x, y: BOTTOM + 17, "text-anchor": share > 0.97 ? "end" : "middle", fill: INK }, duration(time).replace(/^0 s$/, "0")));
    }
    picture.append(draw("text", { x: (LEFT + RIGHT) / 2, y: BOTTOM + 33, "text-anchor": "middle", fill: FAINT }, "time from the start of the run"));
    this.came = draw("path", { fill: "none", stroke: INK, "stroke-width": 2.8, "stroke-linejoin": "round" });
    this.other = draw("path", { fill: "none", stroke: FAINT, "stroke-width": 1.5 });
    this.mine = draw("path", { fill: "none", stroke: DRAWN, "stroke-width": 2.6, "stroke-dasharray": "7 4", "stroke-linejoin": "round" });
    this.rest = draw("path", { fill: "none", stroke: DRAWN, "stroke-width": 1.6, "stroke-dasharray": "1.5 5" });
    this.dot = draw("circle", { r: 5, fill: "#fff", stroke: DRAWN, "stroke-width": 2.4 });
    this.words = draw("text", { x: (LEFT + RIGHT) / 2, y: TOP + 22, "text-anchor": "middle", class: "invite halo", fill: DRAWN }, "");
    picture.append(this.other, this.rest, this.mine, this.came, this.dot, this.words);
    this.caption = make("figcaption");
    place.replaceChildren(make("p", { class: "chart-label" }, axis.label, axis.unit ? ` [${axis.unit}]` : ""), picture, this.caption);
    picture.addEventListener("pointerdown", event => this.begin(event));
    picture.addEventListener("pointermove", event => this.drag(event));
    for (const end of ["pointerup", "pointercancel"]) picture.addEventListener(end, () => { this.last = null; });
    picture.addEventListener("keydown", event => this.key(event));
    this.show();
  }

  x(point) { return LEFT + (RIGHT - LEFT) * point / (POINTS - 1); }
  y(value) { return BOTTOM - (BOTTOM - TOP) * (value - this.axis.low) / (this.axis.high - this.axis.low); }

  /** Whether the student may draw now. */
  open(may) {
    this.may = may;
    const svg = this.picture;
    svg.classList.toggle("may-draw", may);
    attribute(svg, "role", may ? "slider" : "img");
    if (may) {
      attribute(svg, "tabindex", 0);
      attribute(svg, "aria-valuemin", this.axis.low);
      attribute(svg, "aria-valuemax", this.axis.high);
      attribute(svg, "aria-orientation", "vertical");
    } else for (const name of ["tabindex", "aria-valuemin", "aria-valuemax", "aria-valuenow", "aria-valuetext", "aria-orientation"]) svg.removeAttribute(name);
    this.show();
  }

  get isDrawn() { return this.values.some((value, i) => i > 0 && value !== null); }

  /** The whole curve: what was left out goes on level. */
  points() {
    let value = this.values[0] ?? this.axis.start;
    return this.values.map((own, i) => [this.axis.duration * i / (POINTS - 1), value = own ?? value]);
  }

  take(points) {
    this.values = this.values.map((_, i) => {
      const at = this.axis.duration * i / (POINTS - 1);
      const next = points.findIndex(([time]) => time >= at - 1e-6);
      if (next < 0) return points[points.length - 1][1];
      if (next === 0) return points[0][1];
      const [t0, v0] = points[next - 1], [t1, v1] = points[next];
      return v0 + (v1 - v0) * (at - t0) / (t1 - t0);
    });
    this.show();
  }

  place(event) {
    const box = this.picture.getBoundingClientRect();
    const x = (event.clientX - box.left) / box.width * WIDE, y = (event.clientY - box.top) / box.height * TALL;
    const point = Math.round((x - LEFT) / (RIGHT - LEFT) * (POINTS - 1));
    const value = this.axis.low + (BOTTOM - y) / (BOTTOM - TOP) * (this.axis.high - this.axis.low);
    return [Math.max(0, Math.min(POINTS - 1, point)), this.clamp(value)];
  }

  clamp(value) { return Math.max(this.axis.low, Math.min(this.axis.high, value)); }

  begin(event) {
    if (!this.may || event.button > 0) return;
    event.preventDefault();
    this.picture.focus({ preventScroll: true });
    this.picture.setPointerCapture(event.pointerId);
    let first = 0; // a stroke begun in the middle hangs together with what stands left of it
    const at = this.place(event);
    for (let i = 0; i <= at[0]; i++) if (this.values[i] !== null) first = i;
    this.last = [first, this.values[first]];
    this.stroke(at);
  }

  drag(event) {
    if (this.may && this.last) this.stroke(this.place(event));
  }

  stroke([point, value]) {
    const [from, was] = this.last, way = Math.sign(point - from);
    for (let i = from; way && i !== point; i += way) this.values[i] = was + (value - was) * (i - from) / (point - from);
    this.values[point] = value;
    if (this.values[0] === null || point > 0) this.values[0] = this.axis.start; // the run begins where the boat is now
    this.last = [point, value];
    this.chosen = point;
    this.show();
    this.changed();
  }

  key(event) {
    if (!this.may) return;
    const sideways = { ArrowLeft: -1, ArrowRight: 1, Home: -POINTS, End: POINTS }[event.key];
    const up = { ArrowUp: 1, ArrowDown: -1, PageUp: 5, PageDown: -5 }[event.key];
    if (!sideways && !up) return;
    event.preventDefault();
    if (sideways) this.chosen = Math.max(0, Math.min(POINTS - 1, this.chosen + sideways));
    else {
      this.chosen = Math.max(1, this.chosen);
      this.values = this.points().map(point => point[1]).map((value, i) => i <= this.chosen || this.values[i] !== null ? value : null);
      this.values[this.chosen] = this.clamp(this.values[this.chosen] + up * (this.axis.high - this.axis.low) / 40);
      this.changed();
    }
    this.show();
  }

  show() {
    const path = (values, from = 0) => values.map((value, i) => `${i ? "L" : "M"}${this.x(i + from).toFixed(1)} ${this.y(this.clamp(value)).toFixed(1)}`).join("");
    const known = this.values.findLastIndex(value => value !== null);
    const drawn = this.points().slice(0, known + 1).map(point => point[1]);
    attribute(this.mine, "d", path(drawn));
    attribute(this.rest, "d", this.isDrawn && known < POINTS - 1 ? `M${this.x(known)} ${this.y(this.clamp(drawn[known]))}H${RIGHT}` : "M0 0");
    attribute(this.dot, "visibility", this.may ? "visible" : "hidden");
    attribute(this.dot, "cx", this.x(this.chosen));
    const value = this.points()[this.chosen][1];
    attribute(this.dot, "cy", this.y(this.clamp(value)));
    write(this.words, this.may && !this.isDrawn ? "draw here, from the dot to the right" : "");
    if (!this.may) return attribute(this.picture, "aria-label", `${this.axis.label}: what was predicted and what came`);
    const told = `after ${duration(this.axis.duration * this.chosen / (POINTS - 1))}: ${figures(value, this.axis.unit)} ${this.axis.unit}`;
    attribute(this.picture, "aria-label", `Your prediction of ${this.axis.label}: left and right arrow choose a moment, up and down arrow draw`);
    attribute(this.picture, "aria-valuenow", value.toPrecision(4));
    attribute(this.picture, "aria-valuetext", told);
  }

  /** What came so far: points [s, value]. */
  lay(points) { attribute(this.came, "d", this.line(points)); }

  /** The same minutes gone another way. */
  layOther(points) { attribute(this.other, "d", this.line(points)); }

  line(points) {
    const x = time => LEFT + (RIGHT - LEFT) * Math.min(1, time / this.axis.duration);
    return points.length ? points.map(([time, value], i) => `${i ? "L" : "M"}${x(time).toFixed(1)} ${this.y(this.clamp(value)).toFixed(1)}`).join("") : "M0 0";
  }

  explain(parts) {
    this.caption.replaceChildren(...parts);
  }
}

const EVERY = [5, 10, 15, 30, 60, 120, 180, 300, 600]; // s between marks along the axis

function ticks(low, high) {
  const rough = (high - low) / 4, power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].map(part => part * power).find(one => one >= rough * 0.999);
  const found = [];
  for (let value = Math.ceil(low / step - 1e-9) * step; value <= high + 1e-9; value += step) found.push(value);
  return found;
}
