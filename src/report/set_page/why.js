(() => {
  "use strict";

  const APART = 0.01;
  const { make } = mainsfit;
  let pick = null;
  let answer = null;
  let back = null;
  let heard = null;
  let asked = null;
  let choose = null;

  /** Builds the list of figures and the room for the answer. */
  const start = (book, chosen) => {
    choose = chosen;
    const section = document.getElementById("why");
    pick = make("select", { id: "pick" }, make("option", { value: "" }, "choose a figure"));
    for (const { key, name } of book.columns) pick.append(make("option", { value: key }, name));
    pick.addEventListener("change", () => choose(pick.value, pick));
    answer = make("div", { class: "answer" });
    heard = make("p", { class: "heard", role: "status" });
    back = make("button", { type: "button", hidden: true }, "Back to where you chose it");
    back.addEventListener("click", () => {
      mainsfit.bring(asked, "center");
      asked.focus({ preventScroll: true });
    });
    section.append(
      make("p", { class: "asking" }, make("label", { for: "pick" }, "Figure "), pick),
      answer,
      heard,
      make("p", { class: "acts" }, back),
    );
  };

  /** Remembers where a figure was chosen and brings the answer into view. */
  const from = (node) => {
    const own = node === pick;
    if (!own && !answer.contains(node)) asked = node;
    mainsfit.reveal(back, asked !== null && !own);
    if (!own) mainsfit.bring(document.getElementById("why"));
    // told once when chosen; to tell it at every step would drown the rest
    const first = answer.querySelector(".sums > li, p:not(.chosen)");
    mainsfit.put(heard, [answer.querySelector(".chosen"), first].map((part) => part?.textContent ?? "").join(". "));
  };

  /** How far the solved figure is from the sum, in words. */
  const apart = (sum, value, solved) => {
    const share = solved / value - 1;
    if (!(Math.abs(share) > APART)) return "The solved figure agrees.";
    const size = Math.abs(solved) - Math.abs(value);
    const way = Number.isFinite(share)
      ? `${mainsfit.write.percent(share)} ${size > 0 ? "above" : "below"} the sum`
      : "not the sum";
    return `The solved figure is ${way}. ${sum.why ?? ""}`.trim();
  };

  /** One sum: its line, where its figures come from, and where it parts from the solution. */
  const told = (sum, book, moment, state) => {
    const done = mainsfit.sums.work(sum, book.columns, moment, state);
    const solved = moment.raw[sum.of];
    if (!done || solved === null) return make("li", {}, `${sum.what}: a figure of this sum is not known here.`);
    const { figure } = mainsfit.write;
    const unit = sum.unit ?? book.columns[sum.of].unit;
    const item = make(
      "li",
      {},
      make(
        "p",
        { class: "sum" },
        `${sum.what}: `,
        make("strong", {}, `${done.text} = ${figure(done.value, unit)}`),
        ` (solved: ${figure(solved, unit)})`,
      ),
      make("p", {}, apart(sum, done.value, solved)),
    );
    const roots = done.from.filter((column) => column !== sum.of);
    if (roots.length === 0) return item;
    const line = make("p", { class: "roots" }, "Its figures: ");
    for (const column of roots) {
      const { key, name, unit } = book.columns[column];
      const button = make("button", { type: "button" }, `${name}, ${figure(moment.raw[column], unit)}`);
      button.addEventListener("click", () => {
        choose(key, button);
        pick.focus({ preventScroll: true });
      });
      line.append(button, " ");
    }
    item.append(line);
    return item;
  };

  /** The sum that a meter's own resistance makes. */
  const metered = (given, raw, unit) => {
    const { inSum, figure, setting } = mainsfit.write;
    const [own, source] = [inSum(given.own / 1e3, "kΩ"), inSum(given.source / 1e3, "kΩ")];
    return make(
      "p",
      { class: "sum" },
      "what the meter shows: ",
      make("strong", {}, `${inSum(raw, unit)} × ${own} ÷ (${own} + ${source}) = ${figure(given.shown, unit)}`),
      given.range ? `, on the ${setting(given.range, "V")} range` : "",
    );
  };

  /** What the figure becomes one volt further up; null at the end of the table. */
  const further = (state, column, book) => {
    const volts = Math.floor(state.line) + 1;
    const value = mainsfit.moment.beside(state, column, volts);
    if (value === null) return null;
    const text = mainsfit.write.figure(value, book.columns[column].unit);
    return make("p", {}, `At an outlet voltage of ${mainsfit.write.setting(volts, "V")} it is ${text}.`);
  };

  /** Writes the sums of the chosen figure with the numbers of this moment. */
  const render = (book, moment, state) => {
    if (pick.value !== state.why) pick.value = state.why;
    const column = book.columns.findIndex(({ key }) => key === state.why);
    if (column < 0) {
      answer.replaceChildren(make("p", {}, "Choose a figure in the drawing, in a table or in this list."));
      return;
    }
    const { name, unit } = book.columns[column];
    const raw = moment.raw[column];
    const parts = [make("p", { class: "chosen" }, `${name}: ${mainsfit.write.figure(raw, unit)}`)];
    const sums = book.sums.filter(
      ({ of, lead }) => of === column && (!lead || lead === moment.lead.id || lead === moment.lead.kind),
    );
    if (raw === null) {
      parts.push(
        make(
          "p",
          {},
          "There is no figure here. The solved points do not hold it closely enough, or the state has none.",
        ),
      );
    } else if (sums.length > 0) {
      parts.push(make("ul", { class: "sums" }, ...sums.map((sum) => told(sum, book, moment, state))));
    } else {
      parts.push(make("p", {}, "No short sum gives this figure. It is solved with the whole circuit at once."));
    }
    const given = moment.meters[column];
    if (given && given.shown !== null) parts.push(metered(given, raw, unit));
    if (raw !== null) parts.push(further(state, column, book));
    answer.replaceChildren(...parts.filter(Boolean));
  };

  mainsfit.why = { start, render, from };
})();
