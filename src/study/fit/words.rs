//! What readings come to, in sentences.

use super::verdict::{Explanation, ReadingsReport, Wrong};
use crate::receiver::shown;

impl ReadingsReport {
    /// The headline where the readings contradict.
    pub fn headline(&self) -> Option<&'static str> {
        self.contradiction.as_ref().map(|c| match c.explanations.as_slice() {
            [all @ ..] if !all.is_empty() && all.iter().all(|e| e.wrong == Wrong::Part) => {
                "READINGS CONTRADICT THE PROFILE: a part has drifted. Nothing is advised before it is put right"
            }
            _ => "READINGS CONTRADICT EACH OTHER OR THE SET: nothing is advised on them",
        })
    }

    /// What to do about it, most likely first.
    pub fn sentences(&self) -> Vec<String> {
        let Some(contradiction) = &self.contradiction else { return Vec::new() };
        let mut list: Vec<String> =
            contradiction.explanations.iter().map(ToString::to_string).collect();
        let again: Vec<String> =
            self.take_again.iter().map(|t| format!("{} at {:.1} V", t.key, t.at_line_v)).collect();
        if list.is_empty() {
            list.push(format!(
                "No one wrong reading or part explains them. Take again first: {}",
                again.join(", ")
            ));
        } else if contradiction.explanations.iter().all(|e| e.wrong == Wrong::Part) {
            list.push(format!("Take again to be sure: {}", again.join(", ")));
        }
        if !contradiction.told_apart && list.len() > 1 {
            let tell = contradiction.tells.as_ref().map(|t| {
                format!(
                    "; {} ({}) at {:.1} V would: {} or {}",
                    t.label,
                    t.key,
                    t.at_line_v,
                    shown(t.if_first, t.unit),
                    shown(t.if_second, t.unit)
                )
            });
            list.push(format!("These readings cannot tell them apart{}", tell.unwrap_or_default()));
        }
        list
    }

    /// Headline and sentences in one, as a reason.
    pub fn reason(&self) -> Option<String> {
        Some(format!("{}. {}", self.headline()?, self.sentences().join(". ")))
    }

    /// Parts found drifted, a sentence each.
    pub fn drifts(&self) -> impl Iterator<Item = String> {
        self.drifted.iter().map(|d| {
            let others = if d.or.is_empty() {
                String::new()
            } else {
                format!("; nearly as likely: {}", d.or.join(", "))
            };
            format!(
                "{} acts like {} ±{}, not {}{others}",
                d.what,
                shown(d.behaves_as, d.unit),
                shown(2.0 * d.uncertainty, d.unit),
                shown(d.stated, d.unit)
            )
        })
    }
}

impl std::fmt::Display for Explanation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let show = |v: f64| shown(v, self.unit);
        let rest = format!("{} ±{}", show(self.would_be), show(2.0 * self.uncertainty));
        let line = self.at_line_v.unwrap_or_default();
        match self.wrong {
            Wrong::Reading if self.average_meter => write!(
                f,
                "{} at {line:.1} V reads {}, the rest gives {rest} true RMS: an average-responding meter reads this low here. If yours is one, add that: `meter: {{ load: 10 MΩ, ac: average }}`",
                self.key,
                show(self.stated)
            )?,
            Wrong::Reading => write!(
                f,
                "Take {} at {line:.1} V again: {} was read, the rest gives {rest}",
                self.key,
                show(self.stated)
            )?,
            Wrong::Line => write!(
                f,
                "Measure the line voltage again: at_line says {}, the readings fit {rest}",
                show(self.stated)
            )?,
            Wrong::Part => write!(
                f,
                "Drifted, if no reading is wrong: {} ({}) acts like {rest}, not {}",
                self.label,
                self.key,
                show(self.stated)
            )?,
        }
        match self.slip {
            Some(slip) => write!(f, ". A slip of the pen? {} would fit", show(slip)),
            None => Ok(()),
        }
    }
}
