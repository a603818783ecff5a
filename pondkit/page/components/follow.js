// Moves what a plot shows without having plotly draw it: the coordinates of the new traces are written into the paths, marks
// and texts of the plot, by its own axes. This costs a third of a drawing. What cannot be moved (other traces, a label's words,
// the ranges of the axes) waits for plotly to draw anew when the hand rests.

const MOVABLE = new Set(["scatter"]);

// All that must be unchanged since the last drawing for traces to be moved: their number and kind, and the layout without labels.
const structureOf = ({ data, layout }) => `${data.map(traceStructure).join("\n")}\n${layoutStructure(layout)}`;

// What has not changed is the same object in the next figure.
function once(work) {
  const results = new WeakMap();
  return (of) => {
    if (!results.has(of)) results.set(of, work(of));
    return results.get(of);
  };
}

const traceStructure = once(({ type = "scatter", mode, fill, line, visible }) => JSON.stringify([type, mode, fill, line, visible]));
const layoutStructure = once((layout) =>
  JSON.stringify({ ...layout, annotations: (layout.annotations || []).length, shapes: (layout.shapes || []).length }));

function pathOf(xs, ys, axes, closed) {
  let path = "";
  let open = false;
  for (let i = 0; i < xs.length; i++) {
    if (xs[i] === null || ys[i] === null || xs[i] === undefined || ys[i] === undefined) {
      if (open && closed) path += "Z";
      open = false;
      continue;
    }
    path += `${open ? "L" : "M"}${Math.round(axes.x.l2p(xs[i]) * 100) / 100},${Math.round(axes.y.l2p(ys[i]) * 100) / 100}`;
    open = true;
  }
  return open && closed ? `${path}Z` : path;
}

function move(node, trace, axes) {
  const [xs, ys] = [trace.x || [], trace.y || []];
  const lines = node.querySelectorAll(".js-line");
  lines.forEach((line, index) => line.setAttribute("d", index ? "" : pathOf(xs, ys, axes, false)));
  const fills = node.querySelectorAll(".js-fill");
  fills.forEach((fill, index) => fill.setAttribute("d", index ? "" : pathOf(xs, ys, axes, true)));
  const place = (i) => [axes.x.l2p(xs[i]), axes.y.l2p(ys[i])];
  const points = node.querySelectorAll(".points .point");
  if (points.length === xs.length) {
    points.forEach((mark, i) => { if (place(i).every(Number.isFinite)) mark.setAttribute("transform", `translate(${place(i)})`); });
  }
  const texts = node.querySelectorAll(".text .textpoint text");
  if (texts.length !== xs.length) return; // plotly leaves out what it cannot place
  texts.forEach((mark, i) => {
    const [x, y] = place(i);
    for (const each of [mark, ...mark.querySelectorAll("tspan.line")]) {
      each.setAttribute("x", x);
      each.setAttribute("y", y);
    }
  });
}

// True if the figure could be moved into the plot. ``structure`` is that of the figure drawn last, taken before plotly wrote
// into it; ``shown`` is the figure that the plot shows now.
function follow(plot, figure, structure, shown) {
  const layout = plot._fullLayout;
  const full = plot._fullData;
  if (!layout?.xaxis?.l2p || full?.length !== figure.data.length) return false;
  if (structureOf(figure) !== structure) return false;
  const axes = { x: layout.xaxis, y: layout.yaxis };
  const nodes = [];
  for (const [index, trace] of figure.data.entries()) {
    if (!MOVABLE.has(trace.type || "scatter")) return false;
    if (trace.visible === false || trace === shown.data[index]) continue;
    const node = plot.querySelector(`.scatterlayer .trace${full[index].uid}`);
    if (!node) return false;
    nodes.push([node, trace, shown.data[index]]);
  }
  for (const [node, trace, before] of nodes) {
    if (!sameNumbers(trace.x, before.x) || !sameNumbers(trace.y, before.y)) move(node, trace, axes);
    if (trace.mode?.includes("text")) write(node, trace);
  }
  return true;
}

// Plain words only; words with markup wait for plotly.
function write(node, { text }) {
  const marks = node.querySelectorAll(".text .textpoint text");
  if (!Array.isArray(text) || marks.length !== text.length) return; // plotly leaves out empty texts
  marks.forEach((mark, i) => {
    if (!/[<&]/.test(text[i]) && !mark.childElementCount && mark.textContent !== text[i]) mark.textContent = text[i];
  });
}

const sameNumbers = (a = [], b = []) => a.length === b.length && a.every((value, i) => value === b[i]);
