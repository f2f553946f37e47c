(() => {
  "use strict";

  const OPERATORS = new Set(["+", "\u2212", "-", "×", "÷", "(", ")"]);

  /** A term of a sum as its number and its text; an operator as itself. */
  const term = (given, columns, moment, state) => {
    const { counted, inSum } = mainsfit.write;
    if (typeof given === "string") return { operator: given === "-" ? "\u2212" : given };
    let value = null;
    let unit = "";
    let column = null;
    if ("c" in given) {
      column = given.c;
      value = moment.raw[column];
      unit = columns[column].unit;
    } else if ("n" in given) {
      value = given.n;
    } else if ("f" in given) {
      value = given.f;
      unit = given.u;
    } else if (given.s === "outlet") {
      value = state.line;
      unit = "V";
    } else if (given.s === "ohms") {
      value = moment.lead.kind === "resistor" ? state.ohms : null;
      unit = "Ω";
    }
    if (value === null || value === undefined) return null;
    return { value: counted(value), text: inSum(value, unit), column };
  };

  /** What a row of terms comes to: products before additions, brackets before both. */
  const result = (terms) => {
    let next = 0;
    const operator = () => terms[next]?.operator;
    const atom = () => {
      const here = terms[next];
      next += 1;
      if (here?.operator === "(") {
        const inner = addition();
        next += 1;
        return inner;
      }
      if (here?.operator === "\u2212") return -atom();
      return here?.value ?? Number.NaN;
    };
    const product = () => {
      let value = atom();
      while (operator() === "×" || operator() === "÷") {
        const times = operator() === "×";
        next += 1;
        value = times ? value * atom() : value / atom();
      }
      return value;
    };
    const addition = () => {
      let value = product();
      while (operator() === "+" || operator() === "\u2212") {
        const plus = operator() === "+";
        next += 1;
        value = plus ? value + product() : value - product();
      }
      return value;
    };
    const value = addition();
    return next === terms.length ? value : Number.NaN;
  };

  /** The row of terms as it is read, a negative figure behind an operator in brackets. */
  const text = (terms) => {
    let out = "";
    terms.forEach((here, i) => {
      const before = terms[i - 1]?.operator;
      const tight = i === 0 || before === "(" || here.operator === ")";
      const wrapped = here.text?.startsWith("\u2212") && before && before !== "(" ? `(${here.text})` : here.text;
      out += (tight ? "" : " ") + (here.operator ?? wrapped);
    });
    return out;
  };

  /** A sum with the numbers of this moment; null where one of them is not known. */
  const work = (sum, columns, moment, state) => {
    const terms = sum.terms.map((given) => term(given, columns, moment, state));
    if (terms.some((here) => here === null || (here.operator && !OPERATORS.has(here.operator)))) return null;
    const value = result(terms);
    if (!Number.isFinite(value)) return null;
    const from = [...new Set(terms.map((here) => here.column).filter((c) => c !== null && c !== undefined))];
    return { value, text: text(terms), from };
  };

  mainsfit.sums = { work };
})();
