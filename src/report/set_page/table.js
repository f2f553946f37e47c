(() => {
  "use strict";

  const { make, put, mark, reveal } = mainsfit;
  let rows = [];
  let head = null;
  let rule = null;

  /** Turns the name in a row's head into a button that asks why. */
  const ask = (row, key, choose) => {
    const name = row.querySelector("th");
    const button = make("button", { type: "button", class: "ask" }, ...name.childNodes);
    button.addEventListener("click", () => choose(key, button));
    name.append(button);
    return button;
  };

  /** What a reading says against its range: the words, and whether it fits. */
  const verdict = (reading, ends, sound) => {
    if (reading === null) return ["", ""];
    if (Number.isNaN(reading)) return ["not a number", "unread"];
    if (!ends) return ["nothing to compare with", "unread"];
    const [least, most] = ends.map(Math.abs).sort((a, b) => a - b);
    const size = Math.abs(reading);
    if (size > 0 && reading * (ends[0] + ends[1]) < 0) return ["opposite sign: check the leads", "off"];
    if (size < least) return [`low by ${mainsfit.write.percent(1 - size / least)}`, "off"];
    if (size > most) return [`high by ${mainsfit.write.percent(size / most - 1)}`, "off"];
    return [sound ? "in the normal range" : "fits this state", "fits"];
  };

  /** Gives a row its button and the place for a reading. */
  const furnish = (row, i, book, columns, choose) => {
    const column = columns.get(row.dataset.figure) ?? -1;
    const { key, name, unit } = book.columns[column] ?? {};
    const cell = make("td", { class: "read" });
    row.append(cell);
    if (column < 0) return { row, column };
    const button = ask(row, key, choose);
    const aside = make("span", { class: "aside", hidden: true });
    row.querySelector("th").append(aside);
    const input = make("input", {
      type: "text",
      inputmode: "decimal",
      autocomplete: "off",
      size: "6",
      maxlength: "12",
      "aria-label": `reading of ${name}`,
      "aria-describedby": `said-${i}`,
    });
    const measure = make("span", { class: "unit" });
    const said = make("span", { class: "said", id: `said-${i}` });
    cell.append(make("span", { class: "entry" }, input, " ", measure), said);
    const kept = { row, column, unit, button, aside, input, measure, said, reading: null };
    // the unit beside the box is the one typed in, whatever the figure becomes later
    input.addEventListener("input", () => {
      const factor = measure.textContent.startsWith("m") ? 1e3 : 1;
      kept.reading = mainsfit.write.reading(input.value, unit, factor);
      mainsfit.refresh();
    });
    return kept;
  };

  /** Builds the column of readings, the rule they are judged by, and the button that prints. */
  const start = (book, choose) => {
    const section = document.getElementById("points");
    const columns = new Map(book.columns.map((column, i) => [column.key, i]));
    head = section.querySelector("thead tr").children[2] ?? null;
    section.querySelector("thead tr").append(make("th", { scope: "col", class: "read" }, "Read"));
    rows = [...section.querySelectorAll("tbody tr")].map((row, i) => furnish(row, i, book, columns, choose));
    rule = make("p", { class: "note" });
    const print = make("button", { type: "button" }, "Print this state");
    print.addEventListener("click", () => window.print());
    const hint = make("span", { class: "note" }, "The address of this page holds the state, without your readings.");
    section.append(rule, make("p", { class: "acts" }, print, " ", hint));
  };

  /** What stands under a point's name while a meter loads it. */
  const unloaded = (given, moment, row, range) => {
    if (!given || given.shown === null) return "";
    const plain = mainsfit.write.figure(moment.raw[row.column], row.unit);
    if (plain === mainsfit.write.figure(given.shown, row.unit)) return "";
    return `unloaded ${plain}${range ? `, ${mainsfit.write.setting(range, "V")} range` : ""}`;
  };

  /** Writes the figures of this moment, their normal ranges, and what the readings say. */
  const render = (book, moment, state) => {
    const sound = moment.wrong.kind === "sound";
    if (head) put(head, sound ? "Normal" : "Expect");
    put(
      rule,
      `${sound ? "Normal is" : "Expect is"} for ${sound ? "a sound set" : "this fault or missing tube alone"} in the state chosen above, with the meter chosen. Low and high are counted from the nearer end.`,
    );
    for (const row of rows) {
      const now = row.row.querySelector(".now");
      const normal = row.row.querySelector(".normal");
      const value = moment.shown[row.column] ?? null;
      put(now, mainsfit.write.figure(value, row.unit));
      const column = book.columns[row.column];
      const shares = column?.normal;
      const ends = value === null || !shares ? null : shares.map((share) => share * value);
      put(normal, ends ? mainsfit.write.range(ends[0], ends[1], row.unit) : mainsfit.write.NONE);
      if (!column) continue;
      mark(row.button, "aria-pressed", column.key === state.why ? "true" : "false");
      const given = moment.meters[row.column];
      const aside = unloaded(given, moment, row, given?.range);
      put(row.aside, aside);
      reveal(row.aside, aside !== "");
      if (row.input.value === "") {
        put(
          row.measure,
          value === null ? row.measure.textContent || row.unit : mainsfit.write.manner(value, row.unit).unit,
        );
      }
      const [words, fit] = verdict(row.reading, ends, sound);
      put(row.said, words);
      mark(row.said, "data-fit", fit);
    }
  };

  mainsfit.table = { start, render, ask };
})();
