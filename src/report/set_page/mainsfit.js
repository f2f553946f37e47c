const mainsfit = {};

(() => {
  "use strict";

  /** Sets attributes; `true` sets an empty one, `false` and `null` none. */
  const dress = (node, attributes) => {
    for (const [name, value] of Object.entries(attributes)) {
      if (value !== false && value !== null) node.setAttribute(name, value === true ? "" : value);
    }
    return node;
  };

  /** Makes an element of the page with its attributes and children; text stays text. */
  mainsfit.make = (tag, attributes = {}, ...children) => {
    const node = dress(document.createElement(tag), attributes);
    node.append(...children.filter((child) => child !== null));
    return node;
  };

  /** Makes an element of a drawing. */
  mainsfit.stroke = (tag, attributes = {}, ...children) => {
    const node = dress(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes);
    node.append(...children);
    return node;
  };

  /** Writes a text where it has changed, so that a step costs no needless layout. */
  mainsfit.put = (node, text) => {
    if (node.textContent !== text) node.textContent = text;
  };

  /** Sets an attribute where it has changed. */
  mainsfit.mark = (node, name, value) => {
    if (node.getAttribute(name) !== value) node.setAttribute(name, value);
  };

  /** Shows or hides. */
  mainsfit.reveal = (node, shown) => {
    if (node.hidden === shown) node.hidden = !shown;
  };

  /** Scrolls to something if it is out of view, at once for readers who want no motion. */
  mainsfit.bring = (node, block = "nearest") => {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    node.scrollIntoView({ block, behavior: still ? "auto" : "smooth" });
  };
})();
