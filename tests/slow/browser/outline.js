// What is wrong with the outline of a page for somebody who cannot see it: a list of sentences.
() => {
  const faults = [];
  const short = (e) => e.textContent.trim().replace(/\s+/g, " ").slice(0, 60);
  if (!document.documentElement.lang.trim()) faults.push("html has no lang");
  if (!document.title.trim()) faults.push("no title");

  const headings = [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")];
  const first = headings.filter((h) => h.localName === "h1").length;
  if (first !== 1) faults.push(`${first} h1 where one is wanted`);
  let before = 0;
  for (const h of headings) {
    const level = Number(h.localName[1]);
    if (level > before + 1) faults.push(`h${level} "${short(h)}" follows level ${before}`);
    if (!short(h)) faults.push(`h${level} is empty`);
    before = level;
  }

  for (const table of document.querySelectorAll("table")) {
    const what = `table "${short(table)}"`;
    const heads = [...table.querySelectorAll("th")];
    if (heads.length === 0) faults.push(`${what} has no th`);
    for (const th of heads) {
      if (!["row", "col", "rowgroup", "colgroup"].includes(th.getAttribute("scope"))) {
        faults.push(`${what}: th "${short(th)}" has no scope`);
      }
    }
  }
  // without it some screen readers read the shapes one by one
  for (const svg of document.querySelectorAll("svg:not(svg svg)")) {
    if (svg.getAttribute("role") !== "img") faults.push(`svg "${short(svg)}" has no role img`);
  }
  return faults;
}
