// What is wrong with a page laid out for print: a list of { kind, element, text, detail }. Lengths in CSS pixels, of
// which 96 make an inch, and in points, of which 72 do. Run with { drawing, text }: the smallest sizes, in points.
(smallest) => {
  const SLACK = 1;            // px that layout may round by
  const LEAST_CONTRAST = 4.5; // WCAG 2.1, success criterion 1.4.3, text of normal size
  const faults = [];

  const round = (x) => Math.round(x * 100) / 100;
  const short = (text) => text.trim().replace(/\s+/g, " ").slice(0, 60);
  const name = (element) => {
    const parts = [];
    for (let e = element; e && e !== document.body && parts.length < 3; e = e.parentElement) {
      const mark = e.id ? "#" + e.id : [...e.classList].map((c) => "." + c).join("");
      parts.unshift(e.localName + mark);
      if (e.id) break;
    }
    return parts.join(" > ");
  };
  const say = (kind, element, text, detail) =>
    faults.push({ kind, element: name(element), text: short(text), detail });
  function* upwards(element) {
    for (let e = element; e; e = e.parentElement) yield e;
  }
  const box = (r) => `${round(r.left)}..${round(r.right)} by ${round(r.top)}..${round(r.bottom)}`;
  const scale = (m) => Math.sqrt(Math.abs(m.a * m.d - m.b * m.c));

  // --- every piece of text that can be seen, with the boxes of its ink ---

  const pen = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const opacity = (element) =>
    [...upwards(element)].reduce((o, e) => o * Number(getComputedStyle(e).opacity), 1);

  // The boxes of fonts reach above and below what is drawn, and overlap in tightly set lines that look well. So the
  // height is cut down to the highest and the lowest ink of this text in this font. Turned text keeps its whole box.
  const inked = (rect, style, text, turned) => {
    if (turned) return rect;
    pen.font = `${style.fontStyle} ${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    const m = pen.measureText(text);
    const k = rect.height / (m.fontBoundingBoxAscent + m.fontBoundingBoxDescent);
    const base = rect.top + m.fontBoundingBoxAscent * k;
    const top = base - m.actualBoundingBoxAscent * k;
    return new DOMRect(rect.left, top, rect.width, base + m.actualBoundingBoxDescent * k - top);
  };

  const texts = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const element = node.parentElement;
    const text = node.data;
    // the name and the words of a drawing are not on the paper
    if (!text.trim() || element.closest("title, desc")) continue;
    const style = getComputedStyle(element);
    if (style.visibility !== "visible" || opacity(element) === 0) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const svg = element.closest("svg");
    const matrix = svg ? element.getScreenCTM() : null;
    const turned = matrix !== null && Math.abs(matrix.b) + Math.abs(matrix.c) > 1e-6;
    const rects = [...range.getClientRects()].filter((r) => r.width > 0 && r.height > 0);
    if (rects.length === 0) continue;
    const ink = rects.map((r) => inked(r, style, text, turned));
    texts.push({ node, element, text, style, svg, matrix, ink });
  }

  // --- off the page, clipped, out of its box or its cell ---

  const page = document.documentElement.clientWidth;
  const beyond = (r, b) =>
    r.left < b.left - SLACK || r.right > b.right + SLACK || r.top < b.top - SLACK || r.bottom > b.bottom + SLACK;

  if (document.documentElement.scrollWidth > page) {
    say("off page", document.documentElement, document.title,
      `the page is ${document.documentElement.scrollWidth} px wide, the paper ${page} px`);
  }
  for (const e of document.querySelectorAll("svg, img, table, pre, figure, hr")) {
    const r = e.getBoundingClientRect();
    if (r.width > 0 && (r.left < -SLACK || r.right > page + SLACK)) {
      say("off page", e, e.textContent, `reaches from ${round(r.left)} to ${round(r.right)} px of ${page} px`);
    }
  }
  const isBlock = (e) => !["inline", "contents"].includes(getComputedStyle(e).display);
  const clips = (e) => e !== document.body && e !== document.documentElement
    && (getComputedStyle(e).overflowX !== "visible" || getComputedStyle(e).overflowY !== "visible");

  for (const { element, text, svg, ink } of texts) {
    for (const r of ink) {
      if (r.left < -SLACK || r.right > page + SLACK || r.top < -SLACK) {
        say("off page", element, text, `${box(r)} px on a page ${page} px wide`);
      }
    }
    const cell = element.closest("td, th");
    const block = svg ? null : [...upwards(element)].find(isBlock);
    const clipping = [...upwards(element)].filter(clips);
    for (const r of ink) {
      const clip = clipping.find((e) => beyond(r, e.getBoundingClientRect()));
      if (clip) {
        say("clipped", element, text, `${box(r)} px, cut to ${box(clip.getBoundingClientRect())} by ${name(clip)}`);
      } else if (cell && beyond(r, cell.getBoundingClientRect())) {
        say("out of cell", cell, text, `${box(r)} px, cell ${box(cell.getBoundingClientRect())}`);
      } else if (block && beyond(r, block.getBoundingClientRect())) {
        say("out of box", block, text, `${box(r)} px, box ${box(block.getBoundingClientRect())}`);
      }
    }
    // text cut short by an ellipsis has boxes that fit
    for (const e of clipping) {
      if (!(e instanceof SVGElement)
        && (e.scrollWidth > e.clientWidth + SLACK || e.scrollHeight > e.clientHeight + SLACK)) {
        say("clipped", e, text,
          `holds ${e.scrollWidth} by ${e.scrollHeight} px, shows ${e.clientWidth} by ${e.clientHeight}`);
      }
    }
    for (const e of upwards(element)) {
      if (getComputedStyle(e).clipPath !== "none") say("not judged", e, text, "a clip path");
    }
  }

  // --- text on text ---

  texts.forEach((a, i) => {
    for (const b of texts.slice(i)) { // itself too: its lines may run into each other
      for (const r of a.ink) {
        const s = b.ink.find((s) => (a !== b || s.top > r.top + SLACK)
          && Math.min(r.right, s.right) - Math.max(r.left, s.left) > SLACK
          && Math.min(r.bottom, s.bottom) - Math.max(r.top, s.top) > SLACK);
        if (s) {
          say("overlap", a.element, a.text, `${box(r)} px, over "${short(b.text)}" at ${box(s)}`);
          break;
        }
      }
    }
  });

  // --- small text ---

  for (const { element, text, style, svg, matrix } of texts) {
    let size = parseFloat(style.fontSize) * 0.75;
    if (matrix) {
      size *= scale(matrix);
    } else {
      for (const e of upwards(element)) {
        const t = getComputedStyle(e).transform;
        if (t !== "none") size *= scale(new DOMMatrix(t));
      }
      size *= element.currentCSSZoom ?? 1;
    }
    const least = svg ? smallest.drawing : element.closest(".front") ? smallest.front : smallest.text;
    if (size < least - 0.01) say("small", element, text, `${round(size)} pt, least ${least} pt`);
  }

  // --- cells to write in ---

  for (const e of document.querySelectorAll("td.blank, dd.box, dd.line")) {
    const r = e.getBoundingClientRect();
    if (r.width < smallest.cell[0] - SLACK || r.height < smallest.cell[1] - SLACK) {
      say("small", e, e.textContent, `${round(r.width)} by ${round(r.height)} px to write in`);
    }
  }

  // --- shapes of the drawings ---

  const SHAPES = "path, rect, circle, ellipse, line, polyline, polygon";
  const shapes = new Map();
  for (const svg of document.querySelectorAll("svg:not(svg svg)")) {
    if (svg.querySelector("use, image, foreignObject")) {
      say("not judged", svg, "", "holds use, image or foreignObject, whose shapes are not looked at");
    }
    shapes.set(svg, [...svg.querySelectorAll(SHAPES)].filter((e) =>
      !e.closest("defs, symbol, marker, pattern, clipPath, mask")
      && getComputedStyle(e).visibility === "visible" && e.getScreenCTM() && opacity(e) > 0
    ).map((element) => {
      const matrix = element.getScreenCTM();
      const style = getComputedStyle(element);
      const width = parseFloat(style.strokeWidth) * scale(matrix);
      return { element, style, back: matrix.inverse(), width, rect: element.getBoundingClientRect() };
    }));
  }
  const shapesOf = (svg) => shapes.get([...upwards(svg)].findLast((e) => e.localName === "svg")) ?? [];
  const near = (shape, r) => {
    const w = shape.width;
    return shape.rect.left - w < r.right && shape.rect.right + w > r.left
      && shape.rect.top - w < r.bottom && shape.rect.bottom + w > r.top;
  };
  const painted = (paint) => paint !== "none" && (paint.startsWith("url") || colour(paint)[3] > 0);

  // --- contrast ---

  // any colour that CSS can write, as red, green, blue of 0..255 and alpha of 0..1
  const known = new Map();
  function colour(text) {
    if (!known.has(text)) {
      pen.clearRect(0, 0, 1, 1);
      pen.fillStyle = text;
      pen.fillRect(0, 0, 1, 1);
      const [r, g, b, a] = pen.getImageData(0, 0, 1, 1).data;
      known.set(text, [r, g, b, a / 255]);
    }
    return known.get(text);
  }
  const over = (top, below) => [0, 1, 2].map((i) => top[i] * top[3] + below[i] * (1 - top[3]));
  // WCAG 2.1: definitions of relative luminance and of contrast ratio
  const luminance = (c) => {
    const [r, g, b] = c.map((v) => v / 255).map((v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (a, b) => {
    const [x, y] = [luminance(a), luminance(b)];
    return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05);
  };
  // what lies behind an element; paper alone where its backgrounds are not printed
  const behind = (element, backgrounds) =>
    [...upwards(element)].reverse().reduce((below, e) => {
      const style = getComputedStyle(e);
      return backgrounds || style.printColorAdjust === "exact"
        ? over(colour(style.backgroundColor), below) : below;
    }, [255, 255, 255]);

  for (const { node, element, text, style, svg, ink } of texts) {
    for (const e of upwards(element)) {
      if (getComputedStyle(e).backgroundImage !== "none") say("not judged", e, text, "a background image");
    }
    const paint = svg ? style.fill : style.color;
    if (paint === "none" || paint.startsWith("url")) {
      say("not judged", element, text, `colour ${paint}`);
      continue;
    }
    let [r, g, b, alpha] = colour(paint);
    alpha *= opacity(element) * (svg ? Number(style.fillOpacity) : 1);
    let worst = null;
    const spots = ink.flatMap((r) => [0.1, 0.5, 0.9].map((x) => new DOMPoint(r.left + r.width * x, r.top + r.height / 2)));
    for (const backgrounds of [true, false]) {
      const ground = behind(element, backgrounds);
      for (const spot of spots) {
        let below = ground;
        for (const shape of svg ? shapesOf(svg) : []) {
          const before = shape.element.compareDocumentPosition(node) & Node.DOCUMENT_POSITION_FOLLOWING;
          const fill = shape.style.fill;
          if (!before || !painted(fill) || !shape.element.isPointInFill(spot.matrixTransform(shape.back))) continue;
          if (fill.startsWith("url")) {
            say("not judged", element, text, `on a shape filled with ${fill}`);
            continue;
          }
          const [r, g, b, a] = colour(fill);
          below = over([r, g, b, a * Number(shape.style.fillOpacity) * opacity(shape.element)], below);
        }
        const ratio = contrast(over([r, g, b, alpha], below), below);
        if (worst === null || ratio < worst.ratio) worst = { ratio, below, backgrounds };
      }
    }
    if (worst.ratio < LEAST_CONTRAST) {
      say("contrast", element, text,
        `${round(worst.ratio)} to 1, least ${LEAST_CONTRAST}; ${paint} on rgb(${worst.below.map(Math.round)})`
        + (worst.backgrounds ? "" : ", backgrounds not printed"));
    }
  }

  // --- text struck through by a line of the drawing, or hidden under a shape drawn later ---

  const struck = (r, shape) => {
    // fine enough not to step over the line
    const step = Math.min(1, Math.max(0.25, shape.width * 0.6));
    for (let y = r.top + 0.5; y <= r.bottom - 0.5; y += step) {
      for (let x = r.left + 0.5; x <= r.right - 0.5; x += step) {
        if (shape.element.isPointInStroke(new DOMPoint(x, y).matrixTransform(shape.back))) return { x, y };
      }
    }
    return null;
  };
  for (const { node, element, text, svg, ink } of texts) {
    if (!svg) continue;
    for (const shape of shapesOf(svg)) {
      const later = shape.element.compareDocumentPosition(node) & Node.DOCUMENT_POSITION_PRECEDING;
      for (const r of ink.filter((r) => near(shape, r))) {
        if (shape.width > 0 && painted(shape.style.stroke)) {
          const at = struck(r, shape);
          if (at) say("struck", element, text, `by ${name(shape.element)} at ${round(at.x)}, ${round(at.y)} px`);
        }
        const middle = new DOMPoint(r.left + r.width / 2, r.top + r.height / 2).matrixTransform(shape.back);
        if (later && painted(shape.style.fill) && shape.element.isPointInFill(middle)) {
          say("struck", element, text, `hidden under ${name(shape.element)}, which is drawn later`);
        }
      }
    }
  }
  return faults;
}
