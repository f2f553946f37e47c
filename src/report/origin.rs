//! Where a sheet comes from: the profile, by name and digest, and the command that makes it again.

use super::{
    build::joined,
    page::{Block, fine},
};
use crate::{
    profile::ShopPart,
    study::{Origin, Plan},
    text::cut,
};

/// What stands at the foot of each sheet: the profile that it is from, and the set as far as there is room.
pub fn foot(name: &str, origin: &Origin) -> Block {
    let line = format!("{} {} · {name}", digest(origin), origin.file);
    Block::Foot(cut(&line, FOOT_ROOM, &ems), origin.paper)
}

/// Room beside the page's number, in sizes of the type.
const FOOT_ROOM: f64 = 53.0;

/// Width of a text in sizes of the type, on the wide side of the usual sans-serif faces (measured by none).
fn ems(text: &str) -> f64 {
    let wide =
        |c: char| matches!(c, 'm' | 'w' | '@' | '%') || !c.is_ascii() || c.is_ascii_uppercase();
    text.chars().map(|c| if wide(c) { 1.0 } else { 0.56 }).sum()
}

/// What a plan has of a shop's defaults.
pub fn of_shop(plan: &Plan) -> Option<Block> {
    let shop = plan.shop.as_ref()?;
    let used = shop.used.iter().map(|part| match part {
        ShopPart::Outlet => "outlet",
        ShopPart::Resistors => "resistors in stock",
        ShopPart::Transformers => "transformers in stock",
        ShopPart::Meter => "meter",
        ShopPart::Paper => "paper",
    });
    Some(fine(("From the shop's file ", &shop.file, ": ", joined(used, ", "), ".")))
}

/// Digits of the digest that are printed: 64 bits tell one profile from another.
const DIGEST: usize = 16;

/// As much of the profile's digest as is printed.
pub fn digest(origin: &Origin) -> String {
    origin.digest.chars().take(DIGEST).collect()
}

/// The last lines of a sheet: how it came to be.
pub fn made_by(plan: &Plan, origin: &Origin) -> [Option<Block>; 2] {
    let made = fine(format!(
        "Written by mainsfit {} from the profile {} (SHA-256 begins {}); again with: {}",
        plan.version,
        origin.file,
        digest(origin),
        origin.command
    ));
    [of_shop(plan), Some(made)]
}
