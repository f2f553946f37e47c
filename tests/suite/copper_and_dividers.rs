//! Copper by temperature, and dividers across a coil.

use crate::doubled;
use crate::table::{Allowed, Group, Row};
use mainsfit::circuit::{Network, Probe, REFERENCE, Wave};
use mainsfit::receiver::thermal::{
    coil_ohms, copper_celsius, copper_factor, copper_ohms, transformer_balance, transformer_rise,
};
use std::sync::OnceLock;

/// Sources: IEC 60028 (annealed copper: 0.00393 per kelvin at 20 °C †); the rest is the rise by
/// resistance `T2 = R2/R1 (234.5 + T1) − 234.5`, worked out apart from this project.
fn copper(rows: &mut Vec<Row>) {
    let iec = "IEC 60028 †";
    let rise = "rise by resistance, k = 234.5";
    let mut add = |check: &str, source: &str, unit, expected, got, allowed| {
        rows.push(Row::new(check, source, unit, expected, got, allowed));
    };
    let coefficient = copper_ohms(1.0, 21.0) - 1.0;
    add("temperature coefficient at 20 °C", iec, "/K", 0.00393, coefficient, Allowed::Share(1e-9));
    let cases =
        [(1000.0, 20.0, 1200.0, 70.9), (1000.0, 20.0, 1110.0, 48.0), (1140.0, 22.0, 1400.0, 80.5)];
    for (cold, at, hot, celsius) in cases {
        add(
            &format!("{cold} Ω at {at} °C, {hot} Ω hot"),
            rise,
            "°C",
            celsius,
            copper_celsius(cold, at, hot),
            Allowed::Amount(0.06),
        );
    }
    let at_80 = copper_ohms(1800.0 / copper_ohms(1.0, 25.0), 80.0);
    add("1800 Ω at 25 °C, brought to 80 °C", rise, "Ω", 2181.5, at_80, Allowed::Amount(0.3));
    // (234.5 + 22)·1000/900 − 234.5 = 50.5 °C
    add(
        "coil of 900 Ω at 22 °C, 1000 Ω warm: rise",
        rise,
        "K",
        28.5,
        copper_celsius(900.0, 22.0, 1000.0) - 22.0,
        Allowed::Amount(0.06),
    );
    // heat balance on paper: T = room + rth·I²·R(T) with R linear in T
    let (rth, amps) = (8.0, 0.065);
    let ohms = coil_ohms(900.0, 22.0, rth, amps);
    let from_temperature =
        copper_ohms(900.0 / copper_ohms(1.0, 22.0), 22.0 + rth * amps * amps * ohms);
    add(
        "coil in balance with its own heat",
        "its own heat balance",
        "Ω",
        from_temperature,
        ohms,
        Allowed::Share(1e-9),
    );
}

/// A transformer's copper and its heat. Source: worked out apart from this project, `k = 234.5` and 0.00393 per kelvin; the
/// balance by repetition to 0.05 K.
fn transformer(rows: &mut Vec<Row>) {
    let rise = "rise by resistance, k = 234.5";
    let apart = "by repetition, apart from the program";
    let mut add = |check: &str, source: &str, unit, expected, got, allowed| {
        rows.push(Row::new(check, source, unit, expected, got, allowed));
    };
    let warmed = copper_factor(25.0, 80.0);
    add("copper from 25 to 80 °C", rise, "×", 1.2119, warmed, Allowed::Share(1e-4));
    for (cold, at, hot, celsius) in
        [(10.0, 22.0, 12.0, 73.3), (10.0, 20.0, 11.5, 58.18), (10.0, 20.0, 12.56, 85.15)]
    {
        let check = format!("primary of {cold} Ω at {at} °C, {hot} Ω hot");
        let got = copper_celsius(cold, at, hot);
        add(&check, rise, "°C", celsius, got, Allowed::Amount(0.06));
    }
    // 5 W in the iron, 5 W in the copper at 20 °C, a rise of 45 K in a room of 25 °C
    let losses = 5.0 + 5.0 * copper_ohms(1.0, 25.0 + 45.0);
    add("losses as designed", apart, "W", 10.9825, losses, Allowed::Share(1e-6));
    let exponent = transformer_rise(2.0 * losses, (45.0, losses)) / 45.0;
    add("rise at twice the losses", "ΔT ~ P^0.8", "×", 1.741_1, exponent, Allowed::Share(1e-4));
    for (iron, copper, expected) in [(6.253, 5.408, 51.0), (5.5, 5.5, 48.8)] {
        let check = format!("{iron} W in the iron, {copper} W in the copper at 20 °C: rise");
        let at_room = copper * copper_ohms(1.0, 25.0);
        let got = transformer_balance(iron, at_room, 25.0, (45.0, losses));
        add(&check, apart, "K", expected, got, Allowed::Amount(0.06));
    }
}

/// Primary copper where none is stated. Source: a list of primaries by size (ampgarage.com, p=468410 †), the middles of its
/// ranges; a set takes 80 % of what its transformer is rated for.
fn primaries(rows: &mut Vec<Row>) {
    let list = [
        (30.0, 35.0),
        (50.0, 14.5),
        (80.0, 8.0),
        (120.0, 5.5),
        (160.0, 3.0),
        (225.0, 2.0),
        (300.0, 1.15),
        (500.0, 0.5),
    ];
    for (va, ohms) in list {
        let set = crate::as_read::model_of(&format!(
            "set: {{ name: Invented, design_line: 120 V, nameplate_power: {} W }}\ntransformer: {{ high_voltage: {{ per_half: 300 V }} }}\nrectifier: {{ type: 5Y3GT }}\nfilter: [capacitor: 10 µF]\ntubes: [6F6]\n",
            0.8 * va
        ));
        rows.push(Row::new(
            format!("primary copper of {va} VA, 120 V, by rule"),
            "list of primaries by size †",
            "Ω",
            ohms,
            set.0.primary.resistance,
            Allowed::Share(0.18),
        ));
    }
}

/// A coil of 1200 Ω with 75 V across it and 390 k + 82 k + 18 k over it, taps without and with a meter of 10 MΩ.
/// Source: Ohm's law by hand.
fn divider(rows: &mut Vec<Row>) {
    let mut net = Network::new(60.0, "chassis").unwrap();
    let [centre, output, rf] = ["center tap", "output", "rf"].map(|name| net.node(name));
    let source = net.voltage("drop", REFERENCE, centre, Wave::Constant(75.0)).unwrap();
    let coil = net.resistor("coil", REFERENCE, centre, 1200.0).unwrap();
    net.resistor("390 k", centre, output, 390e3).unwrap();
    net.resistor("82 k", output, rf, 82e3).unwrap();
    let last = net.resistor("18 k", rf, REFERENCE, 18e3).unwrap();
    let unloaded = doubled::steady(&net, None).unwrap();
    let volts = |s: &mainsfit::circuit::SteadyState, node| s.mean(Probe::Volts(node, REFERENCE));
    let total = unloaded.mean(Probe::Amps(source)).abs();
    let mut add = |check: &str, unit, expected, got, allowed| {
        rows.push(Row::new(check, "Ohm's law", unit, expected, got, allowed));
    };
    let exact = Allowed::Share(1e-6);
    add("output tap, no meter", "V", -75.0 * 100.0 / 490.0, volts(&unloaded, output), exact);
    add("RF tap, no meter", "V", -75.0 * 18.0 / 490.0, volts(&unloaded, rf), exact);
    let through = 1e3 * unloaded.mean(Probe::Amps(last)).abs();
    add("current of the divider", "mA", 75.0 / 490.0, through, exact);
    // 1200² / (1200 + 490 000) Ω
    let lost = 1200.0 - 75.0 / total;
    add("coil and divider: less than the coil by", "Ω", 2.931_6, lost, Allowed::Share(1e-4));
    // 62.5 mA and 0.15306 mA
    add("coil and divider: current in all", "mA", 62.653_06, 1e3 * total, exact);
    let alone = 1e3 * unloaded.mean(Probe::Amps(coil)).abs();
    add("coil alone", "mA", 62.5, alone, exact);

    // a digital meter of 10 MΩ on the tap: 390 k parallel to 100 k is 79.592 k of source
    net.resistor("meter", output, REFERENCE, 10e6).unwrap();
    let metered = doubled::steady(&net, None).unwrap();
    let expected = -75.0 * 100.0 / 490.0 * 10e6 / (10e6 + 39e9 / 490e3);
    add("output tap, 10 MΩ meter", "V", expected, volts(&metered, output), exact);
}

/// Meters of old and new kinds on dividers. Source: Ohm's law by hand.
fn meters(rows: &mut Vec<Row>) {
    let cases = [
        (250.0, 100e3, 100e3, 250e3, 104.2),
        (250.0, 100e3, 100e3, 50e3, 62.5),
        (250.0, 100e3, 100e3, 5e6, 123.8),
        (250.0, 100e3, 100e3, 10e6, 124.4),
        (61.0, 330e3, 115e3, 250e3, 11.75),
        (61.0, 330e3, 115e3, 5e6, 15.50),
        (61.0, 330e3, 115e3, 10e6, 15.63),
    ];
    for (volts, upper, lower, meter, reads) in cases {
        let mut net = Network::new(60.0, "chassis").unwrap();
        let (top, tap) = (net.node("top"), net.node("tap"));
        net.voltage("supply", top, REFERENCE, Wave::Constant(volts)).unwrap();
        net.resistor("upper", top, tap, upper).unwrap();
        net.resistor("lower", tap, REFERENCE, lower).unwrap();
        net.resistor("meter", tap, REFERENCE, meter).unwrap();
        let s = doubled::steady(&net, None).unwrap();
        rows.push(Row::new(
            format!(
                "{} kΩ over {} kΩ on {volts} V, meter of {} kΩ",
                upper / 1e3,
                lower / 1e3,
                meter / 1e3
            ),
            "Ohm's law by hand",
            "V",
            reads,
            s.mean(Probe::Volts(tap, REFERENCE)),
            Allowed::Amount(if reads < 50.0 { 0.006 } else { 0.06 }),
        ));
    }
}

pub fn group() -> &'static Group {
    static GROUP: OnceLock<Group> = OnceLock::new();
    GROUP.get_or_init(|| {
        let mut rows = Vec::new();
        copper(&mut rows);
        transformer(&mut rows);
        primaries(&mut rows);
        divider(&mut rows);
        meters(&mut rows);
        Group {
            title: "Copper and dividers",
            about: "Resistance of copper by temperature, a transformer's rise against its losses, primaries by size, and a bias divider over a field coil with and \
                    without a meter on its taps, solved by the circuit core.",
            rows,
        }
    })
}

#[test]
fn copper_and_dividers_are_those_of_paper() {
    group().assert();
}
