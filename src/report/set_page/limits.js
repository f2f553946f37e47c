(() => {
  "use strict";

  const { make, put, mark } = mainsfit;
  // a circle fills as the limit comes near, so that paper without color says it too
  const MARKS = { within: "\u25cb", "at the limit": "\u25d0", exceeded: "\u25cf", "no figure": "\u2013" };
  let rows = [];
  let count = null;

  /** Gives each limit its button and its place for a mark. */
  const start = (book, choose) => {
    const section = document.getElementById("limits");
    count = make("p", { class: "count" });
    section.querySelector("h2").after(count);
    rows = [...section.querySelectorAll("tr[data-limit]")]
      .filter((row) => book.limits[Number(row.dataset.limit)])
      .map((row) => {
        const limit = book.limits[Number(row.dataset.limit)];
        const column = book.columns[limit.column];
        if (column) mainsfit.table.ask(row, column.key, choose);
        const sign = make("span", { class: "sign", "aria-hidden": "true" });
        const words = make("span");
        row.querySelector(".standing").replaceChildren(sign, " ", words);
        return { row, limit, sign, words };
      });
  };

  /** How many limits stand how, the worst first. */
  const told = (moment, book) => {
    const counts = { exceeded: 0, "at the limit": 0, within: 0, "no figure": 0 };
    for (const limit of book.limits) counts[mainsfit.moment.standing(limit, moment)] += 1;
    return Object.entries(counts)
      .filter(([, n]) => n > 0)
      .map(([words, n]) => ({ words, n, sign: MARKS[words] }));
  };

  /** Writes where each limit stands. */
  const render = (book, moment) => {
    for (const { row, limit, sign, words } of rows) {
      const standing = mainsfit.moment.standing(limit, moment);
      put(row.querySelector(".now"), mainsfit.write.figure(moment.raw[limit.column] ?? null, limit.unit));
      put(sign, MARKS[standing]);
      put(words, standing);
      mark(row, "data-standing", standing);
    }
    put(
      count,
      told(moment, book)
        .map(({ words, n }) => `${n} ${words}`)
        .join(", "),
    );
  };

  mainsfit.limits = { start, render, told };
})();
