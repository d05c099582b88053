// Where water and heat go now: boxes for the vessels, an arrow for each flow, as wide as it is strong.
import { FAINT, GLASS, INK, RULE, WATER, attribute, draw, figures, make, svg, write } from "./parts.js";

const WIDE = 720, TALL = 384;
const HEAT = "#c8623d", WORK = "#9a7420";

const BOXES = [
  ["fire", 96, 64, 92, 84], ["boiler", 268, 44, 116, 124], ["engine", 484, 64, 92, 84],
  ["condenser", 484, 248, 110, 60], ["hot well", 268, 248, 116, 60],
];

/** key: what it carries, path, where its number stands (x, y, anchor), words under it. */
const LINKS = {
  fuel: ["heat", "M10 106H90", 50, 92, "middle", "burning"],
  flue: ["heat", "M142 62V14", 152, 24, "start", "funnel"],
  fire_boiler: ["heat", "M190 106H262", 226, 92, "middle", ""],
  casing: ["heat", "M298 42V12", 288, 20, "end", "casing"],
  blown: ["water", "M354 42V12", 364, 20, "start", "valves, whistle, blower"],
  steam: ["water", "M386 106H478", 432, 92, "middle", "steam"],
  shaft: ["work", "M578 106H690", 634, 92, "middle", "to the screw"],
  exhaust: ["water", "M539 150V242", 552, 192, "start", "exhaust"],
  lost: ["water", "M596 278H690", 644, 264, "middle", "lost"],
  lake_heat: ["heat", "M539 310V360", 552, 330, "start", "to the lake"],
  condensate: ["water", "M482 278H390", 436, 264, "middle", "condensate"],
  feed: ["water", "M300 246V174", 290, 214, "end", "feed"],
  bypass: ["water", "M346 246V210H372V242", 382, 220, "start", "bypass"],
  well_lost: ["water", "M330 310V360", 342, 330, "start", "lost"],
  lake_feed: ["water", "M184 362V186H250V146H262", 174, 276, "end", "lake, fed"],
  blow_down: ["water", "M386 148H424V176", 434, 172, "start", "blow-down"],
};
const FULL = { heat: 40, water: 100, work: 4 }; // what is drawn 16 px wide: kW, kg/h, kW
const COLOUR = { heat: HEAT, water: WATER, work: WORK };

/** Draw it; `units`: key to unit and, for widths, what one of it is in kW or kg/h. Returns a function of the flows. */
export function diagram(place, units) {
  const picture = svg(WIDE, TALL, "Water and heat between fire, boiler, engine, condenser and hot well; the list has the same numbers");
  const defs = draw("defs");
  for (const [kind, colour] of Object.entries(COLOUR))
    defs.append(draw("marker", { id: "head-" + kind, viewBox: "0 0 10 10", refX: 7, refY: 5, markerWidth: 11, markerHeight: 11, markerUnits: "userSpaceOnUse", orient: "auto" },
      draw("path", { d: "M0 0L10 5L0 10Z", fill: colour })));
  picture.append(defs, draw("path", { d: `M10 364H${WIDE - 10}`, stroke: WATER, "stroke-width": 2 }), text(14, 380, "start", "the lake", FAINT));
  const parts = [], list = make("ul", { class: "flows" });
  for (const [key, [kind, path, x, y, anchor, words]] of Object.entries(LINKS)) {
    if (!(key in units)) continue;
    const arrow = draw("path", { d: path, fill: "none", stroke: COLOUR[kind], "stroke-width": 2, "marker-end": `url(#head-${kind})` });
    const number = draw("tspan", { class: "amount" }, "–");
    const name = words ? draw("tspan", { x, dy: 14, class: "words" }, words) : "";
    const wholeText = draw("text", { x, y: words && anchor !== "middle" ? y - 4 : y, "text-anchor": anchor, class: "halo", fill: INK }, number, name);
    if (anchor === "middle" && words) name.setAttribute("dy", 34);
    const told = make("b", { class: "number" }, "–");
    const item = make("li", {}, `${units[key].label}: `, told);
    picture.append(arrow, wholeText);
    list.append(item);
    parts.push({ key, kind, arrow, number, told, item, whole: [arrow, wholeText] });
  }
  for (const [name, x, y, width, height] of BOXES)
    picture.append(draw("rect", { x, y, width, height, fill: "#fff", stroke: INK, "stroke-width": 2 }),
      text(x + width / 2, y + height / 2 + 5, "middle", name, INK, "box-name"));
  place.replaceChildren(picture, list);
  return flows => {
    for (const part of parts) {
      const unit = units[part.key], value = flows[part.key] ?? 0, strength = Math.abs(value) * unit.of;
      const words = `${figures(value, unit.unit)} ${unit.unit}`, none = strength < 0.002 * FULL[part.kind];
      write(part.number, words);
      write(part.told, words);
      attribute(part.arrow, "stroke-width", none ? 1 : (1.6 + 14.4 * Math.min(1, strength / FULL[part.kind])).toFixed(1));
      for (const one of part.whole) attribute(one, "class", one === part.arrow ? (none ? "none" : "") : none ? "halo none" : "halo");
    }
  };
}

function text(x, y, anchor, words, fill, name = "") {
  return draw("text", { x, y, "text-anchor": anchor, fill, class: name }, words);
}
