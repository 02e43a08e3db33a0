// A plot of at most three lines, each named at its end and told apart by its shape.

const NS = "http://www.w3.org/2000/svg";
const LEFT = 40, BOTTOM = 30, TOP = 14, SIZE = 4;

function draw(tag, attributes = {}, ...children) {
  const node = document.createElementNS(NS, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

/**
 * plot returns a picture of { label, x, y, lines, events }. x and y are lists of ticks
 * { at, label }; a line is { name, points } with points { x, y, low, high, size }: an
 * interval and a size are drawn where they are given. joined: false leaves out the line
 * between its points, open draws them as rings. events are { at }, dotted across. right is the room for the names, in the units of width and height. What
 * the picture says in words is its label.
 */
export function plot({ label, x, y, lines, events = [], width = 360, height = 190, right = 120 }) {
  const scale = (values, from, to) => {
    const low = Math.min(...values), high = Math.max(...values);
    return (value) => from + ((value - low) * (to - from)) / (high - low || 1);
  };
  const points = lines.flatMap((l) => l.points), ticks = (list) => list.map((tick) => tick.at);
  const across = scale([...ticks(x), ...points.map((p) => p.x)], LEFT + 12, width - right);
  const up = scale([...ticks(y), ...points.flatMap((p) => [p.y, p.low ?? p.y, p.high ?? p.y])], height - BOTTOM, TOP);
  const shape = (p, square) => {
    const r = SIZE * Math.sqrt(p.size ?? 1);
    return square ? draw("rect", { class: "point", x: across(p.x) - r, y: up(p.y) - r, width: 2 * r, height: 2 * r })
      : draw("circle", { class: "point", cx: across(p.x), cy: up(p.y), r });
  };
  const names = lines.map(({ points }) => up(points.at(-1).y));
  // Names that would lie over each other are moved apart.
  const order = names.map((_, i) => i).sort((a, b) => names[a] - names[b]);
  order.forEach((i, n) => { if (n) names[i] = Math.max(names[i], names[order[n - 1]] + 20); });
  return draw("svg", { class: "plot", width, height, viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": label },
    ...y.flatMap((tick) => [
      draw("line", { class: "grid", x1: LEFT, x2: width, y1: up(tick.at), y2: up(tick.at) }),
      draw("text", { x: LEFT - 8, y: up(tick.at) + 5, "text-anchor": "end" }, tick.label)]),
    draw("line", { class: "axis", x1: LEFT, x2: LEFT, y1: TOP - 6, y2: height - BOTTOM + 6 }),
    ...x.map((tick) => draw("text", { x: across(tick.at), y: height - 4, "text-anchor": "middle" }, tick.label)),
    ...events.map((e) => draw("line", { class: "event", x1: across(e.at), x2: across(e.at), y1: TOP - 6, y2: height - BOTTOM })),
    ...lines.map(({ name, points: own, joined = true, open = false }, i) => draw("g", { class: open ? "open" : ["first", "second", "third"][joined ? i : 0] },
      ...own.filter((p) => p.low !== undefined).map((p) => draw("line", { class: "span", x1: across(p.x), x2: across(p.x), y1: up(p.low), y2: up(p.high) })),
      ...(joined ? [draw("polyline", { points: own.map((p) => `${across(p.x)},${up(p.y)}`).join(" ") })] : []),
      ...own.map((p) => shape(p, joined && i === 1)),
      draw("text", { class: "name", x: across(own.at(-1).x) + 12, y: names[i] + 5 }, name))));
}
