//! Whose figures the types have that go by another name or stand for the same in another bulb.

use super::ledger::Ledger;
use crate::catalogue::{Catalogue, Matched};

/// Notes each of them once.
pub fn note(ledger: &mut Ledger) {
    let all = Catalogue::built_in();
    let profile = ledger.profile;
    let tubes = profile.tubes.iter().filter_map(|used| {
        let found = all.tube(&used.kind.name).ok()?;
        Some((found.name, used.matched, &found.item.name, &found.item.aliases))
    });
    let second = profile.second_supply.as_ref().map(|s| &s.rectifier);
    let rectifiers = [&profile.rectifier].into_iter().chain(second).filter_map(|used| {
        let found = all.rectifier(&used.kind.name).ok()?;
        Some((found.name, used.matched, &found.item.name, &found.item.aliases))
    });
    for (name, matched, own, aliases) in tubes.chain(rectifiers) {
        let rule = match (matched, aliases.iter().find(|a| a.name == name)) {
            (Some(Matched::SuffixAssumed), _) => {
                "the same type in another bulb, taken as electrically equal".to_owned()
            }
            // a part of a combined name is its own
            (Some(Matched::Alias), Some(alias)) if alias.citation.is_some() => {
                let differs =
                    alias.differs().map(|words| format!(" ({words})")).unwrap_or_default();
                format!("another name of the same type{differs}")
            }
            _ => continue,
        };
        // IW4/350 and IW4-350 are one spelling
        let plain = |text: &str| text.replace(['/', '-'], "");
        if plain(&name) != plain(own) && ledger.list.iter().all(|a| a.what != name) {
            ledger.add(name, format_args!("({own})"), 0.0, None, rule);
        }
    }
}
