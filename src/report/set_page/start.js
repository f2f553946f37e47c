(() => {
  "use strict";

  const SLIDE_STEP = 0.5;
  const book = JSON.parse(document.getElementById("states").textContent);
  const rooms = ["controls", "drawing", "table", "limits", "why", "summary", "minute"].map((name) => mainsfit[name]);
  let state = null;
  let moment = null;

  /** Shows a state everywhere. */
  const render = () => {
    moment = mainsfit.moment.of(state);
    for (const room of rooms) room.render(book, moment, state);
  };

  /** Takes a whole state and shows it. */
  const take = (next) => {
    state = next;
    render();
  };

  /** The state of now. */
  mainsfit.now = () => state;

  /** Shows the same state again, for a reading typed in. */
  mainsfit.refresh = render;

  /** Changes some of the state, shows it, and has the address follow. */
  mainsfit.change = (part) => {
    take({ ...state, ...part });
    mainsfit.state.remember(state);
  };

  /** Shows the state of an address at once. */
  mainsfit.show = (hash) => {
    take(mainsfit.state.read(hash));
    mainsfit.state.remember(state);
  };

  /** This moment's figures by key, as a meter shows them. */
  mainsfit.figures = () => {
    const out = Object.create(null);
    book.columns.forEach(({ key }, column) => {
      out[key] = moment.shown[column];
    });
    return out;
  };

  /** Walks the outlet's slider so many steps, layout included, and returns the slowest in ms. */
  mainsfit.step = (count) => {
    const slider = document.getElementById("outlet-slider");
    const kept = state;
    const { least, most } = book.line;
    let slowest = 0;
    for (let i = 0; i < count; i += 1) {
      const before = performance.now();
      slider.value = String(least + ((i * SLIDE_STEP) % (most - least)));
      slider.dispatchEvent(new Event("input"));
      document.body.getBoundingClientRect();
      slowest = Math.max(slowest, performance.now() - before);
    }
    mainsfit.change(kept);
    return slowest;
  };

  /** Chooses a figure to ask why; `node` is where it was chosen. */
  const choose = (key, node) => {
    mainsfit.change({ why: key });
    mainsfit.why.from(node);
  };

  /** Puts sections that are read together side by side. */
  const pair = (one, other) => {
    const [first, second] = [document.getElementById(one), document.getElementById(other)];
    const both = mainsfit.make("div", { class: `pair-of ${one}` });
    first.before(both);
    both.append(first, second);
  };

  /** Tells the style how high the header is, for what sticks below it. */
  const measure = () => {
    const top = document.getElementById("top");
    const line = document.getElementById("line");
    /** Writes both heights. */
    const write = () => {
      document.documentElement.style.setProperty("--head", `${top.offsetHeight}px`);
      document.documentElement.style.setProperty("--band", `${line.offsetHeight}px`);
    };
    write();
    const watch = new ResizeObserver(write);
    watch.observe(top);
    watch.observe(line);
  };

  /** Follows links within the page without touching the address, which holds the state. */
  const walk = (event) => {
    const link = event.target.closest?.('a[href^="#"]');
    const place = link && document.getElementById(link.getAttribute("href").slice(1));
    if (!place) return;
    event.preventDefault();
    place.setAttribute("tabindex", "-1");
    mainsfit.bring(place, "start");
    place.focus({ preventScroll: true });
  };

  document.documentElement.classList.add("live");
  mainsfit.state.open(book);
  mainsfit.moment.open(book);
  for (const room of rooms) room.start(book, choose);
  pair("drawn", "why");
  pair("points", "limits");
  take(mainsfit.state.read(mainsfit.state.speaks(location.hash) ? location.hash : ""));
  measure();
  document.addEventListener("click", walk);
  addEventListener("hashchange", () => {
    if (!mainsfit.state.speaks(location.hash)) return;
    mainsfit.state.forget();
    take(mainsfit.state.read(location.hash));
  });
  document.body.getBoundingClientRect();
  mainsfit.loaded = performance.now();
  // what is painted counts, not what is only laid out
  requestAnimationFrame(() => {
    setTimeout(() => {
      mainsfit.loaded = performance.now();
    });
  });
})();
