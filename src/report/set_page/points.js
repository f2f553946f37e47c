(() => {
  "use strict";

  const NODES = 6;
  const TOP_CODE = 65534;
  const NO_FIGURE = 65535;
  const unpacked = new WeakMap();

  /** Bytes of a base64 text. */
  const bytes = (text) => {
    const raw = atob(text);
    const out = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i += 1) out[i] = raw.charCodeAt(i);
    return out;
  };

  /** The figures of a table, decoded when it is first asked for. */
  const unpack = (table) => {
    const known = unpacked.get(table);
    if (known) return known;
    const codes = new DataView(bytes(table.data).buffer);
    const spans = new DataView(bytes(table.spans).buffer);
    const rows = table.ohms ?? [0];
    const size = table.volts.length * rows.length;
    const columns = spans.byteLength / 8;
    const values = new Float64Array(size * columns).fill(Number.NaN);
    let at = 0;
    for (let column = 0; column < columns; column += 1) {
      const low = spans.getFloat32(8 * column, true);
      const high = spans.getFloat32(8 * column + 4, true);
      if (low === high) values.fill(low, column * size, (column + 1) * size);
      // what is the same throughout has no codes, and neither has what is nowhere
      if (low === high || Number.isNaN(low)) continue;
      for (let i = column * size; i < (column + 1) * size; i += 1, at += 2) {
        const code = codes.getUint16(at, true);
        if (code !== NO_FIGURE) values[i] = low + ((high - low) * code) / TOP_CODE;
      }
    }
    const gaps = new Map();
    for (const [column, first, last] of table.gaps ?? []) {
      if (!gaps.has(column)) gaps.set(column, []);
      gaps.get(column).push([first, last]);
    }
    const made = { rows, size, values, gaps };
    unpacked.set(table, made);
    return made;
  };

  /** The cell between nodes that holds `x`, the first of the nearest nodes and the weight of each; null outside of the nodes. */
  const along = (nodes, x) => {
    const last = nodes.length - 1;
    if (!(x >= nodes[0] && x <= nodes[last])) return null;
    let cell = 0;
    while (cell < last - 1 && x >= nodes[cell + 1]) cell += 1;
    const count = Math.min(NODES, nodes.length);
    const first = Math.max(0, Math.min(cell + 1 - NODES / 2, nodes.length - count));
    const weights = [];
    for (let i = first; i < first + count; i += 1) {
      let weight = 1;
      for (let j = first; j < first + count; j += 1) {
        if (j !== i) weight *= (x - nodes[j]) / (nodes[i] - nodes[j]);
      }
      weights.push(weight);
    }
    return { cell, first, weights };
  };

  /** Where a state lies in a table; null outside of it. A table of one row takes any ohms. */
  const place = (table, volts, ohms) => {
    const { rows } = unpack(table);
    const across = along(table.volts, volts);
    const down = rows.length > 1 ? along(rows, ohms) : { cell: 0, first: 0, weights: [1] };
    if (!across || !down) return null;
    return { across, down, cell: across.cell + (table.volts.length - 1) * down.cell };
  };

  /** The figure of a stored column at a place; null where the table shows none. */
  const value = (table, at, column) => {
    if (!at) return null;
    const { size, values, gaps } = unpack(table);
    const { across, down, cell } = at;
    if (gaps.get(column)?.some(([first, last]) => cell >= first && cell <= last)) return null;
    let sum = 0;
    down.weights.forEach((rowWeight, row) => {
      const start = column * size + (down.first + row) * table.volts.length + across.first;
      let line = 0;
      across.weights.forEach((weight, i) => {
        line += weight * values[start + i];
      });
      sum += rowWeight * line;
    });
    return Number.isFinite(sum) ? sum : null;
  };

  mainsfit.points = { place, value };
})();
