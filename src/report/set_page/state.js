(() => {
  "use strict";

  const REST_MS = 400;
  const OHMS_AT_FIRST = 20;
  const SECOND_AT_FIRST = 10;
  let book = null;
  let waiting = 0;

  /** A number held between two ends. */
  const held = (value, least, most) => Math.min(most, Math.max(least, value));

  /** The most ohms of the series resistor. */
  const mostOhms = () => book.leads.find((lead) => lead.kind === "resistor")?.most ?? 0;

  /** The last second of a start. */
  const lastSecond = (start) => book.minute?.starts[start]?.time.slice(-1)[0] ?? 0;

  /** The state that an empty address means. */
  const atFirst = () => ({
    line: book.line.usual,
    lead: "as-is",
    ohms: held(OHMS_AT_FIRST, 0, mostOhms()),
    case: "sound",
    meter: "none",
    why: "",
    start: 0,
    second: held(SECOND_AT_FIRST, 0, lastSecond(0)),
  });

  /** The pairs of an address; what cannot be decoded is left out. */
  const pairs = (hash) => {
    const found = new Map();
    for (const part of hash.replace(/^#/, "").split("&")) {
      const cut = part.indexOf("=");
      if (cut < 1) continue;
      try {
        found.set(decodeURIComponent(part.slice(0, cut)), decodeURIComponent(part.slice(cut + 1)));
      } catch {
        // a broken escape names nothing
      }
    }
    return found;
  };

  /** The state of an address: unknown words are ignored, numbers held in range. */
  const read = (hash) => {
    const given = pairs(hash);
    const state = atFirst();
    const number = (key, least, most) => {
      const text = given.get(key);
      const value = Number(text);
      if (text?.trim() && Number.isFinite(value)) state[key] = held(value, least, most);
    };
    const word = (key, list, name = "id") => {
      const text = given.get(key);
      if (list.some((item) => item[name] === text)) state[key] = text;
    };
    number("line", book.line.least, book.line.most);
    number("ohms", 0, mostOhms());
    word("lead", book.leads);
    word("case", book.cases);
    word("meter", book.meters);
    word("why", book.columns, "key");
    number("start", 0, Math.max(0, (book.minute?.starts.length ?? 1) - 1));
    state.start = Math.round(state.start);
    number("second", 0, lastSecond(state.start));
    return state;
  };

  /** The address of a state, with what differs from the first one. */
  const address = (state) => {
    const first = atFirst();
    const parts = [];
    for (const key of ["line", "lead", "ohms", "case", "meter", "why", "start", "second"]) {
      if (state[key] !== first[key]) parts.push(`${key}=${encodeURIComponent(String(state[key]))}`);
    }
    return `#${parts.join("&")}`;
  };

  /** Drops an address that waits to be written. */
  const forget = () => clearTimeout(waiting);

  /** Writes the address once the hand rests: browsers refuse to be told at every step. */
  const remember = (state) => {
    forget();
    waiting = setTimeout(() => {
      const text = address(state);
      if (text !== (location.hash || "#")) history.replaceState(null, "", text);
    }, REST_MS);
  };

  /** Whether an address speaks of a state rather than of a place on the page. */
  const speaks = (hash) => hash.replace("#", "") === "" || pairs(hash).size > 0;

  mainsfit.state = {
    /** Takes the page's data. */
    open: (given) => {
      book = given;
    },
    held,
    read,
    address,
    remember,
    forget,
    speaks,
    mostOhms,
    lastSecond,
  };
})();
