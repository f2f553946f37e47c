(() => {
  "use strict";

  const REACH_PX = 22;
  let spots = [];
  let sheets = [];
  let missing = null;

  /** Makes a drawing a group of figures; a description with figures of another moment is taken out. */
  const wake = (svg) => {
    // all drawings on one scale, so that their letters are of one size
    svg.style.setProperty("--wide", svg.viewBox.baseVal.width || 560);
    if (!svg.querySelector("[data-figure]")) return;
    svg.setAttribute("role", "group");
    const description = svg.querySelector("desc");
    if (description && /\d\s?(V|A|mA|W)\b/.test(description.textContent)) description.remove();
    const title = svg.querySelector("title");
    if (title?.id) svg.setAttribute("aria-labelledby", title.id);
  };

  /** The figure of a drawing nearest to a click, if it is within a finger's reach. */
  const nearest = (figure, event) => {
    let best = null;
    let least = REACH_PX;
    for (const node of figure.querySelectorAll("[data-figure]")) {
      const box = node.getBoundingClientRect();
      const x = Math.max(box.left - event.clientX, 0, event.clientX - box.right);
      const y = Math.max(box.top - event.clientY, 0, event.clientY - box.bottom);
      const away = Math.hypot(x, y);
      if (away <= least) {
        least = away;
        best = node;
      }
    }
    return best;
  };

  /** Finds the figures of all drawings and makes them answer to keys and clicks. */
  const start = (book, choose) => {
    const columns = new Map(book.columns.map((column, i) => [column.key, i]));
    const drawn = document.getElementById("drawn");
    for (const svg of drawn.querySelectorAll("svg")) wake(svg);
    spots = [...drawn.querySelectorAll("[data-figure]")].map((node) => {
      const column = columns.get(node.dataset.figure) ?? -1;
      if (column >= 0) {
        node.setAttribute("role", "button");
        node.setAttribute("tabindex", "0");
        node.addEventListener("keydown", (event) => {
          if (event.key !== "Enter" && event.key !== " ") return;
          event.preventDefault();
          choose(node.dataset.figure, node);
        });
      }
      return { node, column, label: "" };
    });
    sheets = [...drawn.querySelectorAll("#mains > figure")];
    for (const figure of drawn.querySelectorAll("figure")) {
      figure.addEventListener("click", (event) => {
        const node = nearest(figure, event);
        if (node?.getAttribute("role") === "button") choose(node.dataset.figure, node);
      });
    }
    missing = mainsfit.make("p", { class: "note", hidden: true }, "There is no drawing of this line cord.");
    document.getElementById("mains").append(missing);
  };

  /** Shows the drawing of what is in the line cord, and this moment's figures in all of them. */
  const render = (book, moment, state) => {
    let shown = false;
    for (const sheet of sheets) {
      const here = sheet.dataset.mains === moment.lead.mains;
      mainsfit.reveal(sheet, here);
      shown = shown || here;
    }
    mainsfit.reveal(missing, !shown && sheets.length > 0);
    for (const spot of spots) {
      const { node, column } = spot;
      const { name, unit, key } = book.columns[column] ?? { name: "", unit: "", key: null };
      const text = mainsfit.write.figure(moment.shown[column] ?? null, unit);
      mainsfit.put(node, text);
      if (column < 0) continue;
      const label = `${name}: ${moment.shown[column] === null ? "no figure" : text}`;
      if (label !== spot.label) node.setAttribute("aria-label", label);
      spot.label = label;
      mainsfit.mark(node, "aria-pressed", key === state.why ? "true" : "false");
    }
  };

  mainsfit.drawing = { start, render };
})();
