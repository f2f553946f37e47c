(() => {
  "use strict";

  const SPACE = "\u00a0";
  const NONE = "\u2013";
  const SUM_DIGITS = 5;

  /** A true minus; what is written as zero has none. */
  const signed = (text) => (/[1-9]/.test(text) ? text.replace("-", "\u2212") : text.replace("-", ""));

  /** Places behind the point for three digits in all, counted after rounding. */
  const places = (value) => {
    const size = Math.abs(Number(value.toPrecision(3)));
    return size < 10 ? 2 : size < 100 ? 1 : 0;
  };

  /** In which unit a figure is written, by which factor, and with how many places. */
  const manner = (value, unit) => {
    const size = Math.abs(value);
    if (unit === "V") {
      if (size >= 9999.5) return { unit: "kV", factor: 1e-3, places: places(value * 1e-3) };
      return { unit, factor: 1, places: places(value), nothing: 0.005 };
    }
    if (unit === "A") {
      if (size >= 0.9995) return { unit, factor: 1, places: places(value) };
      return { unit: "mA", factor: 1e3, places: places(value * 1e3), nothing: 0.005 };
    }
    if (unit === "W") return { unit, factor: 1, places: size < 3 ? 2 : size < 100 ? 1 : 0, nothing: 0.005 };
    if (unit === "°C") return { unit, factor: 1, places: 0 };
    if (unit === "Ω") {
      const [named, factor] = size >= 999500 ? ["MΩ", 1e-6] : size >= 999.5 ? ["kΩ", 1e-3] : ["Ω", 1];
      return { unit: named, factor, places: places(value * factor) };
    }
    return { unit, factor: 1, places: 3 };
  };

  /** A number as a figure of that manner has it, without the unit. */
  const bare = (value, { factor, places, nothing = 0 }) => {
    const scaled = value * factor;
    return Math.abs(scaled) < nothing ? "0" : signed(scaled.toFixed(places));
  };

  /** Joins a number and its unit. */
  const joined = (number, unit) => (unit ? number + SPACE + unit : number);

  /** A figure with its unit; a dash where there is none. */
  const figure = (value, unit) => {
    if (value === null) return NONE;
    const how = manner(value, unit);
    return joined(bare(value, how), how.unit);
  };

  /** Two ends of a range with as many places as the larger one. */
  const range = (one, other, unit) => {
    const [least, most] = one < other ? [one, other] : [other, one];
    const how = manner(Math.abs(least) > Math.abs(most) ? least : most, unit);
    const [from, to] = [bare(least, how), bare(most, how)];
    return joined(from === to ? from : `${from} to ${to}`, how.unit);
  };

  /** A number with the digits it counts with in a sum. */
  const counted = (value) => Number(value.toPrecision(SUM_DIGITS));

  /** A number of a sum as it is written: five digits at most, no idle zeros, in the unit itself. */
  const inSum = (value, unit) => {
    const number = counted(value);
    const size = Math.abs(number);
    const text = size > 0 && size < 1e-6 ? number.toFixed(12).replace(/0+$/, "") : String(number);
    return joined(signed(text), unit);
  };

  /** A volts or seconds setting as short as it can be. */
  const setting = (value, unit, places = 1) => joined(signed(String(Number(value.toFixed(places)))), unit);

  /** A share as "3.2 %", without its sign. */
  const percent = (share) => joined(Math.abs(100 * share).toFixed(1), "%");

  /** The number in a typed reading, in the unit itself; null if empty, NaN if it is none. A comma is a point. */
  const reading = (text, unit, written) => {
    const plain = text
      .replace(/[\s\u00a0]/g, "")
      .replace(/[\u2212\u2013]/g, "-")
      .replace(",", ".");
    if (plain === "") return null;
    const parts = /^([+-]?(?:\d+\.?\d*|\.\d+))(m|k|M)?(V|A|W|Ω)?$/.exec(plain);
    if (!parts) return Number.NaN;
    const [, number, prefix, letter] = parts;
    if (letter && letter !== unit) return Number.NaN;
    if (prefix) return Number(number) * { m: 1e-3, k: 1e3, M: 1e6 }[prefix];
    return Number(number) / (letter ? 1 : written);
  };

  mainsfit.write = { figure, range, counted, inSum, setting, percent, reading, manner, NONE };
})();
