(() => {
  "use strict";

  const { stroke } = mainsfit;
  const LEFT = 62;
  const TOP = 14;
  const HIGH = 170;
  const FOOT = 34;
  const NAME_STEP = 17;
  const DASHES = ["", "9 4", "2 3", "12 3 2 3", "5 2 1 2", "16 5", "3 6", "7 2 7 7"];

  /** Round ticks from zero or the least to the most, about so many. */
  const ticks = (least, most, about) => {
    const rough = (most - least || 1) / about;
    const ten = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].find((n) => n * ten >= rough) * ten;
    const out = [];
    for (let i = Math.floor(least / step); i <= Math.ceil(most / step - 1e-9); i += 1) out.push(i * step);
    return out;
  };

  /** A tick's number, short and with a true minus. */
  const label = (value) => String(Number(value.toPrecision(6))).replace("-", "\u2212");

  /** Places names one below the other where they would touch, as near to their curves as they can be. */
  const spread = (heights) => {
    const order = heights.map((y, i) => ({ y, i })).sort((a, b) => a.y - b.y);
    order.forEach((here, n) => {
      if (n > 0) here.y = Math.max(here.y, order[n - 1].y + NAME_STEP);
    });
    let floor = TOP + HIGH;
    for (const here of [...order].reverse()) {
      here.y = Math.min(here.y, floor);
      floor = here.y - NAME_STEP;
    }
    const out = [];
    for (const { y, i } of order) out[i] = y;
    return out;
  };

  /** The path of a curve, broken where it has no figure. */
  const path = (curve, time, x, y) => {
    let text = "";
    let pen = "M";
    curve.values.forEach((value, i) => {
      if (value === null) {
        pen = "M";
        return;
      }
      text += `${pen}${x(time[i]).toFixed(1)} ${y(value).toFixed(1)}`;
      pen = "L";
    });
    return text;
  };

  /** The value of a curve at a second, between its points in a straight line. */
  const valueAt = (curve, time, second) => {
    let next = time.findIndex((t) => t >= second);
    if (next < 0) next = time.length - 1;
    const before = Math.max(0, next - 1);
    const [one, other] = [curve.values[before], curve.values[next]];
    if (one === null || other === null) return null;
    const span = time[next] - time[before];
    return span > 0 ? one + ((other - one) * (Math.min(second, time[next]) - time[before])) / span : other;
  };

  /** The room that the longest name needs beside the curves. */
  const roomFor = (curves, width) => {
    const long = Math.max(...curves.map(({ name }) => name.length));
    return Math.min(width * 0.42, 24 + 7.2 * long);
  };

  /** Axis, ticks and their numbers. */
  const frame = (levels, seconds, x, y, right, unit) => {
    const parts = [];
    for (const level of levels) {
      const at = y(level);
      parts.push(stroke("line", { x1: LEFT, x2: right, y1: at, y2: at, class: level === 0 ? "axis" : "rule" }));
      parts.push(stroke("text", { x: LEFT - 6, y: at + 4, "text-anchor": "end" }, label(level)));
    }
    for (const second of seconds) {
      const at = x(second);
      parts.push(stroke("line", { x1: at, x2: at, y1: TOP + HIGH, y2: TOP + HIGH + 5, class: "axis" }));
      parts.push(stroke("text", { x: at, y: TOP + HIGH + 19, "text-anchor": "middle" }, label(second)));
    }
    parts.push(stroke("line", { x1: LEFT, x2: LEFT, y1: TOP, y2: TOP + HIGH, class: "axis" }));
    parts.push(stroke("text", { x: 2, y: TOP + 4, class: "unit" }, unit));
    parts.push(stroke("text", { x: right, y: TOP + HIGH + 33, "text-anchor": "end" }, "seconds after switch-on"));
    return parts;
  };

  /** One panel: the curves of one unit over time, with a cursor to move. */
  const panel = (unit, curves, time, width, room) => {
    const right = width - room;
    const milli = unit === "A" && curves.every(({ values }) => values.every((value) => Math.abs(value ?? 0) < 1));
    const factor = milli ? 1e3 : 1;
    const all = curves.flatMap(({ values }) => values.filter((value) => value !== null)).map((value) => value * factor);
    const levels = ticks(Math.min(0, ...all), Math.max(...all), 4);
    const [bottom, top] = [levels[0], levels[levels.length - 1]];
    const end = time[time.length - 1];
    const x = (second) => LEFT + ((right - LEFT) * (second - time[0])) / (end - time[0]);
    const y = (value) => TOP + (HIGH * (top - value)) / (top - bottom);
    const seconds = ticks(time[0], end, width < 500 ? 4 : 6).filter((second) => second <= end + 1e-9);
    const scaled = curves.map(({ name, values }) => ({
      name,
      values: values.map((v) => (v === null ? null : v * factor)),
    }));
    const size = { viewBox: `0 0 ${width} ${TOP + HIGH + FOOT + 4}`, width, height: TOP + HIGH + FOOT + 4 };
    const named = `Curves in ${milli ? "mA" : unit}: ${curves.map(({ name }) => name).join(", ")}`;
    const svg = stroke("svg", { ...size, role: "img", "aria-label": named, class: "curves" });
    svg.append(...frame(levels, seconds, x, y, right, milli ? "mA" : unit));
    const ends = scaled.map((curve) => y(curve.values.filter((value) => value !== null).pop() ?? 0));
    const rows = spread(ends);
    const dots = scaled.map((curve, i) => {
      svg.append(
        stroke("path", { d: path(curve, time, x, y), class: "curve", "stroke-dasharray": DASHES[i % DASHES.length] }),
      );
      svg.append(
        stroke("path", { d: `M${right} ${ends[i].toFixed(1)}L${right + 12} ${rows[i].toFixed(1)}`, class: "rule" }),
      );
      svg.append(stroke("text", { x: right + 16, y: rows[i] + 4 }, curve.name));
      return stroke("circle", { r: 4.5, class: "dot" });
    });
    const cursor = stroke("line", { y1: TOP, y2: TOP + HIGH, class: "cursor" });
    svg.append(cursor, ...dots);
    /** Moves the cursor to a second. */
    const move = (second) => {
      const at = x(second).toFixed(1);
      cursor.setAttribute("x1", at);
      cursor.setAttribute("x2", at);
      scaled.forEach((curve, i) => {
        const value = valueAt(curve, time, second);
        dots[i].setAttribute("cx", at);
        dots[i].setAttribute("cy", y(value ?? 0).toFixed(1));
        dots[i].setAttribute("visibility", value === null ? "hidden" : "visible");
      });
    };
    /** The second under a point of the screen. */
    const secondAt = (clientX) => {
      const box = svg.getBoundingClientRect();
      const inside = ((clientX - box.left) * width) / box.width;
      const share = (inside - LEFT) / (right - LEFT);
      return time[0] + (end - time[0]) * mainsfit.state.held(share, 0, 1);
    };
    return { svg, move, secondAt };
  };

  mainsfit.curves = { panel, roomFor, valueAt };
})();
