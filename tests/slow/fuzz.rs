//! Anything at all through the reader and, where it passes, through the whole plan: an answer or an error, never a
//! panic, a hang, or memory without bound.
//!
//! Stable Rust has no coverage-guided fuzzer, so inputs are the shipped profiles, the bad ones and the ones with every
//! key, damaged: bytes, tokens that mean something to YAML or to numbers, whole-file changes (encodings, line ends, tabs),
//! and a few bombs. Some are only changed as a slip of the pen or another set would, so that their plan is reached.
//! `MAINSFIT_FUZZ=1000000 cargo test --release --test slow fuzz -- --nocapture` is the long run; `docs/verification.md`
//! has its figures.

use super::harness::shipped;
use super::set_fuzz::{Watch, most_memory};
use mainsfit::profile::{Document, MAX_BYTES, read};
use mainsfit::study::{Request, StudyError, plan};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::Duration;

/// Inputs of the ordinary run.
const INPUTS: usize = 2500;
/// Longest time an input may take in the long run, in a release build: by the clock or, on a machine that does other things
/// as well, of its processors, whichever is less.
const SLOWEST: Duration = Duration::from_secs(1);
/// The same in the ordinary run, which shares its machine with the rest of the suite: a hang is longer.
const SLOWEST_SHARED: Duration = Duration::from_secs(20);
/// Most memory the process may ever have held, KiB.
const MOST_KIB: u64 = 1_000_000;

/// Bits of text that parsers and number readers have stumbled over.
const TOKENS: [&str; 60] = [
    "&a ",
    "*a",
    "<<: *a",
    "? ",
    "!!float ",
    "!!binary ",
    "!local ",
    "---\n",
    "...\n",
    "%YAML 1.2\n",
    "\t",
    "\r\n",
    "\r",
    "\u{feff}",
    "NaN",
    ".nan",
    ".inf",
    "-.inf",
    "1e999",
    "1e-999",
    "-0",
    "0x1F",
    "0o17",
    "1_000",
    "99999999999999999999999999",
    "0.00000000000000000001",
    "1e308 V",
    "1e-308 Ω",
    "{",
    "[",
    "}",
    "]",
    "{}",
    "[]",
    "|\n",
    ">-\n",
    "#",
    "\"",
    "'",
    ": ",
    ":",
    "- ",
    "-",
    "~",
    "null",
    "true",
    "\u{0}",
    "\u{202e}",
    "\u{2028}",
    "µ",
    "Ω",
    "K",
    "kΩ",
    "µµF",
    "\n",
    "\n  ",
    "set:",
    "tubes:",
    "filter:",
    "heater_string:",
];

/// Numbers with units at the ends of what a profile takes, and beyond.
const QUANTITIES: [&str; 24] = [
    "1 nA", "100 A", "1 mΩ", "10 GΩ", "0.1 pF", "0.1 F", "1 µH", "10000 H", "1 mW", "100 kW",
    "10 Hz", "1 kHz", "20 V", "500 V", "2 kV", "20 kV", "1 mV", "-50 °C", "100 °C", "0 V", "-1 V",
    "1e9 V", "1e-9 Ω", "0 Ω",
];

struct Dice(Pcg64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        (self.0.next_u64() % n.max(1) as u64) as usize
    }
    fn of<'a, T: ?Sized>(&mut self, list: &[&'a T]) -> &'a T {
        list[self.below(list.len())]
    }
}

/// The text with one thing done to it.
fn damaged(mut bytes: Vec<u8>, other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let at = dice.below(bytes.len() + 1);
    match dice.below(10) {
        0 if !bytes.is_empty() => {
            let i = at.min(bytes.len() - 1);
            bytes[i] ^= 1 << dice.below(8);
        }
        1 => {
            let byte = dice.below(256) as u8;
            bytes.insert(at, byte);
        }
        2 => {
            let end = (at + dice.below(40)).min(bytes.len());
            bytes.drain(at..end);
        }
        3 => {
            let end = (at + dice.below(200)).min(bytes.len());
            let copy = bytes[at..end].to_vec();
            bytes.splice(at..at, copy);
        }
        4 => {
            let from = dice.below(other.len() + 1);
            let end = (from + dice.below(300)).min(other.len());
            bytes.splice(at..at, other[from..end].iter().copied());
        }
        5 => bytes.truncate(at),
        6 | 7 => {
            let token = dice.of(&TOKENS);
            bytes.splice(at..at, token.bytes());
        }
        _ => {
            // a quantity somewhere else's: from a digit on to the end of its word
            let digit = bytes[at..].iter().position(u8::is_ascii_digit);
            if let Some(start) = digit.map(|d| at + d) {
                let word = |b: &u8| matches!(b, b',' | b'}' | b']' | b'\n');
                let len = bytes[start..].iter().position(word).unwrap_or(0);
                let quantity = dice.of(&QUANTITIES);
                bytes.splice(start..start + len, quantity.bytes());
            }
        }
    }
    bytes
}

/// One input in so many is only changed within reason.
const REASONABLE: usize = 40;

/// The text as another set, or a slip, would have it: a number some way off, a line left out or written twice, a tube of
/// another type.
fn changed_within_reason(bytes: Vec<u8>, dice: &mut Dice) -> Vec<u8> {
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let at = dice.below(lines.len());
    let Some(line) = lines.get(at).cloned() else {
        return bytes;
    };
    match dice.below(8) {
        0 => drop(lines.remove(at)),
        1 => lines.insert(at, line),
        2 => {
            let (from, to) = (dice.of(&TUBES), dice.of(&TUBES));
            lines = text.replace(from, to).lines().map(str::to_owned).collect();
        }
        _ => {
            // from that line on, the first number
            let after = lines[at..].iter().position(|l| {
                l.split_once(':').is_some_and(|(_, v)| v.contains(|c: char| c.is_ascii_digit()))
            });
            if let Some(line) = after.map(|i| &mut lines[at + i])
                && let Some(start) = line.find(": ").and_then(|colon| {
                    let digit = line[colon..].find(|c: char| c.is_ascii_digit());
                    digit.map(|d| colon + d)
                })
            {
                let number = |c: char| !(c.is_ascii_digit() || c == '.');
                let len = line[start..].find(number).unwrap_or(line.len() - start);
                let value: f64 = line[start..start + len].parse().unwrap_or(1.0);
                // from a quarter to four times, most often near one
                let turn = (dice.below(2001) as f64 - 1000.0) / 1000.0;
                let value = value * 4f64.powf(turn.powi(3));
                line.replace_range(start..start + len, &format!("{value:.3}"));
            }
        }
    }
    (lines.join("\n") + "\n").into_bytes()
}

/// Types to be put in place of one another.
const TUBES: [&str; 12] =
    ["5Y3", "80", "5Z4", "6F6", "6V6", "6K7", "6A8", "6Q7", "35Z5GT", "50L6GT", "12SK7", "83"];

/// The whole text in another dress, or something else altogether.
fn dressed(bytes: Vec<u8>, dice: &mut Dice) -> Vec<u8> {
    let text = String::from_utf8_lossy(&bytes).into_owned();
    match dice.below(40) {
        0 => text.replace('\n', "\r\n").into_bytes(),
        1 => text.replace("  ", "\t").into_bytes(),
        2 => [b"\xef\xbb\xbf".as_slice(), &bytes].concat(),
        3 => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        4 => [0xfeff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect(),
        5 => text.chars().map(|c| u32::from(c).min(255) as u8).collect(),
        6 => {
            let lines: Vec<&str> = text.lines().collect();
            let line = lines.get(dice.below(lines.len())).unwrap_or(&"");
            format!("{text}\n{line}\n{line}\n").into_bytes()
        }
        7 => {
            let (open, close) =
                [("[", "]"), ("{a: ", "}"), ("- ", ""), ("a:\n ", "")][dice.below(4)];
            let deep = 1 << dice.below(16);
            format!("{}{}{text}", open.repeat(deep), close.repeat(deep)).into_bytes()
        }
        8 => {
            let mut bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
            for i in 1..12 {
                let of = vec![format!("*a{}", i - 1); 9].join(", ");
                bomb += &format!("a{i}: &a{i} [{of}]\n");
            }
            (bomb + &text).into_bytes()
        }
        9 => vec![b'a' + dice.below(26) as u8; dice.below(2 * MAX_BYTES)],
        10 => format!("{text}\ntubes: [{}]\n", "6F6, ".repeat(dice.below(20_000))).into_bytes(),
        11 => (0..dice.below(4000)).map(|_| dice.below(256) as u8).collect(),
        12 => text.replace(": ", ":").into_bytes(),
        13 => text.replace('{', "[").into_bytes(),
        _ => bytes,
    }
}

/// What became of an input.
enum End {
    Refused,
    Unsolved,
    Planned,
}

fn through(bytes: &[u8]) -> End {
    let Ok(document) = Document::parse("typed.yaml", bytes) else {
        return End::Refused;
    };
    let Ok((profile, _)) = read(&document).map_err(|p| p.render()) else {
        return End::Refused;
    };
    match plan(&profile, &Request::default(), Vec::new()) {
        Ok(plan) => {
            // a number that is none would be null
            let value = serde_json::to_value(&plan).unwrap();
            super::finite::assert_finite("", &value, &mut 0);
            assert!(!plan.cautions.is_empty());
            End::Planned
        }
        Err(error) => {
            assert!(!error.to_string().is_empty() && !error.advice().is_empty());
            let unknown: &StudyError = &error;
            // unless somebody typed it
            let typed = String::from_utf8_lossy(bytes).contains("NaN");
            assert!(typed || !format!("{unknown:?}").contains("NaN"), "{error}");
            End::Unsolved
        }
    }
}

#[test]
fn anything_typed_gets_an_answer_or_an_error() {
    let asked = std::env::var("MAINSFIT_FUZZ").ok().and_then(|n| n.parse().ok());
    let seed = std::env::var("MAINSFIT_FUZZ_SEED").ok().and_then(|n| n.parse().ok());
    let inputs = asked.unwrap_or(INPUTS);
    let limit = if asked.is_some() { SLOWEST } else { SLOWEST_SHARED };
    let mut seeds: Vec<Vec<u8>> = shipped().iter().map(|p| std::fs::read(p).unwrap()).collect();
    let sound = seeds.len();
    for folder in ["tests/bad_profiles", "tests/data/every_key"] {
        let mut paths: Vec<_> = std::fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap().path())
            .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
            .collect();
        paths.sort();
        seeds.extend(paths.iter().map(|p| std::fs::read(p).unwrap()));
    }
    let mut dice = Dice(Pcg64::seed_from_u64(seed.unwrap_or(1936)));
    let (mut refused, mut unsolved, mut planned) = (0u64, 0u64, 0u64);
    let mut slowest = Duration::ZERO;
    for _ in 0..inputs {
        let mut bytes = seeds[dice.below(seeds.len())].clone();
        let other = seeds[dice.below(seeds.len())].clone();
        if dice.below(REASONABLE) == 0 {
            bytes = seeds[dice.below(sound)].clone();
            for _ in 0..=dice.below(4) {
                bytes = changed_within_reason(bytes, &mut dice);
            }
        } else {
            // few changes keep a profile sound, many leave little of it; most must be many, or plans take all the time
            let most = if dice.below(8) == 0 { 2 } else { 24 };
            for _ in 0..=dice.below(most) {
                bytes = damaged(bytes, &other, &mut dice);
            }
            bytes = dressed(bytes, &mut dice);
        }
        let mut spent = Duration::MAX;
        // a slow one is tried again: the machine or other tests may have been busy
        for _ in 0..3 {
            let watch = Watch::start();
            let end = catch_unwind(AssertUnwindSafe(|| through(&bytes)));
            spent = spent.min(watch.spent());
            match end {
                Err(_) => panic!("panicked on:\n{}", String::from_utf8_lossy(&bytes)),
                Ok(_) if spent > limit => {}
                Ok(End::Refused) => refused += 1,
                Ok(End::Unsolved) => unsolved += 1,
                Ok(End::Planned) => planned += 1,
            }
            if spent <= limit {
                break;
            }
        }
        assert!(spent <= limit, "{spent:?} for:\n{}", String::from_utf8_lossy(&bytes));
        slowest = slowest.max(spent);
    }
    let memory = most_memory();
    println!(
        "{inputs} inputs: {refused} refused, {planned} planned, {unsolved} without a solution; slowest {slowest:.2?}, most memory {memory:?} KiB"
    );
    assert!(memory.is_none_or(|kib| kib < MOST_KIB), "{memory:?} KiB");
    // neither all harmless nor all fatal
    assert!(refused * 4 > inputs as u64 && planned * 200 > inputs as u64);
}
