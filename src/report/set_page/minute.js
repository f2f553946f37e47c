(() => {
  "use strict";

  const { make, put } = mainsfit;
  const NARROWEST = 330;
  const WIDEST = 1200;
  const STEPS = 600;
  // narrow, so that letters are large enough on paper
  const ON_PAPER = 660;
  let minute = null;
  let section = null;
  let room = null;
  let slider = null;
  let pick = null;
  let words = null;
  let body = null;
  let panels = [];
  let cells = [];
  let drawn = "";
  let latest = null;
  let width = 0;

  /** Seconds in words. */
  const seconds = (value) => mainsfit.write.setting(value, "s");

  /** Takes the width there is, and draws anew if anything is drawn. */
  const measure = (there) => {
    width = there;
    if (latest) render(null, null, latest);
  };

  /** Builds the cursor's slider, the room for the curves and the table; hides the section where there is nothing to show. */
  const start = (book) => {
    section = document.getElementById("minute");
    minute = book.minute?.starts.length > 0 ? book.minute : null;
    section.hidden = !minute;
    if (!minute) return;
    const lead = `At ${mainsfit.write.setting(minute.line, "V")} from the outlet, switched on at 0 s. These curves do not follow the controls above.`;
    const starts = minute.starts.map(({ title }, i) => ({ value: String(i), text: title }));
    pick = mainsfit.form.list("start", "Start", starts, (i) => {
      const second = mainsfit.state.held(mainsfit.now().second, 0, mainsfit.state.lastSecond(Number(i)));
      mainsfit.change({ start: Number(i), second });
    });
    slider = make("input", { type: "range", id: "second", min: "0" });
    slider.addEventListener("input", () => mainsfit.change({ second: Number(slider.value) }));
    room = make("div", { class: "scroll" });
    words = make("p", { class: "moment" });
    body = make("tbody");
    const heads = ["Figure", "At the cursor", "Highest", "At"].map((text) => make("th", { scope: "col" }, text));
    section.append(
      make("p", {}, lead),
      pick.node,
      room,
      make("p", { class: "slide" }, make("label", { for: "second" }, "Time after switch-on"), " ", slider),
      words,
      make("table", {}, make("thead", {}, make("tr", {}, ...heads)), body),
    );
    measure(section.clientWidth);
    // asking for the width at every step would lay the page out twice
    new ResizeObserver(() => measure(section.clientWidth)).observe(section);
    addEventListener("beforeprint", () => measure(ON_PAPER));
    addEventListener("afterprint", () => measure(section.clientWidth));
  };

  /** Sets the second under the pointer. */
  const point = (panel, event) => {
    if (event.type === "pointermove" && event.buttons !== 1) return;
    mainsfit.change({ second: Number(panel.secondAt(event.clientX).toFixed(1)) });
  };

  /** Draws the panels of a start, one for each unit, and its table. */
  const draw = (chosen, wide) => {
    const units = [...new Set(chosen.curves.map(({ unit }) => unit))];
    const side = mainsfit.curves.roomFor(chosen.curves, wide);
    panels = units.map((unit) => {
      const curves = chosen.curves.filter((curve) => curve.unit === unit);
      return mainsfit.curves.panel(unit, curves, chosen.time, wide, side);
    });
    for (const panel of panels) {
      panel.svg.addEventListener("pointerdown", (event) => point(panel, event));
      panel.svg.addEventListener("pointermove", (event) => point(panel, event));
    }
    room.replaceChildren(...panels.map(({ svg }) => svg));
    cells = chosen.curves.map((curve) => {
      const cell = make("td");
      let top = 0;
      curve.values.forEach((value, i) => {
        if (Math.abs(value ?? 0) > Math.abs(curve.values[top] ?? 0)) top = i;
      });
      const highest = make("td", {}, mainsfit.write.figure(curve.values[top], curve.unit));
      const row = make(
        "tr",
        {},
        make("th", { scope: "row" }, curve.name),
        cell,
        highest,
        make("td", {}, seconds(chosen.time[top])),
      );
      return { cell, row, curve };
    });
    body.replaceChildren(...cells.map(({ row }) => row));
    const [first, last] = [chosen.time[0], chosen.time[chosen.time.length - 1]];
    slider.min = String(first);
    slider.max = String(last);
    slider.step = String(Math.max(0.1, Number(((last - first) / STEPS).toFixed(1))));
  };

  /** Moves the cursor, and draws anew for another start or width. */
  const render = (_book, _moment, state) => {
    latest = state;
    if (!minute) return;
    const chosen = minute.starts[state.start];
    const wide = Math.round(mainsfit.state.held(width, NARROWEST, WIDEST));
    const key = `${state.start} ${wide}`;
    if (drawn !== key) {
      draw(chosen, wide);
      drawn = key;
    } else if (slider.dataset.second === String(state.second)) {
      return;
    }
    slider.dataset.second = String(state.second);
    pick.show(String(state.start));
    slider.value = String(state.second);
    slider.setAttribute("aria-valuetext", seconds(state.second));
    for (const panel of panels) panel.move(state.second);
    const told = cells.map(({ cell, curve }) => {
      const text = mainsfit.write.figure(mainsfit.curves.valueAt(curve, chosen.time, state.second), curve.unit);
      put(cell, text);
      return `${curve.name} ${text}`;
    });
    put(words, `At ${seconds(state.second)}, ${chosen.title}: ${told.join(", ")}.`);
  };

  mainsfit.minute = { start, render };
})();
