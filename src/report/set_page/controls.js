(() => {
  "use strict";

  const { make, put, reveal } = mainsfit;
  let outlet = null;
  let wrong = [];
  let lists = new Map();
  let meters = [];
  let meterNote = null;
  let gap = null;
  let gapWords = null;
  let outside = null;

  /** Moves the outlet by some volts. */
  const nudge = (book, by) => {
    const line = mainsfit.state.held(mainsfit.now().line + by, book.line.least, book.line.most);
    mainsfit.change({ line: Number(line.toFixed(2)) });
  };

  /** The outlet's slider, field and buttons. */
  const outletGroup = (book) => {
    const { least, most, usual, design } = book.line;
    const { setting } = mainsfit.write;
    const shape = { words: "Outlet", unit: "V", least, most, slide: 0.5, step: 0.1 };
    outlet = mainsfit.form.dial("outlet", shape, (line) => mainsfit.change({ line }));
    const go = (name, line) => {
      const button = mainsfit.form.button(`${name} `, () => mainsfit.change({ line }));
      button.append(make("span", { class: "wide" }, setting(line, "V")));
      return button;
    };
    const acts = [
      mainsfit.form.button("\u22121\u00a0V", () => nudge(book, -1)),
      mainsfit.form.button("+1\u00a0V", () => nudge(book, 1)),
      go("Design", design),
      usual === design ? null : go("Usual", usual),
    ];
    return make(
      "div",
      { id: "line", role: "group", "aria-label": "Outlet voltage" },
      make("p", { class: "pair" }, outlet.label, " ", outlet.boxed),
      make("p", { class: "slide" }, outlet.slider),
      make("p", { class: "acts" }, ...acts),
      mainsfit.summary.build(),
    );
  };

  /** The choice of what is wrong. */
  const wrongGroup = (book) => {
    const kinds = [
      ["sound", "Nothing", null],
      ["tube", "A tube is out", "Tube"],
      ["fault", "A fault", "Fault"],
    ];
    lists = new Map();
    wrong = kinds
      .filter(([kind]) => book.cases.some((item) => item.kind === kind))
      .map(([kind, words, label]) => {
        const items = book.cases
          .filter((item) => item.kind === kind)
          .map(({ id, words }) => ({ value: id, text: words }));
        const pick = (id) => mainsfit.change({ case: id });
        const list = label ? mainsfit.form.list(`wrong-${kind}`, label, items, pick) : null;
        if (list) lists.set(kind, list);
        const chosen = () => pick(list ? list.select.value : items[0].value);
        const more = list ? make("div", { class: "more" }, list.node) : null;
        return { kind, ...mainsfit.form.option("wrong", kind, words, chosen, more) };
      });
    return mainsfit.form.group("What is wrong", "wrong", ...wrong.map(({ node }) => node));
  };

  /** The choice of the meter. */
  const meterGroup = (book) => {
    meters = book.meters.map(({ id, words }) => ({
      id,
      ...mainsfit.form.option("meter", id, words, () => mainsfit.change({ meter: id })),
    }));
    meterNote = make(
      "p",
      { class: "note" },
      "Its load is known for a set with nothing wrong. Figures here are without it.",
    );
    return mainsfit.form.group("Meter on the point", "meter", ...meters.map(({ node }) => node), meterNote);
  };

  /** What is said where no points were solved, with the two ways out. */
  const gapNote = () => {
    gapWords = make("span");
    gap = make(
      "p",
      { class: "gap", role: "status" },
      gapWords,
      " ",
      mainsfit.form.button("Take the part out of the line cord", () => mainsfit.change({ lead: "as-is" })),
      " ",
      mainsfit.form.button("Nothing wrong", () => mainsfit.change({ case: "sound" })),
    );
    return gap;
  };

  /** Builds all controls. */
  const start = (book) => {
    outside = make(
      "p",
      { class: "gap", role: "status" },
      "This state was not solved at this outlet voltage. No figures are shown.",
    );
    const choices = make("div", { id: "choices" }, mainsfit.cord.build(book), wrongGroup(book), meterGroup(book));
    document.getElementById("move").append(outletGroup(book), choices, gapNote(), outside);
  };

  /** Shows the state in all controls. */
  const render = (book, moment, state) => {
    outlet.show(state.line);
    mainsfit.cord.render(moment, state);
    for (const { kind, show } of wrong) show(kind === moment.wrong.kind);
    lists.get(moment.wrong.kind)?.show(state.case);
    for (const { id, show } of meters) show(id === state.meter);
    reveal(meterNote, state.meter !== "none" && moment.wrong.kind !== "sound");
    const both = book.advised ? "the set as it is and with the advised part" : "the set as it is";
    put(gapWords, `Faults and missing tubes are solved for ${both} only.`);
    reveal(gap, !moment.known);
    reveal(outside, moment.known && moment.raw.every((value) => value === null));
  };

  mainsfit.controls = { start, render };
})();
