// Pressure, fire and hot well as pictures, and the readings as a list.
import { BRASS, FAINT, GLASS, INK, RED, RULE, SWELL, WATER, attribute, draw, figures, make, svg, write } from "./parts.js";

const turn = 240; // degrees the hand travels

/** A pressure gauge. `marks`: highest, unit, working, valves (may be null), steaming (may be null). */
export function pressureDial(marks) {
  const angle = value => (-turn / 2 + turn * Math.max(-0.02, Math.min(1.04, value / marks.highest)) - 90) * Math.PI / 180;
  const at = (value, radius) => [100 + radius * Math.cos(angle(value)), 96 + radius * Math.sin(angle(value))];
  const arc = (from, to, radius) => {
    const [x, y] = at(from, radius), [u, v] = at(to, radius);
    return `M${x} ${y}A${radius} ${radius} 0 ${turn * (to - from) / marks.highest > 180 ? 1 : 0} 1 ${u} ${v}`;
  };
  const picture = svg(200, 190, "Boiler pressure gauge",
    draw("circle", { cx: 100, cy: 96, r: 88, fill: "#fff", stroke: BRASS, "stroke-width": 7 }),
    draw("circle", { cx: 100, cy: 96, r: 92, fill: "none", stroke: INK, "stroke-width": 1 }));
  if (marks.steaming !== null) picture.append(draw("path", { d: arc(marks.steaming, marks.working, 66), fill: "none", stroke: SWELL, "stroke-width": 12 }));
  if (marks.valves !== null) picture.append(draw("path", { d: arc(marks.valves, marks.highest, 66), fill: "none", stroke: RED, "stroke-width": 12 }));
  for (let value = 0; value <= marks.highest + 1e-9; value += marks.minor) {
    const major = Math.abs(value / marks.major - Math.round(value / marks.major)) < 1e-6;
    const [x, y] = at(value, 76), [u, v] = at(value, major ? 62 : 70);
    picture.append(draw("path", { d: `M${x} ${y}L${u} ${v}`, stroke: INK, "stroke-width": major ? 1.8 : 0.8 }));
    if (major) {
      const [s, t] = at(value, 49);
      picture.append(draw("text", { x: s, y: t + 4.5, "text-anchor": "middle", fill: INK }, String(Number(value.toPrecision(4)))));
    }
  }
  const hand = draw("path", { d: "M100 112L97 96L99.2 28H100.8L103 96Z", fill: INK });
  hand.style.transformOrigin = "100px 96px";
  const number = draw("text", { x: 100, y: 150, "text-anchor": "middle", class: "dial-number", fill: INK }, "–");
  picture.append(draw("text", { x: 100, y: 166, "text-anchor": "middle", fill: FAINT }, marks.unit), hand,
    draw("circle", { cx: 100, cy: 96, r: 6, fill: BRASS, stroke: INK }), number);
  const figure = make("figure", { class: "dial" }, picture, make("figcaption", {}, "Pressure gauge"));
  return [figure, shown => {
    const value = shown.pressure_shown; // a gauge that reads wrong does so here too
    const text = `rotate(${(-turn / 2 + turn * Math.max(-0.02, Math.min(1.04, value / marks.highest))).toFixed(1)}deg)`;
    if (hand.style.transform !== text) hand.style.transform = text;
    write(number, figures(value, marks.unit));
  }];
}

/** The fire: on its bars, as deep as the bed, as bright as it is hot; or a burner's flame. `deepest`: bed in the picture, null for a burner. */
export function fireBox(readings, deepest) {
  if (deepest === null) return flame(readings);
  const bed = draw("rect", { x: 22, y: 60, width: 156, height: 90, fill: "#5b4038" });
  const glow = draw("rect", { x: 22, y: 60, width: 156, height: 90, fill: "#e0562b", opacity: 0 });
  const bars = draw("g", { fill: INK });
  for (let x = 22; x < 178; x += 13) bars.append(draw("rect", { x, y: 150, width: 8, height: 8 }));
  const number = draw("text", { x: 100, y: 44, "text-anchor": "middle", class: "dial-number", fill: INK }, "–");
  const under = draw("text", { x: 100, y: 178, "text-anchor": "middle", fill: FAINT }, "–");
  const picture = svg(200, 186, "The fire on its bars",
    draw("path", { d: "M14 168V26Q14 12 28 12H172Q186 12 186 26V168", fill: "#fff", stroke: INK, "stroke-width": 4 }), bed, glow, bars, number, under);
  const figure = make("figure", { class: "dial" }, picture, make("figcaption", {}, "Fire"));
  return [figure, (shown, now) => {
    const tall = 96 * Math.max(0, Math.min(1, shown.bed_depth / deepest));
    for (const part of [bed, glow]) {
      attribute(part, "height", tall.toFixed(1));
      attribute(part, "y", (150 - tall).toFixed(1));
    }
    attribute(glow, "opacity", Math.max(0, Math.min(1, (now.glow - 700) / 900)).toFixed(2));
    write(number, `${figures(shown.fire_temperature, readings.fire_temperature.unit)} ${readings.fire_temperature.unit}`);
    write(under, `bed ${figures(shown.bed_depth, readings.bed_depth.unit)} ${readings.bed_depth.unit}`);
  }];
}

/** A burner's flame, as tall as it burns. */
function flame(readings) {
  const tongue = draw("path", { d: "M100 146C70 120 92 96 100 62C108 96 130 120 100 146Z", fill: "#e0562b", stroke: "#8c2414", "stroke-width": 1.5 });
  tongue.style.transformOrigin = "100px 146px";
  const number = draw("text", { x: 100, y: 44, "text-anchor": "middle", class: "dial-number", fill: INK }, "–");
  const under = draw("text", { x: 100, y: 178, "text-anchor": "middle", fill: FAINT }, "–");
  const picture = svg(200, 186, "The burner",
    draw("path", { d: "M14 168V26Q14 12 28 12H172Q186 12 186 26V168", fill: "#fff", stroke: INK, "stroke-width": 4 }), tongue,
    draw("path", { d: "M86 146H114V158H128V164H72V158H86Z", fill: BRASS, stroke: INK }), number, under);
  return [make("figure", { class: "dial" }, picture, make("figcaption", {}, "Fire")), shown => {
    const tall = shown.burning_rate > 0 ? Math.max(0.25, Math.min(1, shown.burner_rate / 100)) : 0;
    const text = `scale(${tall.toFixed(2)})`;
    if (tongue.style.transform !== text) tongue.style.transform = text;
    write(number, `${figures(shown.fire_temperature, readings.fire_temperature.unit)} ${readings.fire_temperature.unit}`);
    write(under, tall ? `burning ${figures(shown.burning_rate, readings.burning_rate.unit)} ${readings.burning_rate.unit}` : "out");
  }];
}

/** The hot well as a tank; the top of the picture is where it runs over. */
export function hotWell(readings, marks) {
  const water = draw("rect", { x: 26, y: 50, width: 148, height: 100, fill: WATER });
  const amount = draw("text", { x: 100, y: 74, "text-anchor": "middle", class: "dial-number halo", fill: INK }, "–");
  const under = draw("text", { x: 100, y: 178, "text-anchor": "middle", fill: FAINT }, "–");
  const low = 154 - 124 * marks.low / marks.capacity;
  const picture = svg(200, 186, "The hot well",
    draw("rect", { x: 24, y: 28, width: 152, height: 128, fill: GLASS }), water,
    draw("path", { d: "M14 28H22V158H178V28H186", fill: "none", stroke: INK, "stroke-width": 4 }),
    draw("path", { d: `M22 ${low}H178`, stroke: RED, "stroke-width": 1.5, "stroke-dasharray": "7 4" }),
    draw("text", { x: 170, y: low - 5, "text-anchor": "end", fill: RED, class: "halo" }, "low"), amount, under);
  const figure = make("figure", { class: "dial" }, picture, make("figcaption", {}, "Hot well"));
  return [figure, shown => {
    const tall = 124 * Math.max(0, Math.min(1, shown.hotwell_mass / marks.capacity));
    attribute(water, "height", tall.toFixed(1));
    attribute(water, "y", (154 - tall).toFixed(1));
    write(amount, `${figures(shown.hotwell_mass, readings.hotwell_mass.unit)} ${readings.hotwell_mass.unit}`);
    write(under, `${figures(shown.hotwell_temperature, readings.hotwell_temperature.unit)} ${readings.hotwell_temperature.unit}`);
  }];
}

/** The readings in groups: `groups`, [heading, [names]]. */
export function list(place, groups, readings) {
  const cells = [];
  place.replaceChildren(...groups.map(([heading, names]) => {
    const rows = names.filter(name => name in readings).map(name => {
      const value = make("b", { "data-reading": name, class: "number" }, "–");
      cells.push([name, value]);
      return make("tr", {}, make("th", { scope: "row" }, readings[name].label), make("td", {}, value), make("td", { class: "unit" }, readings[name].unit));
    });
    return make("table", {}, make("caption", {}, heading), make("tbody", {}, ...rows));
  }));
  return shown => { for (const [name, cell] of cells) write(cell, figures(shown[name], readings[name].unit)); };
}
