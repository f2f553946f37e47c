//! The rules by name, what each says, and where it comes from.

/// Its name, what it holds, and the source.
pub const RULES: [(&str, &str, &str); 54] = [
    ("figures", "every figure is there; watts and amperes are not below nothing", "plan-json.md"),
    (
        "words",
        "verdicts, choices, findings, objections, standards are those that there are",
        "plan-json.md",
    ),
    (
        "day",
        "low ≤ usual ≤ high, of the outlet and of all that rises with it",
        "monotony of a resistive load",
    ),
    (
        "power",
        "P = U·I·cos φ; no power factor above 1, no crest factor below; no more watts into the set than its volt-amperes",
        "textbook",
    ),
    (
        "ohm",
        "U = I·R and P = U·I of every resistance; with ripple no less than that of the means",
        "Ohm, Joule",
    ),
    ("tube", "dissipation is volts to the cathode times current", "textbook"),
    ("volts-add-up", "reservoir and first capacitor are B+ and drops of the filter", "Kirchhoff"),
    (
        "string-adds-up",
        "heaters and droppers in series add up to the line; behind a diode to its root of a half",
        "Kirchhoff",
    ),
    ("heat-balance", "watts from the outlet are no fewer than all heat that is told", "energy"),
    (
        "transformer",
        "loss is copper and iron; flux is volts over frequency; the estimate lies in its range",
        "V = 4.44·f·N·Φ",
    ),
    (
        "limit-value",
        "a limit repeats the figure it is of; none that is due is missing",
        "model.md, section 24",
    ),
    ("limit-standing", "within, near, beyond by value and limit", "plan-json.md"),
    (
        "lead",
        "line, set and part obey the triangle inequality; what bucks lowers, what boosts raises",
        "RMS of sums (Minkowski)",
    ),
    (
        "turns",
        "a secondary gives its turns' share but for the copper's drops; ampere-turns balance but for the core",
        "ideal transformer",
    ),
    ("winding-heat", "I²·R of each winding by its size", "Joule; model.md, section 14"),
    ("winding-bears", "an advised winding carries no more than its amperes", "rating of the part"),
    (
        "connect",
        "unloaded volts of a small transformer by turns, in each wrong connection, and its ohms",
        "V·(1 ± n), V/(1 ± n)",
    ),
    ("part", "value, rating and words of a part are one thing", "plan-json.md"),
    (
        "target",
        "what is missed is the heaters' own; the exact value misses nothing; more ohms, fewer volts",
        "percentage",
    ),
    ("worst-heat", "1.05 times the heat at high line", "tolerance of 5 %"),
    ("derating", "rating, load and surface in each place", "model.md, section 17 (makers' data)"),
    (
        "place",
        "suitable where twice the heat is left and the surface is cool enough; an advised part has such a place",
        "model.md, section 18",
    ),
    (
        "band",
        "from low line less the ± to high line plus it; the part's share is no more",
        "model.md, section 23",
    ),
    (
        "signal",
        "at rest as on the usual line; sag and fall from the figures beside them",
        "percentage",
    ),
    (
        "fuse-size",
        "the smallest standard rating above the running current and a quarter of the inrush",
        "UL 248-14, IEC 60127-2; model.md, section 19",
    ),
    ("fuse-change", "a fuse of another rating must change", "plan-json.md"),
    (
        "fuse-instead",
        "a fuse of another country only where that of the country burns the part",
        "model.md, section 19",
    ),
    ("one-fuse", "the fuse of the set is that of its choice", "model.md, section 19"),
    (
        "fault-table",
        "the faults that every set has are told behind a fuse, and none without",
        "model.md, section 20",
    ),
    (
        "fault-fuse",
        "current over rating, and the gate of the standard that it meets",
        "UL 248-14, IEC 60127-2",
    ),
    ("fault-heat", "I²·R in the part, no more than U²/R of the line", "Joule"),
    (
        "fault-bears",
        "what is left of the rating, and the short overload over the time to open",
        "model.md, section 21",
    ),
    (
        "fault-volts",
        "what is open gets nothing, what is shorted has no volts, reversed bucking raises",
        "textbook",
    ),
    ("fault-unsolved", "a fault without a solution has no figures", "plan-json.md"),
    ("burns", "more heat than it bears, and nowhere else", "plan-json.md"),
    (
        "burns-objects",
        "what burns, or has no solution, is refused and never advised",
        "model.md, section 21",
    ),
    (
        "switch-on",
        "ratios, surge volts by rule, what exceeds, and what to fit for it",
        "IEC 60384-4 †; model.md, section 22",
    ),
    (
        "objection",
        "raised where the figures pass the limit and nowhere else; with those figures",
        "model.md, section 25",
    ),
    (
        "standing",
        "refused with an objection, serving without, advised by the advice",
        "plan-json.md",
    ),
    (
        "flags",
        "not without the part from 1.10 times, not at all from 1.20; then no fuse, no fault, nothing left",
        "model.md, section 26",
    ),
    ("verdict-choice", "verdict, choice, strength and runner-up go together", "plan-json.md"),
    (
        "advised-bears",
        "an advised part has nothing worse against it than its heaters, and leaves these nearer than nothing does",
        "model.md, section 25",
    ),
    (
        "severity",
        "left up to 5 % (a string 3 %), optional to twice that, needed beyond; raised only a low line",
        "model.md, section 25",
    ),
    (
        "least",
        "nothing that serves intervenes less, makes less heat, or misses by less",
        "model.md, section 25",
    ),
    (
        "changes-at",
        "on the side it names, another verdict, and where the heaters in proportion come to 5 %",
        "proportion",
    ),
    ("said", "a reason, a repair, a reading to take, where the verdict needs one", "plan-json.md"),
    (
        "cautions",
        "in the order of the work, each with text and source; what every set needs",
        "plan-json.md",
    ),
    ("alarms", "first of all, and exactly where the flags are set", "plan-json.md"),
    (
        "caution-figures",
        "those of the plan: fuse, heat, highest volts, reversed winding, 15 % that come back",
        "model.md, section 26",
    ),
    (
        "fitted",
        "the ruling is the verdict, what stays has nothing against it and does not burn",
        "plan-json.md",
    ),
    ("as-left", "a reading lies within, above or below its range", "plan-json.md"),
    ("visits", "change is read over unchanged", "percentage"),
    (
        "dry-rectifier",
        "finished within 2 %; the stock value is the nearest of E24, its watts twice the heat",
        "IEC 60063; plan-json.md",
    ),
    ("assumed", "the spread is half the distance of the bounds", "plan-json.md"),
];
