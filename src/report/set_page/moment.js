(() => {
  "use strict";

  let book = null;
  let tables = new Map();
  let setColumn = -1;
  let loading = [];

  /** Takes the page's data. */
  const open = (given) => {
    book = given;
    tables = new Map(book.tables.map((table) => [`${table.lead} ${table.case}`, table]));
    setColumn = book.columns.findIndex((column) => column.key === "set");
    loading = book.meters.filter((meter) => meter.ohms || meter.per_volt);
  };

  /** The table of what is in the line cord and what is wrong; undefined where none was solved. */
  const tableOf = (lead, wrong) => tables.get(`${lead} ${wrong}`);

  /** Figures of a state, each column's own and null where there is none. */
  const solved = (state, volts) => {
    const table = tableOf(state.lead, state.case);
    const at = table ? mainsfit.points.place(table, volts, state.ohms) : null;
    const sound = state.case === "sound";
    return book.columns.map((_, column) => {
      const value = at ? mainsfit.points.value(table, at, book.stored[column]) : null;
      // a fault is not solved so closely that next to nothing could be told
      return value !== null && !sound && Math.abs(value) < book.nothing[column] ? 0 : value;
    });
  };

  /** What a figure becomes with the meter on it: its range, both resistances and what is shown. */
  const loaded = (value, column, meter, at) => {
    const range = book.ranges.find((full) => full >= Math.abs(value)) ?? book.ranges[book.ranges.length - 1];
    const own = meter.ohms ?? meter.per_volt * range;
    const source = mainsfit.points.value(
      book.sources,
      at,
      loading.indexOf(meter) * book.spots + book.columns[column].spot,
    );
    if (source === null) return { shown: null };
    return { shown: (value * own) / (own + source), own, source, range: meter.per_volt ? range : null };
  };

  /** All that the page shows of a state. */
  const of = (state) => {
    const lead = book.leads.find(({ id }) => id === state.lead);
    const wrong = book.cases.find(({ id }) => id === state.case);
    const meter = book.meters.find(({ id }) => id === state.meter);
    const raw = solved(state, state.line);
    const meters = raw.map(() => null);
    const set = setColumn < 0 ? null : raw[setColumn];
    if (loading.includes(meter) && book.sources && wrong.kind === "sound") {
      const at = set === null ? null : mainsfit.points.place(book.sources, set, 0);
      raw.forEach((value, column) => {
        const { spot } = book.columns[column];
        if (value !== null && spot !== null && spot !== undefined) meters[column] = loaded(value, column, meter, at);
      });
    }
    const shown = raw.map((value, column) => (meters[column] ? meters[column].shown : value));
    return { lead, wrong, meter, raw, shown, meters, set, known: Boolean(tableOf(state.lead, state.case)) };
  };

  /** One figure at another outlet voltage, the rest of the state the same. */
  const beside = (state, column, volts) => {
    const table = tableOf(state.lead, state.case);
    return table
      ? mainsfit.points.value(table, mainsfit.points.place(table, volts, state.ohms), book.stored[column])
      : null;
  };

  /** Where a figure stands against its limit, in words. */
  const standing = (limit, moment) => {
    const value = moment.raw[limit.column];
    if (value === null || value === undefined) return "no figure";
    const margin = (limit.least ? -1 : 1) * (1 - value / limit.limit);
    return margin < 0 ? "exceeded" : margin < book.near ? "at the limit" : "within";
  };

  mainsfit.moment = { open, of, beside, standing, tableOf };
})();
