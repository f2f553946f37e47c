(() => {
  "use strict";

  const { make, put, reveal } = mainsfit;
  const WAYS = {
    "bucking-outlet": "bucking, outlet side",
    "bucking-set": "bucking, set side",
    "boost-outlet": "boosting, outlet side",
    "boost-set": "boosting, set side",
  };
  const last = new Map();
  let leads = [];
  let options = [];
  let ohms = null;
  let which = null;
  let way = null;
  let swap = null;
  let effect = null;
  let taps = null;

  /** Leads of a kind. */
  const ofKind = (kind) => leads.filter((lead) => lead.kind === kind);

  /** What a transformer is told apart by: its words and its volts. */
  const named = (lead) => JSON.stringify([lead.words, lead.volts]);

  /** The ways in which a transformer can be connected. */
  const ways = (transformer) => ofKind("transformer").filter((lead) => named(lead) === transformer);

  /** Chooses a lead. */
  const take = (lead) => mainsfit.change({ lead });

  /** Controls of the small transformer. */
  const transformer = () => {
    const seen = new Map();
    for (const lead of ofKind("transformer")) if (!seen.has(named(lead))) seen.set(named(lead), lead.words);
    const items = [...seen].map(([value, text]) => ({ value, text }));
    which = mainsfit.form.list("which", "Secondary", items, (value) => {
      const all = ways(value);
      take((all.find((lead) => lead.connection === way.select.value) ?? all[0]).id);
    });
    way = mainsfit.form.list("way", "Connection", [], (connection) => {
      take(ways(which.select.value).find((lead) => lead.connection === connection).id);
    });
    swap = mainsfit.form.button("Swap its two secondary wires", () => {
      take(leads.find(({ id }) => id === mainsfit.now().lead).reversed);
    });
    effect = make("p", { class: "note" });
    return make("div", { class: "more" }, which.node, way.node, make("p", { class: "pair" }, swap), effect);
  };

  /** Controls of the series resistor. */
  const resistor = () => {
    const most = mainsfit.state.mostOhms();
    const shape = { words: "Resistance", unit: "Ω", least: 0, most, slide: 1, step: 0.1 };
    ohms = mainsfit.form.dial("ohms", shape, (value) => mainsfit.change({ ohms: value }));
    return make("div", { class: "more" }, make("p", { class: "pair" }, ohms.label, " ", ohms.boxed), ohms.slider);
  };

  /** Controls of the primary's other taps. */
  const tapped = () => {
    const items = ofKind("tap").map(({ id, words }) => ({ value: id, text: words }));
    taps = mainsfit.form.list("tap", "Tap", items, take);
    return make("div", { class: "more" }, taps.node);
  };

  /** Builds the choice of what stands in the line cord. */
  const build = (book) => {
    leads = book.leads;
    const kinds = [
      ["as-is", "As it is", () => null],
      ["advised", `The advised part: ${ofKind("advised")[0]?.words}`, () => null],
      ["resistor", "A series resistor", resistor],
      ["transformer", "A small transformer", transformer],
      ["tap", "Another primary tap", tapped],
    ];
    options = kinds
      .filter(([kind]) => ofKind(kind).length > 0)
      .map(([kind, words, more]) => {
        const chosen = () => take(last.get(kind) ?? ofKind(kind)[0].id);
        return { kind, ...mainsfit.form.option("cord", kind, words, chosen, more()) };
      });
    return mainsfit.form.group("In the line cord", "cord", ...options.map(({ node }) => node));
  };

  /** Shows what stands in the line cord. */
  const render = (moment, state) => {
    const { lead } = moment;
    last.set(lead.kind, lead.id);
    for (const { kind, show } of options) show(kind === lead.kind);
    if (lead.kind === "resistor") ohms.show(state.ohms);
    if (lead.kind === "tap") taps.show(lead.id);
    if (lead.kind !== "transformer") return;
    which.show(named(lead));
    way.fill(ways(named(lead)).map(({ connection }) => ({ value: connection, text: WAYS[connection] ?? connection })));
    way.show(lead.connection);
    reveal(
      swap,
      leads.some(({ id }) => id === lead.reversed),
    );
    const boosts = lead.connection.startsWith("boost");
    put(effect, `Connected so, its secondary ${boosts ? "adds to" : "subtracts from"} the outlet voltage.`);
  };

  /** What stands in the line cord, in words. */
  const words = (moment, state) => {
    const { lead } = moment;
    if (lead.kind === "resistor") return `series resistor of ${mainsfit.write.setting(state.ohms, "Ω", 2)}`;
    if (lead.kind === "transformer") return `${lead.words}, ${WAYS[lead.connection] ?? lead.connection}`;
    if (lead.kind === "as-is") return "nothing added";
    return lead.words;
  };

  mainsfit.cord = { build, render, words };
})();
