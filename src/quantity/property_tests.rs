//! Properties that must hold for every value and every text.

use super::*;
use proptest::prelude::*;

/// Half a unit in the sixth digit, by ratio, at worst (of 1.000 00).
const SIX_DIGITS: f64 = 5e-6;

/// Writes a value to six digits and reads it back.
fn survives<Q: Quantity>(si: f64) -> Result<(), TestCaseError> {
    let text = show_digits(Q::from_si(si), 6);
    let read = parse::<Q>(&text, Sign::Any);
    let read = read.map_err(|error| TestCaseError::fail(error.to_string()))?;
    // The last factor leaves room for binary rounding only.
    let allowed = (si - Q::KIND.zero_point).abs() * SIX_DIGITS * (1.0 + 1e-9) + si.abs() * 1e-15;
    prop_assert!((read.si() - si).abs() <= allowed, "{si} -> {text} -> {}", read.si());
    Ok(())
}

/// Tries everything on a text; what matters is that it returns.
fn reads_or_refuses<Q: Quantity>(text: &str) -> Result<(), TestCaseError> {
    match parse::<Q>(text, Sign::NonNegative) {
        Ok(quantity) => {
            prop_assert!(quantity.si().is_finite());
            prop_assert!(quantity.si() >= Q::KIND.zero_point);
            prop_assert!(!show(quantity).starts_with('-'));
        }
        Err(error) => {
            let message = error.to_string();
            prop_assert!(!message.is_empty());
            // Short texts are echoed a few times, long ones not at all.
            prop_assert!(message.chars().count() < 1_200, "{message}");
        }
    }
    Ok(())
}

macro_rules! for_every_quantity {
    ($function:ident, $value:expr) => {
        $function::<Voltage>($value)?;
        $function::<Current>($value)?;
        $function::<Resistance>($value)?;
        $function::<Capacitance>($value)?;
        $function::<Inductance>($value)?;
        $function::<Power>($value)?;
        $function::<Frequency>($value)?;
        $function::<Temperature>($value)?;
        $function::<TemperatureRise>($value)?;
        $function::<ThermalResistance>($value)?;
        $function::<Time>($value)?;
        $function::<Transconductance>($value)?;
        $function::<Ratio>($value)?;
    };
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2_000) })]

    #[test]
    fn six_digits_survive(mantissa in 1.0..10.0f64, power in -20..20i32) {
        for_every_quantity!(survives, mantissa * 10f64.powi(power));
    }

    #[test]
    fn negative_values_survive(mantissa in 1.0..10.0f64, power in -20..20i32) {
        survives::<Voltage>(-mantissa * 10f64.powi(power))?;
        survives::<Time>(-mantissa * 10f64.powi(power))?;
    }

    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        for_every_quantity!(reads_or_refuses, &text);
    }

    #[test]
    fn near_misses_are_read_or_refused(
        text in "[-+−]?[0-9]{0,4}[.,·' ]?[0-9]{0,3}(e-?[0-9]{1,3})?[ \u{a0}]?[pnuµμmkKMGRLFVAWHSsΩ%°C/.~ é💡0-9]{0,6}( ?(ac|dc|rms))?"
    ) {
        for_every_quantity!(reads_or_refuses, &text);
    }

    /// Every bit pattern, finite or not, is written without a panic.
    #[test]
    fn any_value_is_written(bits in any::<u64>(), digits in 0..40usize) {
        let value = f64::from_bits(bits);
        let lines = [
            show(Voltage::from_si(value)),
            show_plain(Capacitance::from_si(value)),
            show(Temperature::from_si(value)),
            show(TemperatureRise::from_si(value)),
            show(Ratio::from_si(value)),
            show_digits(Time::from_si(value), digits),
        ];
        for line in lines {
            prop_assert!(!line.is_empty() && line.chars().count() < 40, "{line}");
            prop_assert!(!line.starts_with("-0 "), "{line}");
        }
    }

    /// The rewriting a message offers for a comma is itself read.
    #[test]
    fn advice_on_commas_is_good(whole in 0..9_999u32, fraction in 0..9_999u32) {
        let text = format!("{whole},{fraction} V");
        match parse::<Voltage>(&text, Sign::Any) {
            Err(QuantityError {
                why: Refusal::DecimalComma { instead } | Refusal::Separator { instead }, ..
            }) => {
                prop_assert!(parse::<Voltage>(&instead, Sign::Any).is_ok(), "{instead}");
            }
            other => prop_assert!(false, "{text} gave {other:?}"),
        }
    }
}
