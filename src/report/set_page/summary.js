(() => {
  "use strict";

  const REST_MS = 700;
  const POINTS = 3;
  const { make, put } = mainsfit;
  let main = [];
  let strip = null;
  let live = null;
  let paper = null;
  let waiting = 0;

  /** The strip of main figures under the outlet's slider, and the same for listeners. */
  const build = () => {
    strip = make("p", { id: "strip", "aria-hidden": "true" });
    live = make("p", { class: "heard", role: "status", "aria-live": "polite" });
    return make("div", {}, strip, live);
  };

  /** Chooses the main figures: the voltage at the set and the first points to read. */
  const start = (book) => {
    const keys = [...document.querySelectorAll("#points tbody tr")].map((row) => row.dataset.figure);
    main = ["set", ...keys.filter((key) => key !== "set").slice(0, POINTS)]
      .map((key) => book.columns.findIndex((column) => column.key === key))
      .filter((column) => column >= 0);
    paper = make("p", { id: "state" });
    document.querySelector("#drawn h2").after(paper);
  };

  /** Words as a sentence of their own. */
  const sentence = (text) => `${(text[0] ?? "").toUpperCase()}${text.slice(1)}.`;

  /** The state in one line of words. */
  const words = (moment, state) => {
    const wrong = moment.wrong.kind === "sound" ? "nothing wrong" : moment.wrong.words;
    const meter = moment.meter.id === "none" ? "no meter" : `meter ${moment.meter.words}`;
    const line = mainsfit.write.setting(state.line, "V");
    return `Outlet ${line}. In the line cord: ${mainsfit.cord.words(moment, state)}. ${sentence(wrong)} ${sentence(meter)}`;
  };

  /** Writes the state and its main figures; tells them to listeners once the hand rests. */
  const render = (book, moment, state) => {
    const figures = main.map((column) => {
      const { name, unit } = book.columns[column];
      return [name, mainsfit.write.figure(moment.shown[column], unit)];
    });
    const known = mainsfit.limits.told(moment, book).filter(({ words }) => words !== "no figure");
    const counts = known.length > 1 ? known.filter(({ words }) => words !== "within") : known;
    const standing = counts.map(({ n, sign, words }) => [sign, `${n} ${words}`]);
    const all = [...figures, ...standing];
    if (strip.childElementCount !== all.length)
      strip.replaceChildren(...all.map(() => make("span", {}, make("span"), " ", make("b"))));
    all.forEach(([name, text], i) => {
      const [first, , second] = strip.children[i].childNodes;
      put(first, name);
      put(second, text);
    });
    const line = words(moment, state);
    put(paper, line);
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      const limits = counts.map(({ n, words }) => `${n} ${words}`).join(", ") || "no figure";
      put(live, `${line} ${figures.map(([name, text]) => `${name} ${text}`).join(", ")}. Limits: ${limits}.`);
    }, REST_MS);
  };

  mainsfit.summary = { build, start, render };
})();
