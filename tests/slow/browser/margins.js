// What the page asks for in its @page rule: the left and right margins in CSS pixels and the size of the paper as it
// is written; null where it asks for none.
() => {
  const ruler = document.createElement("div");
  ruler.style.position = "absolute";
  document.body.append(ruler);
  const px = (length) => {
    if (!length) return null;
    ruler.style.width = length;
    return ruler.getBoundingClientRect().width;
  };
  const found = { left: null, right: null, size: null };
  const look = (rules) => {
    for (const rule of rules) {
      if (rule instanceof CSSPageRule && rule.selectorText === "") {
        found.left = px(rule.style.getPropertyValue("margin-left")) ?? found.left;
        found.right = px(rule.style.getPropertyValue("margin-right")) ?? found.right;
        found.size = rule.style.getPropertyValue("size") || found.size;
      } else if (rule instanceof CSSMediaRule && matchMedia(rule.media.mediaText).matches) {
        look(rule.cssRules);
      }
    }
  };
  for (const sheet of document.styleSheets) look(sheet.cssRules);
  ruler.remove();
  return found;
}
