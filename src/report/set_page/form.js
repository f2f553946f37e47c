(() => {
  "use strict";

  const { make, mark, put } = mainsfit;

  /** A fieldset with its legend. */
  const group = (legend, id, ...children) => make("fieldset", { id }, make("legend", {}, legend), ...children);

  /** A round choice with its words; `extra` stands below it while it is chosen. */
  const option = (name, value, words, chosen, extra = null) => {
    const input = make("input", { type: "radio", name, value });
    input.addEventListener("change", () => {
      if (input.checked) chosen(value);
    });
    const node = make("div", { class: "option" }, make("label", {}, input, " ", make("span", {}, words)), extra);
    /** Shows whether it is chosen. */
    const show = (yes) => {
      if (input.checked !== yes) input.checked = yes;
      if (extra) mainsfit.reveal(extra, yes);
    };
    return { node, show };
  };

  /** A list to choose from, with its label. */
  const list = (id, words, items, chosen) => {
    const select = make("select", { id });
    select.addEventListener("change", () => chosen(select.value));
    let filled = "";
    /** Lists other items, if they are others. */
    const fill = (given) => {
      const key = JSON.stringify(given);
      if (key === filled) return;
      filled = key;
      select.replaceChildren(...given.map(({ value, text }) => make("option", { value }, text)));
    };
    fill(items);
    /** Shows what is chosen. */
    const show = (value) => {
      if (select.value !== value) select.value = value;
    };
    return { node: make("p", { class: "pair" }, make("label", { for: id }, words), " ", select), fill, show, select };
  };

  /** A slider and a number field for the same quantity. */
  const dial = (id, { words, unit, least, most, slide, step }, chosen) => {
    const ends = { min: String(least), max: String(most) };
    const slider = make("input", {
      type: "range",
      id: `${id}-slider`,
      ...ends,
      step: String(slide),
      "aria-label": `${words}, slider`,
    });
    const field = make("input", { type: "number", id, ...ends, step: String(step), inputmode: "decimal" });
    let latest = least;
    slider.addEventListener("input", () => chosen(Number(slider.value)));
    field.addEventListener("input", () => {
      const value = field.valueAsNumber;
      if (value >= least && value <= most) chosen(value);
    });
    field.addEventListener("change", () => {
      const value = field.valueAsNumber;
      if (Number.isFinite(value)) chosen(mainsfit.state.held(value, least, most));
      field.value = String(Number(latest.toFixed(2)));
    });
    /** Shows the value, but leaves a field alone while one types in it. */
    const show = (value) => {
      latest = value;
      slider.value = String(value);
      mark(slider, "aria-valuetext", mainsfit.write.setting(value, unit));
      if (document.activeElement !== field) field.value = String(Number(value.toFixed(2)));
    };
    const label = make("label", { for: id }, words);
    const boxed = make("span", { class: "entry" }, field, " ", make("span", { class: "unit" }, unit));
    return { slider, field, label, boxed, show };
  };

  /** A button with its words and its act. */
  const button = (words, act) => {
    const node = make("button", { type: "button" }, words);
    node.addEventListener("click", act);
    return node;
  };

  mainsfit.form = { group, option, list, dial, button, put };
})();
